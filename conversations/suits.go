package conversations

import (
	"slices"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
)

// suits takes what somebody says of when it suits them, and reports whether it
// said anything. What was said before counts no more. From are the times "an hour
// later" may be told from.
func (t *turn) suits(e *Enquiry, text string, from ...time.Time) bool {
	as := t.asRead(text)
	if as != text && len(when.Read(text, t.saidAt()).Unread) == 0 {
		as = text // all of it is a time as it stands: a date, or words in the business's own language
	}
	return t.suitsRead(e, as, text, from...)
}

// suitsRead is suits of a text in the words that are read, and as it was said.
func (t *turn) suitsRead(e *Enquiry, text, said string, from ...time.Time) bool {
	m, _ := when.ReadFrom(text, t.saidAt(), from...)
	unclear := t.unclear(m)
	if text != said {
		for i := range unclear {
			unclear[i].Said = said
		}
	}
	if len(m.Prefer)+len(unclear) == 0 && m.Only.Any() {
		return false
	}
	e.Times, e.Only, e.Unclear = m.Prefer, bounds(m), unclear
	t.needBy(e)
	return true
}

// needBy remembers the day by which a car is needed, and keeps to it when a time is named
// later on that may lie before it.
func (t *turn) needBy(e *Enquiry) {
	if e.Only != nil && !e.Only.To.IsZero() {
		e.Needed = lastDay(e.Only.To.In(t.Zone))
		return
	}
	day, err := time.ParseInLocation(time.DateOnly, e.Needed, t.Zone)
	if err != nil {
		return
	}
	end := day.AddDate(0, 0, 1)
	beyond := func(w diary.Times) bool {
		return !w.From.IsZero() && !w.From.Before(end) || slices.ContainsFunc(w.On, func(d string) bool { return d > e.Needed })
	}
	if slices.ContainsFunc(e.Times, beyond) || e.Only != nil && beyond(*e.Only) {
		return
	}
	if e.Only == nil {
		e.Only = &diary.Times{}
	}
	e.Only.To = end
}

// lastDay is the day before the moment by which a car has to be back.
func lastDay(to time.Time) string { return to.Add(-time.Minute).Format(time.DateOnly) }

// neededWords is that day as it is read.
func (t *turn) neededWords(e *Enquiry) string {
	day, err := time.ParseInLocation(time.DateOnly, e.Needed, t.Zone)
	if err != nil {
		return ""
	}
	return t.Words.Date(day)
}

// tooLate tells whether the car is needed before any of these times would be over.
func (t *turn) tooLate(e *Enquiry, free []diary.Slot) bool {
	return e.Needed != "" && !slices.ContainsFunc(free, func(s diary.Slot) bool { return diary.Key(s.Ready, t.Zone) <= e.Needed })
}

// loosen lets a bound go that leaves no time at all: the last day first, and then the rest.
func (t *turn) loosen(e *Enquiry) {
	if e.Only == nil {
		return
	}
	only := *e.Only
	only.To = time.Time{}
	if e.Only = &only; only.Any() || len(t.free(e, time.Time{})) == 0 {
		e.Only = nil
	}
}

// bounds are those that a meaning sets, nil for none.
func bounds(m when.Meaning) *diary.Times {
	if m.Only.Any() {
		return nil
	}
	return &m.Only
}
