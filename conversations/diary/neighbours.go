package diary

import "time"

// block is time of a day that is not free.
type block struct {
	from, to int64
	// gap is what must be kept free before and after it.
	gap int64
	job bool
	// at is where it is, and way how long it takes to the wish's place.
	at  Point
	way time.Duration
}

// take notes what of the day is taken, and reports whether it may hold one more
// job.
func (s *search) take(entries []Entry) bool {
	s.taken = s.taken[:0]
	jobs := 0
	for i := range entries {
		e := &entries[i]
		if e.lapsed(s.book.now) || s.wish.instead(e) {
			continue
		}
		b := block{from: e.Start.UnixNano(), to: e.End.UnixNano(), job: e.Kind != Off, at: e.Point}
		if b.job {
			jobs++
			b.way = s.rules.Travel.Between(e.Point, s.wish.Point)
			b.gap = int64(s.rules.Buffer + b.way)
		}
		s.taken = append(s.taken, b)
	}
	return s.rules.MaxPerDay == 0 || jobs < s.rules.MaxPerDay
}

// among looks at the neighbours of the time from start to end. If one of them
// is in the way, until is when it is no longer, which is after start. Else
// beside tells whether a job is close by.
func (s *search) among(start, end int64) (beside bool, until int64) {
	for i := range s.taken {
		b := &s.taken[i]
		after, before := start-b.to-b.gap, b.from-b.gap-end
		if after < 0 && before < 0 {
			return false, b.to + b.gap
		}
		if b.job && (after >= 0 && after < int64(Step) || before >= 0 && before < int64(Step)) {
			beside = true
		}
	}
	return beside, start
}

// next are the jobs before and after the time from start to end, nil where there
// is none.
func (s *search) next(start, end int64) (before, after *block) {
	for i := range s.taken {
		switch b := &s.taken[i]; {
		case !b.job:
		case b.to <= start && (before == nil || b.to > before.to):
			before = b
		case b.from >= end && (after == nil || b.from < after.from):
			after = b
		}
	}
	return before, after
}

// reach tells whether the way from the base and back can be driven in working
// hours, where that is asked for.
func (s *search) reach(start, end int64) bool {
	if !s.rules.DriveInHours {
		return true
	}
	before, after := s.next(start, end)
	return (before != nil || start >= s.home.from+int64(s.way)) && (after != nil || end <= s.home.to-int64(s.way))
}

// drive is how much more is driven on the day with a job from start to end.
func (s *search) drive(start, end int64) time.Duration {
	before, after := s.next(start, end)
	if before == nil && after == nil {
		return 2 * s.way
	}
	from, to, with := s.rules.Base, s.rules.Base, 2*s.way
	if before != nil {
		from, with = before.at, with-s.way+before.way
	}
	if after != nil {
		to, with = after.at, with-s.way+after.way
	}
	// Full minutes are rounded up, so that the sum may be less than its parts.
	return max(0, with-s.rules.Travel.Between(from, to))
}
