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
			m.Choices = t.theirWays(e)
		}
		if t.atTheCar(e) {
			m.Text += " " + t.word(wording.IfYouNeedUs, wording.Facts{})
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
	if t.atTheCar(e) {
		return t.word(wording.StandsAtCar, f)
	}
	switch e.Stage {
	case Waits:
		return t.word(wording.StandsAsked, f)
	case Booked:
		return t.word(wording.StandsBooked, f)
	}
	return t.word(wording.StandsDone, f)
}

// whetherBooked answers who asks whether they are booked.
func (t *turn) whetherBooked(e *Enquiry, _ string) (string, bool) {
	switch e.Stage {
	case Asking:
		return t.word(wording.StandsOpen, wording.Facts{}), false
	case Held:
		f := wording.Facts{When: t.Words.Moment(e.Slot.Start.In(t.Zone))}
		if t.hasHisYes(e) {
			f.Now = "agreed"
		}
		return t.word(wording.StandsKept, f), false
	}
	return t.standing(e), false
}

// ownerStanding says the same to the owner.
func (t *turn) ownerStanding(e *Enquiry) string {
	f := wording.Facts{Name: e.Name, Car: carName(e)}
	if e.Slot != nil {
		f.When = t.Words.Moment(e.Slot.Start.In(t.Zone))
	}
	k := wording.OwnerStandsOpen
	switch {
	case t.atTheCar(e):
		k = wording.OwnerStandsAtCar
	case e.Stage == Waits:
		k = wording.OwnerStandsAsked
	case e.Stage == Booked:
		k = wording.OwnerStandsBooked
	case e.Stage == Done:
		k = wording.OwnerStandsDone
	}
	return t.word(k, f)
}

// openRow is a button that shows the owner a visit as it stands, if there is one.
func (t *turn) openRow(e *Enquiry) []bot.Choice {
	if e.Slot == nil || e.Quote == nil || e.Stage != Waits && e.Stage != Booked && e.Stage != Done {
		return nil
	}
	return t.visitRows([]*Enquiry{e}, func(e *Enquiry) string { return press{e.ID, e.Rev, pressOwner, pressOpen}.data() })[0]
}
