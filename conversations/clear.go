package conversations

import (
	"slices"
	"time"
)

// An enquiry nobody booked is cleared out when the months the rules say have gone by
// since somebody last did something about it, as the customer is told who asks what
// we keep. What was agreed, done or paid stays.

// unbooked tells whether an enquiry came to nothing that must be kept: no time, no
// work, no plan of reminders, no money, nobody missed.
func (e *Enquiry) unbooked() bool {
	paid := slices.ContainsFunc(e.Deposits, func(d Deposit) bool { return !d.Paid.IsZero() })
	return (e.Stage == Asking || e.Stage == Closed) && e.Slot == nil && e.Move == nil && e.Job == nil && e.Work == nil &&
		e.Plan == nil && len(e.Absences) == 0 && !paid
}

// clearAt is when an enquiry that was last touched so is cleared out.
func (t *turn) clearAt(touched time.Time) time.Time {
	return touched.In(t.Zone).AddDate(0, t.Rules.Quotes.ClearMonths(), 0)
}

// stamp remembers when an enquiry was last touched by a person, and has it looked
// at again when it may be cleared out. The moment is set once and finds out itself
// whether more was said meanwhile: moving it with every message would be a waste.
func (t *turn) stamp(e *Enquiry) {
	if !e.unbooked() || t.event.Chat == 0 && !e.Touched.IsZero() {
		return
	}
	if e.Touched.IsZero() {
		t.set(t.clearAt(t.now), Came{Kind: CameClear, Enquiry: e.ID})
	}
	e.Touched = t.now.UTC().Truncate(time.Second)
}

// ToClear tells whether a stored enquiry is to be looked at now ([CameClear]) without
// its moment: one that a release kept that knew of none, or one that is overdue, as
// after an import or when the rules have become stricter. months are those the rules
// say.
func ToClear(e *Enquiry, months int, now time.Time) bool {
	return e.unbooked() && (e.Touched.IsZero() || !now.Before(e.Touched.AddDate(0, months, 1))) // a day for zones
}

// clear takes an enquiry out, if its time has come.
func (t *turn) clear(e *Enquiry) {
	c := t.chat(e.Chat)
	switch {
	case e.Stage == Done:
		return // it became a job
	case e.Touched.IsZero():
		t.stamp(e) // kept by an earlier release: the months begin now
		return
	case !e.unbooked():
		if e.Stage != Closed {
			t.set(t.clearAt(t.now), Came{Kind: CameClear, Enquiry: e.ID})
		}
		return
	case t.now.Before(t.clearAt(e.Touched)):
		t.set(t.clearAt(e.Touched), Came{Kind: CameClear, Enquiry: e.ID})
		return
	case len(e.Waiting) > 0 || slices.Contains(c.Visits, e.ID):
		t.set(t.now.AddDate(0, 0, 1), Came{Kind: CameClear, Enquiry: e.ID}) // the owner has yet to hear of it
		return
	}
	t.unsetAll(clears, e)
	for n := range e.Photos {
		t.out.Unset = append(t.out.Unset, dueID(Came{Kind: CamePhoto, Enquiry: e.ID, Photo: n}))
	}
	t.leave(c, e)
	if t.Owner != 0 {
		owner := t.chat(t.Owner)
		owner.leave(e.ID)
		if owner.Guest == c.ID && c.Enquiry == "" {
			owner.Guest = 0 // whose form he was filling
		}
	}
	t.enquiries[e.ID] = nil
	t.out.Drop = append(t.out.Drop, enquiryKey(e.ID))
}

// leave turns a chat from an enquiry that goes to what is left of theirs: what is to
// come before what is over. If that is nothing, also what the chat knows of the person
// goes, but for what they do not want, and the count that keeps ids apart.
func (t *turn) leave(c *Chat, gone *Enquiry) {
	left := t.others(c, gone.ID)
	if c.Enquiry == gone.ID {
		c.Enquiry, c.Person = "", false
		for _, e := range left {
			if now := t.current(c); now == nil || e.ahead() || !now.ahead() {
				c.Enquiry = e.ID
			}
		}
	}
	if c.Answering == gone.ID {
		c.Answering = ""
	}
	if len(left) == 0 && len(c.Took) == 0 {
		c.Name, c.TimeZone, c.Language, c.Reads, c.Heard, c.Excused = "", "", "", "", time.Time{}, time.Time{}
	}
}

// ahead tells whether an enquiry has a time that is to come, or may get one.
func (e *Enquiry) ahead() bool { return e.Stage != Done && e.Stage != Closed }

// others are a chat's enquiries but one, those taken over from a guest first, each
// the oldest first.
func (t *turn) others(c *Chat, but string) (out []*Enquiry) {
	for _, whose := range append(slices.Clone(c.Took), c.ID) {
		for n := range t.chat(whose).Count {
			id := enquiryID(whose, n+1)
			if id == but {
				continue
			}
			if e := t.enquiry(id); e != nil && e.Chat == c.ID {
				out = append(out, e)
			}
		}
	}
	return out
}

// leave ends what the owner was in the middle of with an enquiry.
func (c *Chat) leave(id string) {
	for _, at := range []*string{&c.Writing, &c.Finishing} {
		if *at == id {
			*at = ""
		}
	}
	if c.Job == id {
		c.Job, c.Noting = "", ""
	}
	if c.Typing != nil && c.Typing.Enquiry == id {
		c.Typing = nil
	}
}
