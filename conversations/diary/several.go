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

// add gives the job the day that was entered, as far as it needs it, and reports
// whether it can have it.
func (s *search) add(job *row) bool {
	bounds := period{math.MinInt64, math.MaxInt64}
	if s.wish.Outdoor {
		bounds = s.daylight()
	}
	if s.rules.DriveInHours {
		bounds.from, bounds.to = max(bounds.from, s.home.from+int64(s.way)), min(bounds.to, s.home.to-int64(s.way))
	}
	from, end, left := s.fill(job.left, bounds)
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
