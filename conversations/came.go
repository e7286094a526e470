package conversations

import (
	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/reminders"
)

// came answers a moment that was asked for. The words are made now, from the
// state of now: what has lost its sense says nothing.
func (t *turn) came(w Came) {
	if w.Kind == CameEvening {
		t.evening(w.Day)
		return
	}
	e := t.enquiry(w.Enquiry)
	if e == nil {
		return
	}
	switch w.Kind {
	case CameAlbum:
		t.albumQuiet(e)
	case CameHold:
		t.lapsed(e)
	case CameAsk:
		t.unanswered(e)
	case CameJob:
		if e.Stage == Booked {
			t.toOwner(wording.OwnerJobEnd, e, wording.Facts{}, pressDone, pressWrite)
		}
	case CameNudge:
		t.nudge(e)
	case CameMove:
		t.moveUnanswered(e)
	}
}

// unanswered reminds the owner once, then gives the time back and tells the
// customer.
func (t *turn) unanswered(e *Enquiry) {
	if e.Stage != Waits {
		return
	}
	if t.now.Before(e.From) {
		t.set(e.From, Came{Kind: CameAsk, Enquiry: e.ID})
		t.toOwner(wording.OwnerAskAgain, e, wording.Facts{Until: t.Words.Moment(e.From.In(t.Zone))}, pressApprove, pressDecline, pressWrite)
		return
	}
	when := t.Words.Moment(e.Slot.Start.In(t.Zone))
	t.toOwner(wording.OwnerLapsed, e, wording.Facts{}, pressWrite)
	t.reopen(e)
	t.put(e, t.word(wording.AskLapsed, wording.Facts{When: when, Name: e.Name}))
}

// nudge tells a customer who asked for it that their protection falls due, once.
func (t *turn) nudge(e *Enquiry) {
	c := t.chat(e.Chat)
	if e.Stage != Done || e.Work == nil || e.Work.Nudged || c.Stopped || c.Blocked || c.NoNudge || !e.has(askConsent, "yes") {
		return
	}
	if at := reminders.Politely(t.now, t.Rules.Nudges, t.Zone); at.After(t.now) {
		t.set(at, Came{Kind: CameNudge, Enquiry: e.ID})
		return
	}
	e.Work.Nudged = true
	e.Rev++
	p, _ := t.Rules.Protection(e.Work.Protection)
	button := func(k wording.Key, choice string) []bot.Choice {
		return []bot.Choice{{Label: t.label(k), Data: press{e.ID, e.Rev, pressNudge, choice}.data()}}
	}
	t.say(bot.Message{
		Chat:     e.Chat,
		Text:     t.word(wording.Nudge, wording.Facts{Name: e.Name, Car: carName(e), Text: p.Words, Day: t.Words.DateYear(e.Work.At.In(t.Zone))}),
		Choices:  [][]bot.Choice{button(wording.LabelTopUp, "yes"), button(wording.LabelLater, "later"), button(wording.LabelNoMore, "never")},
		Delivery: bot.Once,
		Kind:     "nudge",
	})
}

// nudgePressed takes the answer to a nudge.
func (t *turn) nudgePressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Stage != Done || p.rev != e.Rev || e.Work == nil {
		t.out.Toast = t.word(wording.StaleButton, wording.Facts{})
		t.lead(c, t.word(wording.StaleButton, wording.Facts{}))
		return
	}
	t.takeOff(w)
	e.Rev++
	switch p.choice {
	case "yes":
		next := t.begin(c)
		next.Car = e.Car
		next.Answers[askVehicle] = e.Answers[askVehicle]
		next.Trail = []string{askVehicle}
		t.put(next, t.word(wording.TopUpBegun, wording.Facts{Car: carName(e)}))
	case "later":
		e.Work.Nudged = false
		e.Work.Nudge = reminders.Politely(t.now.AddDate(0, 0, 7*t.Rules.Nudges.LaterWeeks), t.Rules.Nudges, t.Zone)
		t.set(e.Work.Nudge, Came{Kind: CameNudge, Enquiry: e.ID})
		t.tell(c.ID, wording.NudgeLater, wording.Facts{When: t.Words.DateYear(e.Work.Nudge.In(t.Zone))})
	default:
		t.stop(c)
	}
}
