package diary

import (
	"iter"
	"math"
	"time"
)

// Starts is [Free] one by one, for a caller who needs only the first few.
func Starts(days map[string]Day, w Wish, r Rules, now time.Time) iter.Seq[Slot] {
	return NewBook(Ahead(days, r, now), r, now).Starts(w)
}

// search is the look through a book, and what it knows of the day it is at.
// Inside a day, moments are nanoseconds since 1970: comparing those is most of
// the work.
type search struct {
	book  *Book
	wish  *Wish
	rules *Rules
	// need and dry are the wish's; earliest is the earliest start and latest the
	// latest moment at which the car may be had back. A day of less room than
	// least is of no use.
	need, dry, least, earliest, latest int64
	// way is that between the base and the wish's place.
	way time.Duration
	// week are the hours in which there may be work at the place.
	week [7][]Span
	// spread jobs run over several days; choosy wishes leave days out.
	spread, choosy bool

	// page is the day, home from when to when the business works on it, and open the
	// hours in which there may be work.
	page *page
	home period
	open []period
	// taken is the day's time that is not free.
	taken []block
	// lit is the time between dawn and dusk, once it is known.
	lit   period
	isLit bool
}

func newSearch(b *Book, w *Wish) *search {
	r := &b.rules
	s := &search{
		book: b, wish: w, rules: r, need: int64(w.Need), dry: int64(w.Dry), least: max(1, int64(w.Need)), latest: math.MaxInt64,
		earliest: b.now.Add(r.Notice).UnixNano(), way: r.Travel.Between(r.Base, w.Point),
		spread: w.Spread || w.Need > r.Hours.longest(), choosy: w.Only.picksDays(),
	}
	if s.spread {
		s.least = 1
	}
	for _, from := range []time.Time{w.From, w.Only.From} {
		if !from.IsZero() {
			s.earliest = max(s.earliest, from.UnixNano())
		}
	}
	for _, to := range []time.Time{w.To, w.Only.To} {
		if !to.IsZero() {
			s.latest = min(s.latest, to.UnixNano())
		}
	}
	for day, spans := range b.week {
		if s.week[day] = spans; w.Allowed != nil {
			s.week[day] = within(spans, w.Allowed[time.Weekday(day)])
		}
	}
	return s
}

// own tells whether some of the i-th day is taken by what the wish is to take the
// place of, so that there is more room than the book says.
func (s *search) own(i int) bool {
	if s.wish.Instead == "" || i >= len(s.book.days) {
		return false
	}
	entries := s.book.days[i].Entries
	for j := range entries {
		if s.wish.instead(&entries[j]) {
			return true
		}
	}
	return false
}

// day yields the slots of the i-th day and reports whether to go on.
func (s *search) day(i int, yield func(Slot) bool) bool {
	if s.spread {
		slot, ok := s.row(i)
		return !ok || yield(slot)
	}
	if !s.enter(s.book.page(i)) {
		return true
	}
	most := int64(0)
	for _, p := range s.open {
		most = max(most, p.to-p.from)
	}
	for i := range s.open {
		if !s.span(i, s.need > most, yield) {
			return false
		}
	}
	return true
}

// enter turns to a day on which there is work, and reports whether it may hold
// this job as well.
func (s *search) enter(p *page) bool {
	if s.choosy && !s.wish.Only.HasDay(p.weekday, string(p.key[:])) {
		return false
	}
	s.page, s.home, s.isLit, s.open = p, p.home, false, s.open[:0]
	var hours []Span
	if p.works {
		hours = s.week[p.weekday]
	}
	if p.open != nil && !s.spread {
		s.home, hours = p.wide, p.open
		if s.wish.Allowed != nil {
			hours = within(hours, s.wish.Allowed[p.weekday])
		}
	}
	for _, span := range hours {
		s.open = append(s.open, period{s.book.moment(p.midnight, span.From), s.book.moment(p.midnight, span.To)})
	}
	return len(s.open) > 0 && s.take(p.entries)
}

// shut is when the day's last hours end.
func (s *search) shut() int64 { return s.open[len(s.open)-1].to }

// span yields the slots that start in the i-th span of hours and reports
// whether to go on. The job pauses over breaks if it may.
func (s *search) span(i int, pauses bool, yield func(Slot) bool) bool {
	limit := s.latest
	if !s.wish.Overnight {
		limit = min(limit, s.shut())
	}
	open := s.open[i]
	for start := onGrid(open.from, s.earliest); start < open.to; {
		end, ok := s.finish(i, start, pauses)
		if !ok || end > limit-s.dry {
			break
		}
		beside, until := s.among(start, end)
		if until > start {
			start = onGrid(open.from, until)
			continue
		}
		if s.light(start, end) && s.reach(start, end) {
			if slot, ok := s.slot(start, end); ok {
				slot.Days, slot.Beside, slot.Drive = 1, beside, s.drive(start, end)
				if !yield(slot) {
					return false
				}
			}
		}
		start += int64(Step)
	}
	return true
}

// finish is when a job ends that starts in the i-th span of hours.
func (s *search) finish(i int, start int64, pauses bool) (end int64, ok bool) {
	if !pauses {
		end = start + s.need
		return end, end <= s.open[i].to
	}
	left := s.need
	for _, p := range s.open[i:] {
		from := max(start, p.from)
		if left <= p.to-from {
			return from + left, true
		}
		left -= p.to - from
	}
	return 0, false
}

// slot is a time as it is offered, if it comes into question.
func (s *search) slot(start, end int64) (Slot, bool) {
	from := time.Unix(0, start).In(s.rules.Loc)
	slot := Slot{Start: from, End: from.Add(time.Duration(end - start)), Ready: from.Add(time.Duration(end - start + s.dry))}
	if !s.wish.Only.Has(slot.Start, slot.Ready) {
		return slot, false
	}
	slot.Fits = s.wish.fits(slot.Start, slot.Ready)
	return slot, true
}

// light tells whether the sun is up for work from start to end, where that
// matters.
func (s *search) light(start, end int64) bool {
	if !s.wish.Outdoor {
		return true
	}
	lit := s.daylight()
	return start >= lit.from && end+s.dry <= lit.to
}

// daylight bounds outdoor work on the day.
func (s *search) daylight() period {
	if s.isLit {
		return s.lit
	}
	at := s.wish.Point
	if !at.Known() {
		at = s.rules.Base
	}
	if !at.Known() {
		at = middleOfBritain()
	}
	rise, set, light := Sun(time.Unix(s.page.midnight, 0).UTC(), at)
	s.isLit = true
	switch light {
	case AlwaysUp:
		s.lit = period{math.MinInt64, math.MaxInt64}
	case NeverUp:
		s.lit = period{math.MaxInt64, math.MinInt64}
	default:
		// A job that stops at dusk and goes on in the morning ends on a full minute.
		s.lit = period{rise.UnixNano(), set.Add(-s.rules.Dusk).Truncate(time.Minute).UnixNano()}
	}
	return s.lit
}

// onGrid is the first moment on the grid that begins at open which is not
// before t.
func onGrid(open, t int64) int64 {
	if t <= open {
		return open
	}
	return open + (t-open+int64(Step)-1)/int64(Step)*int64(Step)
}
