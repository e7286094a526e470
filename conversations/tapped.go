package conversations

import (
	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// routes are who takes the presses that belong to no question of the form, by the
// name they carry in place of one.
var routes = map[string]func(*turn, *Chat, *Enquiry, press, bot.Tap){
	pressNudge:    (*turn).nudgePressed,
	pressWear:     (*turn).wearPressed,
	pressStanding: (*turn).standingPressed,
	pressReview:   (*turn).reviewPressed,
	pressSettings: (*turn).settingsPressed,
	pressAgree:    (*turn).agreePressed,
	pressVisit:    (*turn).visitPressed,
	pressMove:     (*turn).movePressed,
	pressDeposit:  (*turn).depositPressed,
	pressQuery:    (*turn).queryPressed,
	pressConsent:  (*turn).consentPressed,
	pressAgain:    (*turn).againPressed,
	pressTheir:    (*turn).theirPressed,
}

// tapped takes a press on a button.
func (t *turn) tapped(c *Chat, w bot.Tap) {
	p, ok := parsePress(w.Data)
	e := t.enquiry(p.enquiry)
	take := routes[p.question]
	switch {
	case c.Stopped && !(ok && p.question == pressNudge):
		t.tell(c.ID, wording.StoppedStill, wording.Facts{Name: c.Name})
	case !ok || e == nil || e.Chat != c.ID:
		t.out.Toast = t.word(wording.ForeignButton, wording.Facts{})
		t.lead(c, t.out.Toast)
	case take != nil:
		take(t, c, e, p, w)
	case p.choice == choicePerson:
		t.wantsPerson(c) // however old the button is
	case !e.open() || p.rev != e.Rev || p.question != e.At:
		t.stale(c, e, p)
	default:
		t.chosen(c, e, p, w)
	}
}

// chosen takes a press under the question on the table.
func (t *turn) chosen(c *Chat, e *Enquiry, p press, w bot.Tap) {
	q := t.find(p.question)
	if q == nil {
		t.stale(c, e, p)
		return
	}
	c.Enquiry = e.ID // of several cars, the one whose button is pressed is meant
	switch p.choice {
	case choiceBack:
		t.takeOff(w)
		t.back(e)
	case choiceAgain:
		t.takeOff(w)
		t.again(c, e)
	case choiceChange:
		t.review(e)
	default:
		t.pressed(e, q, p.choice, w)
	}
}

// stale answers a press on a button of an earlier question: nothing changes, it
// explains itself, and the present question is shown. The second press of a
// double press is not worth a message.
func (t *turn) stale(c *Chat, e *Enquiry, p press) {
	t.out.Toast = t.word(wording.StaleButton, wording.Facts{})
	double := p.rev == e.Rev-1 && e.answer(p.question) == p.choice && len(e.Trail) > 0 && e.Trail[len(e.Trail)-1] == p.question
	if e.ID != c.Enquiry || !double {
		t.lead(c, t.word(wording.StaleButton, wording.Facts{}))
	}
}

// takeOff takes the buttons off a message that has been answered.
func (t *turn) takeOff(w bot.Tap) {
	if w.Message != 0 {
		t.say(bot.Message{Chat: t.event.Chat, Edit: w.Message, Delivery: bot.Cosmetic, Kind: "buttons-off"})
	}
}
