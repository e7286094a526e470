package conversations

import (
	"slices"
	"time"
)

// A chat keeps the finished jobs about which something may still be said, so that
// they are looked after together: one message a day about all of them, one plan of
// reminders for a car however often it has been here.

// mostJobs bounds how many are kept. Whoever brings more cars than these in half a
// year hears of the latest.
const mostJobs = 12

// remembered puts a job among those of its chat, the latest last.
func (t *turn) remembered(c *Chat, e *Enquiry) {
	if !slices.Contains(c.Jobs, e.ID) {
		c.Jobs = append(c.Jobs, e.ID)
	}
	if n := len(c.Jobs) - mostJobs; n > 0 {
		c.Jobs = slices.Clone(c.Jobs[n:])
	}
}

// jobs are the finished jobs of a chat, the oldest first. One that a release before
// this kept nowhere is put among them when something falls due for it.
func (t *turn) jobs(c *Chat) []*Enquiry {
	var out []*Enquiry
	for _, id := range c.Jobs {
		if e := t.enquiry(id); e != nil && e.Stage == Done && e.Work != nil {
			out = append(out, e)
		}
	}
	slices.SortStableFunc(out, func(a, b *Enquiry) int { return a.Work.At.Compare(b.Work.At) })
	return out
}

// sameCar tells whether two enquiries are about one car, as far as anybody has said.
func sameCar(a, b *Enquiry) bool { return a.Car != nil && b.Car != nil && *a.Car == *b.Car }

// sameDay tells whether two moments lie on one day where the business is.
func (t *turn) sameDay(a, b time.Time) bool {
	return !a.IsZero() && a.In(t.Zone).Format(time.DateOnly) == b.In(t.Zone).Format(time.DateOnly)
}

// visiting is the enquiry in hand if it is a visit that is booked, or being booked,
// nil if not.
func (t *turn) visiting(c *Chat) *Enquiry {
	if e := t.current(c); e != nil && e.Slot != nil && (e.Stage == Held || e.Stage == Waits || e.Stage == Booked) {
		return e
	}
	return nil
}
