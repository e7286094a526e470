package diary

import (
	"math"
	"time"
)

// row is the job of several days that starts on the i-th day, if it can. It has
// the working days in a row whole, the last until it is done.
func (s *search) row(i int) (Slot, bool) {
	job := row{left: s.need}
	for ; i <= s.rules.HorizonDays; i++ {
		p := s.book.page(i)
		if !p.works && job.days > 0 {
			continue
		}
		if !p.works || !s.enter(p) || !s.add(&job) {
			return Slot{}, false
		}
		if job.left == 0 {
			slot, ok := s.slot(job.start, job.end)
			slot.Days, slot.Beside, slot.Drive = job.days, job.beside, job.drive
			return slot, ok
		}
	}
	return Slot{}, false
}

// row is a job of several days in the making.
type row struct {
	start, end int64
	left       int64 // work still to be placed
	days       int
	beside     bool
	drive      time.Duration
}

// leastVisit is the least work of a last day: nobody comes, or brings a car again, for a
// quarter of an hour, so that the day before leaves as much (common practice, no source).
const leastVisit = int64(time.Hour)

// overLeft is what is left for another day where a day could do all but rest of a work.
func overLeft(work, rest int64) int64 {
	if 0 < rest && rest < leastVisit && work >= 2*leastVisit {
		return leastVisit
	}
	return rest
}

// add gives the job the day that was entered, as far as it needs it, and reports
// whether it can have it.
func (s *search) add(job *row) bool {
	from, end, left := s.fill(job.left, s.bounds())
	if rest := overLeft(job.left, left); rest > left {
		from, end, _ = s.fill(job.left-rest, s.bounds())
		left = rest
	}
	if left == job.left || job.days == 0 && from < s.earliest {
		return false
	}
	taken := s.home
	if job.days == 0 {
		job.start, taken.from = from, from
	}
	if left == 0 {
		taken.to = end
		if limit := s.latest - s.dry; end > limit || !s.wish.Overnight && end > s.shut()-s.dry || !s.light(from, end) {
			return false
		}
	}
	beside, until := s.among(taken.from, taken.to)
	job.end, job.left, job.days, job.beside = end, left, job.days+1, job.beside || beside
	job.drive += s.drive(taken.from, taken.to)
	return until <= taken.from
}

// bounds are those of work on the day that was entered, beside its hours.
func (s *search) bounds() period {
	bounds := period{math.MinInt64, math.MaxInt64}
	if s.wish.Outdoor {
		bounds = s.daylight()
	}
	if s.rules.DriveInHours {
		bounds.from, bounds.to = max(bounds.from, s.home.from+int64(s.way)), min(bounds.to, s.home.to-int64(s.way))
	}
	return bounds
}

// Over is when a job that is begun or gone on with at a moment is done if it is worked
// on, as of Wish.Need, on as many working days in a row as it takes, whatever else they
// hold. It reports false if that is not within the horizon, counted from the moment.
func (r Rules) Over(w Wish, start time.Time) (end time.Time, ok bool) {
	s := newSearch(NewBook(nil, r, start), &w)
	s.spread, s.choosy = true, false
	left, done := s.need, start.UnixNano()
	for i := 0; i <= r.HorizonDays && left > 0; i++ {
		if p := s.book.page(i); !p.works || !s.enter(p) {
			continue
		}
		bounds := s.bounds()
		if i > 0 {
			if _, end, rest := s.fill(left, bounds); rest < left {
				done, left = end, overLeft(left, rest)
			}
			continue
		}
		before := left
		for _, p := range s.open {
			begin := max(p.from, bounds.from, start.UnixNano())
			if work := min(left, min(p.to, bounds.to)-begin); work > 0 {
				done, left = begin+work, left-work
			}
		}
		left = overLeft(before, left)
	}
	return time.Unix(0, done).In(r.Loc), left == 0
}

// fill works in the day's hours, as far as they lie in bounds, and from the grid
// on. It returns when that begins and ends, and what is left then.
func (s *search) fill(need int64, bounds period) (from, end, left int64) {
	from, left = math.MinInt64, need
	for _, p := range s.open {
		begin, stop := p.from, min(p.to, bounds.to)
		if from == math.MinInt64 {
			begin = onGrid(p.from, bounds.from)
		}
		if begin >= stop {
			continue
		}
		if from == math.MinInt64 {
			from = begin
		}
		work := min(left, stop-begin)
		end, left = begin+work, left-work
		if left == 0 {
			break
		}
	}
	return from, end, left
}
