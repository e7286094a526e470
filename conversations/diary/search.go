package diary

import (
	"iter"
	"math"
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
		s.date = time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
		for range r.HorizonDays + 1 {
			if !s.day(days, yield) {
				return
			}
			s.date = s.date.Add(24 * time.Hour) // in UTC, where every day has 24
		}
	}
}

// search is the look through the days, and what it knows of the day it is at.
// Inside a day, moments are nanoseconds since 1970: comparing those is most of
// the work.
type search struct {
	wish     *Wish
	rules    *Rules
	now      time.Time
	earliest time.Time
	wall     wall
	// date is the local date, written as midnight UTC.
	date time.Time
	// taken is the day's time that is not free.
	taken []block
	// dawn and dusk bound outdoor work, once lit says they are known.
	dawn, dusk int64
	lit        bool
}

// block is time that is not free: an entry, with what must be kept free before
// and after it.
type block struct {
	from, to int64
	job      bool
}

// day yields the day's slots and reports whether to go on.
func (s *search) day(days map[string]Day, yield func(Slot) bool) bool {
	spans := s.rules.Hours[s.date.Weekday()]
	if len(spans) == 0 {
		return true
	}
	var buf [len(time.RFC3339)]byte
	key := s.date.AppendFormat(buf[:0], time.RFC3339)[:len(time.DateOnly)] // the one layout Go prints quickly
	if s.rules.Closed[string(key)] || !s.take(days[string(key)]) {
		return true
	}
	s.lit = false
	for _, span := range spans {
		if !s.span(span, yield) {
			return false
		}
	}
	return true
}

// take notes what of the day is taken, and reports whether it may hold one more
// job.
func (s *search) take(d Day) bool {
	s.taken = s.taken[:0]
	jobs := 0
	for i := range d.Entries {
		e := &d.Entries[i]
		if e.lapsed(s.now) {
			continue
		}
		b := block{from: e.Start.UnixNano(), to: e.End.UnixNano(), job: e.Kind != Off}
		if b.job {
			jobs++
			gap := s.rules.Buffer + s.rules.Travel.Between(e.Point, s.wish.Point)
			b.from, b.to = b.from-int64(gap), b.to+int64(gap)
		}
		s.taken = append(s.taken, b)
	}
	return s.rules.MaxPerDay == 0 || jobs < s.rules.MaxPerDay
}

// span yields the slots in one span of hours and reports whether to go on.
func (s *search) span(span Span, yield func(Slot) bool) bool {
	open, shut := s.wall.moment(s.date, span.From, s.rules.Loc), s.wall.moment(s.date, span.To, s.rules.Loc)
	limit := shut - int64(s.wish.Dry)
	if to := s.wish.To; !to.IsZero() {
		limit = min(limit, to.UnixNano())
	}
	need := int64(s.wish.Need)
	for start := onGrid(open, s.earliest.UnixNano()); start+need <= limit; {
		beside, until := s.among(start, start+need)
		if until > start {
			start = onGrid(open, until)
			continue
		}
		if s.light(start, start+need) && !yield(s.slot(start, beside)) {
			return false
		}
		start += int64(Step)
	}
	return true
}

func (s *search) slot(start int64, beside bool) Slot {
	from := time.Unix(0, start).In(s.rules.Loc)
	return Slot{Start: from, End: from.Add(s.wish.Need), Fits: s.wish.Prefer.fits(from), Beside: beside}
}

// among looks at the neighbours of the time from start to end. If one of them
// is in the way, until is when it is no longer, which is after start. Else
// beside tells whether a job is close by.
func (s *search) among(start, end int64) (beside bool, until int64) {
	for _, b := range s.taken {
		after, before := start-b.to, b.from-end
		if after < 0 && before < 0 {
			return false, b.to
		}
		if b.job && (after >= 0 && after < int64(Step) || before >= 0 && before < int64(Step)) {
			beside = true
		}
	}
	return beside, start
}

// light tells whether the sun is up for work from start to end, where that
// matters.
func (s *search) light(start, end int64) bool {
	if !s.wish.Outdoor {
		return true
	}
	if !s.lit {
		s.lit = true
		s.dawn, s.dusk = s.daylight()
	}
	return start >= s.dawn && end+int64(s.wish.Dry) <= s.dusk
}

// daylight bounds outdoor work on the day.
func (s *search) daylight() (dawn, dusk int64) {
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
		return math.MinInt64, math.MaxInt64
	case NeverUp:
		return math.MaxInt64, math.MinInt64
	}
	return rise.UnixNano(), set.Add(-DuskMargin).UnixNano()
}

// onGrid is the first moment on the grid that begins at open which is not
// before t.
func onGrid(open, t int64) int64 {
	if t <= open {
		return open
	}
	return open + (t-open+int64(Step)-1)/int64(Step)*int64(Step)
}
