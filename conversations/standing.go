package conversations

import (
	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// lead says some words and shows again where the customer stands, with something
// to go on with: the question on the table, the first one of a new enquiry, or what
// can be done about a booking.
func (t *turn) lead(c *Chat, words string) {
	e := t.current(c)
	switch {
	case e == nil || e.Stage == Closed:
		t.put(t.begin(c), words)
	case e.open():
		t.put(e, words)
	default:
		m := bot.Message{Chat: c.ID, Text: words + "\n\n" + t.standing(e), Kind: "word"}
		if e.Stage != Done {
			m.Choices = [][]bot.Choice{t.visitRow(e)}
		}
		t.say(m)
	}
}

// standing says how things stand with an enquiry that is out of the customer's
// hands.
func (t *turn) standing(e *Enquiry) string {
	f := wording.Facts{Car: carName(e)}
	if e.Slot != nil {
		f.When = t.Words.Moment(e.Slot.Start.In(t.Zone))
	}
	switch e.Stage {
	case Waits:
		return t.word(wording.StandsAsked, f)
	case Booked:
		return t.word(wording.StandsBooked, f)
	}
	return t.word(wording.StandsDone, f)
}
