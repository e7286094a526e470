package diary

import (
	"iter"
	"time"
)

// Starts is [Free] one by one, for a caller who needs only the first few.
func Starts(days map[string]Day, w Wish, r Rules, now time.Time) iter.Seq[Slot] {
	return func(yield func(Slot) bool) {
		s := search{wish: &w, rules: &r, now: now, earliest: now.Add(r.Notice)}
		if w.From.After(s.earliest) {
			s.earliest = w.From
		}
		y, m, d := now.In(r.Loc).Date()
		for i := range r.HorizonDays + 1 {
			s.date = time.Date(y, m, d+i, 0, 0, 0, 0, time.UTC)
			if !s.day(days, yield) {
				return
			}
		}
	}
}

// search is the look through the days, and what it knows of the day it is at.
type search struct {
	wish     *Wish
	rules    *Rules
	now      time.Time
	earliest time.Time
	// date is the local date, written as midnight UTC: arithmetic on dates is
	// best done where no clock changes.
	date  time.Time
	taken []Entry
	// dawn and dusk bound outdoor work once they are known.
	dawn, dusk time.Time
	lit        bool
}

// day yields the day's slots and reports whether to go on.
func (s *search) day(days map[string]Day, yield func(Slot) bool) bool {
	spans := s.rules.Hours[s.date.Weekday()]
	if len(spans) == 0 {
		return true
	}
	var buf [len(time.DateOnly)]byte
	key := s.date.AppendFormat(buf[:0], time.DateOnly)
	if s.rules.Closed[string(key)] {
		return true
	}
	s.taken, s.lit = days[string(key)].Entries, false
	if s.full() {
		return true
	}
	for _, span := range spans {
		if !s.span(span, yield) {
			return false
		}
	}
	return true
}

// full tells whether the day holds as many jobs as it may.
func (s *search) full() bool {
	jobs := 0
	for _, e := range s.taken {
		if e.Kind != Off && !e.lapsed(s.now) {
			jobs++
		}
	}
	return s.rules.MaxPerDay > 0 && jobs >= s.rules.MaxPerDay
}

// span yields the slots in one span of hours and reports whether to go on.
func (s *search) span(span Span, yield func(Slot) bool) bool {
	open, shut := moment(s.date, span.From, s.rules.Loc), moment(s.date, span.To, s.rules.Loc)
	limit := shut.Add(-s.wish.Dry)
	if to := s.wish.To; !to.IsZero() && to.Before(limit) {
		limit = to
	}
	for start := onGrid(open, s.earliest); !start.Add(s.wish.Need).After(limit); {
		end := start.Add(s.wish.Need)
		beside, until := s.among(start, end)
		if !until.IsZero() {
			start = onGrid(open, until)
			continue
		}
		if s.light(start, end) {
			start := start.In(s.rules.Loc)
			slot := Slot{Start: start, End: end.In(s.rules.Loc), Fits: s.wish.Prefer.fits(start), Beside: beside}
			if !yield(slot) {
				return false
			}
		}
		start = start.Add(Step)
	}
	return true
}

// among looks at the neighbours of the time from start to end. If one of them
// is in the way, until is when it is no longer. Else beside tells whether one
// is close by.
func (s *search) among(start, end time.Time) (beside bool, until time.Time) {
	for _, e := range s.taken {
		if e.lapsed(s.now) {
			continue
		}
		gap := s.gap(e)
		after, before := start.Sub(e.End)-gap, e.Start.Sub(end)-gap
		switch {
		case after < 0 && before < 0:
			return false, e.End.Add(gap)
		case e.Kind == Off:
		case after >= 0 && after < Step, before >= 0 && before < Step:
			beside = true
		}
	}
	return beside, time.Time{}
}

// gap is the least time between an entry and the work that is looked for.
func (s *search) gap(e Entry) time.Duration {
	if e.Kind == Off {
		return 0
	}
	return s.rules.Buffer + s.rules.Travel.Between(e.Point, s.wish.Point)
}

// light tells whether the sun is up for work from start to end, where that
// matters.
func (s *search) light(start, end time.Time) bool {
	if !s.wish.Outdoor {
		return true
	}
	if !s.lit {
		s.lit = true
		s.dawn, s.dusk = s.daylight()
	}
	return !start.Before(s.dawn) && !end.Add(s.wish.Dry).After(s.dusk)
}

// daylight bounds outdoor work on the day.
func (s *search) daylight() (dawn, dusk time.Time) {
	at := s.wish.Point
	if !at.Known() {
		at = s.rules.Base
	}
	if !at.Known() {
		at = middleOfBritain()
	}
	rise, set, light := Sun(s.date, at)
	switch light {
	case AlwaysUp:
		return s.date.AddDate(0, 0, -1), s.date.AddDate(0, 0, 2)
	case NeverUp:
		return s.date, s.date.AddDate(0, 0, -1)
	}
	return rise, set.Add(-DuskMargin)
}

// onGrid is the first moment on the grid that begins at open which is not
// before t.
func onGrid(open, t time.Time) time.Time {
	late := t.Sub(open)
	if late <= 0 {
		return open
	}
	return open.Add((late + Step - 1) / Step * Step)
}

// moment is when the clock on the wall shows so many minutes from midnight on a
// date. If the clock skips that time, it is the moment at which it skips.
func moment(date time.Time, minutes int, loc *time.Location) time.Time {
	y, m, d := date.Date()
	t := time.Date(y, m, d, 0, minutes, 0, 0, loc)
	_, offset := t.Zone()
	shown, asked := t.Unix()+int64(offset), date.Unix()+int64(minutes)*60
	if shown == asked {
		return t
	}
	from, until := t.ZoneBounds()
	if shown < asked {
		return until
	}
	return from
}
