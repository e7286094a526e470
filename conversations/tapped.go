package conversations

import (
	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// tapped takes a press on a button.
func (t *turn) tapped(c *Chat, w bot.Tap) {
	p, ok := parsePress(w.Data)
	e := t.enquiry(p.enquiry)
	switch {
	case c.Stopped && !(ok && p.question == pressNudge):
		t.tell(c.ID, wording.StoppedStill, wording.Facts{Name: c.Name})
		return
	case !ok || e == nil || e.Chat != c.ID:
		t.out.Toast = t.word(wording.ForeignButton, wording.Facts{})
		t.lead(c, t.out.Toast)
		return
	case p.question == pressNudge:
		t.nudgePressed(c, e, p, w)
		return
	case p.question == pressWear:
		t.wearPressed(c, e, p, w)
		return
	case p.question == pressReview:
		t.reviewPressed(c, e, p, w)
		return
	case p.question == pressSettings:
		t.settingsPressed(c, e, p, w)
		return
	case p.question == pressAgree:
		t.agreePressed(c, e, p, w)
		return
	case p.question == pressQuery:
		t.queryPressed(c, e, p, w)
		return
	case p.question == pressDeposit:
		t.depositPressed(c, e, p, w)
		return
	case p.question == pressVisit:
		t.visitPressed(c, e, p, w)
		return
	case p.question == pressMove:
		t.movePressed(c, e, p, w)
		return
	case !e.open() || p.rev != e.Rev || p.question != e.At:
		t.stale(c, e, p)
		return
	}
	q := t.find(e, p.question)
	if q == nil {
		t.stale(c, e, p)
		return
	}
	switch p.choice {
	case choiceBack:
		t.takeOff(w)
		t.back(e)
		return
	case choicePerson:
		t.callPerson(c)
		return
	case choiceAgain:
		t.takeOff(w)
		t.again(c, e)
		return
	case choiceChange:
		t.review(e)
		return
	}
	t.pressed(e, q, p.choice, w)
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
