package conversations

import (
	"time"

	"example.org/dryhand/conversations/jobsheet"
)

// course is where a job stands: the sheet, the number of the step in hand in it,
// -1 if all are done, and when it will be finished.
type course struct {
	sheet jobsheet.Sheet
	at    int
	// from and until are those of the step in hand.
	from, until time.Time
	end         time.Time
	// silent: nothing has been marked for so long that the owner is not marking, and what
	// is not marked may be done all the same. The end is then by the clock alone.
	silent bool
}

// longSilent is by how much the step in hand may have passed its time before that says
// nothing any more: hands are wet.
const longSilent = 30 * time.Minute

// course works out where the job stands. The rest takes as long as the sheet
// says; how fast the owner has been so far says little about it.
func (t *turn) course(e *Enquiry) (course, bool) {
	s, ok := t.workSheet(e)
	if !ok {
		return course{}, false
	}
	c := course{sheet: s, at: -1, from: e.Job.Started, end: t.now}
	if n := len(e.Job.Steps); n > 0 {
		c.from = e.Job.Steps[n-1].At
	}
	for i, x := range s.Steps {
		if e.Job.did(x.Task) {
			continue
		}
		takes := x.End.Sub(x.Start)
		if c.at < 0 {
			c.at, c.until = i, c.from.Add(takes)
			c.silent = t.now.Sub(c.until) > longSilent
			if takes = c.until.Sub(t.now); takes < 0 {
				takes = 0 // it has taken longer already
			}
		}
		c.end = c.end.Add(takes)
	}
	if c.silent {
		if c.end = c.end.Add(c.until.Sub(t.now)); c.end.Before(t.now) {
			c.end = t.now
		}
	}
	if e.Job.Until.After(t.now) {
		c.end = e.Job.Until.In(t.Zone) // he knows better than the sheet
		return c, true
	}
	if c.at >= 0 && t.overDays(e) {
		w := t.wish(e)
		w.Need = c.end.Sub(t.now)
		if end, ok := t.diaryRules().Over(w, t.now); ok {
			c.end = end.In(t.Zone)
		}
	}
	return c, true
}

// guesses tells whether when a job will be finished rests on nothing that was marked or said:
// no customer is to be told a figure of it.
func (c *course) guesses(e *Enquiry) bool { return c.silent && !c.end.Equal(e.Job.Until) }

// overDays tells whether a booking takes more than one day.
func (t *turn) overDays(e *Enquiry) bool {
	return len(t.diaryRules().Stretches(e.Slot.Start, e.Slot.End)) > 1
}
