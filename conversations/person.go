package conversations

import (
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// callPerson tells the owner that somebody wants him, and the customer that he
// has been told.
func (t *turn) callPerson(c *Chat) {
	e := t.current(c)
	if e == nil {
		e = t.begin(c)
	}
	c.Person, c.Passed = true, false
	t.toOwner(wording.OwnerPerson, e, wording.Facts{}, pressWrite, pressHand)
	t.lead(c, t.word(wording.PersonCalled, wording.Facts{Name: c.Name}))
}

// wantsPerson takes a press for a person. The second press of a double press, or
// one from further up, tells the owner nothing new.
func (t *turn) wantsPerson(c *Chat) {
	if c.Person {
		t.lead(c, t.word(wording.PersonKnows, wording.Facts{Name: c.Name}))
		return
	}
	t.callPerson(c)
}

// passOn hands the customer's words to the owner. The customer hears once that
// they went to a person.
func (t *turn) passOn(c *Chat, text string) {
	e := t.current(c)
	t.tellBoss(wording.OwnerTheirText, e, text, pressWrite, pressHand)
	if off := t.toKeepFree(c, e, text); off != "" {
		t.toOwner(wording.OwnerKeepFree, e, wording.Facts{Text: off})
	}
	if !c.Person || !c.Passed {
		c.Person, c.Passed = true, true
		f := wording.Facts{}
		if !e.open() {
			f.Text = t.standing(e)
		}
		t.tell(c.ID, wording.PassedOn, f)
	}
}

// toKeepFree is what the owner may write to keep free a time he is agreeing on himself,
// "off 15 Apr 10:00 to 14:30", when the customer names one day and hour to him. Empty where
// they have a time already, or name none.
func (t *turn) toKeepFree(c *Chat, e *Enquiry, text string) string {
	if !c.Person || !e.open() || e.Slot != nil || e.Quote == nil || t.need(e.Quote) <= 0 {
		return ""
	}
	m := when.Read(t.asRead(text), t.saidAt())
	if len(m.Prefer) != 1 || len(m.Doubts)+len(t.unclear(m)) > 0 || !toTheQuarter(m.Prefer[0]) {
		return ""
	}
	w := m.Prefer[0]
	if len(w.Weekdays)+len(w.On) != 1 || !w.From.IsZero() {
		return ""
	}
	for _, date := range t.horizon() {
		day, err := time.ParseInLocation(time.DateOnly, date, t.Zone)
		if err != nil || !w.HasDay(day.Weekday(), date) {
			continue
		}
		const quarter = 15 // minutes to either side of the hour that was named
		y, mo, d := day.Date()
		start := time.Date(y, mo, d, 0, w.StartFrom+quarter, 0, 0, t.Zone)
		end := start.Add(t.need(e.Quote))
		if !start.After(t.now) || diary.Key(end, t.Zone) != date {
			return ""
		}
		return "off " + start.Format("2 Jan 15:04") + " to " + end.Format("15:04")
	}
	return ""
}
