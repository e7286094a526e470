package conversations

import (
	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// pressSettings is the question name of the buttons under a customer's settings.
const pressSettings = "settings"

// settings shows what a customer has set, to be changed with a tap.
func (t *turn) settings(c *Chat) {
	e := t.current(c)
	if e == nil {
		e = t.begin(c)
	}
	var f wording.Facts
	next := named{"off", wording.LabelRemindersOff}
	if c.NoNudge {
		f.Text = "off"
		next = named{"on", wording.LabelRemindersOn}
	}
	t.tell(c.ID, wording.Settings, f, t.presses(e, pressSettings, next)...)
}

// settingsPressed changes a setting. It names what to set, so that a double press
// does no more than one.
func (t *turn) settingsPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	t.takeOff(w)
	c.NoNudge = p.choice == "off"
	if c.NoNudge {
		t.unset(CameNudge, e)
	}
	t.settings(c)
}
