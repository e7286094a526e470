package diary

import (
	"iter"
	"math"
	"slices"
	"time"
)

// Book is a diary opened at today, for a number of searches. It finds out about
// a day when a search first comes to it and remembers it for the next: what the
// clock says, whether there is work, and the most room there is, by which most
// days that are full are passed over. It must not be used by two goroutines at
// once, nor after the days it was made from have changed.
type Book struct {
	days  map[string]Day
	rules Rules
	now   time.Time
	week  [7][]Span
	wall  wall
	// rooms are, of each page, how long the longest time is that nothing but a
	// hold takes; zero if the day cannot hold another job. It is kept apart from
	// the pages because a search looks at all of it.
	rooms []int64
	pages []page
	next  date
}

// page is a day of the book.
type page struct {
	date
	// works tells that the business works on the day, and home when.
	works   bool
	home    period
	entries []Entry
}

// period is a time from a moment to another, in nanoseconds since 1970.
type period struct{ from, to int64 }

// NewBook opens a diary. Days holds the days by [Key]; a day that is missing
// holds nothing.
func NewBook(days map[string]Day, r Rules, now time.Time) *Book {
	b := &Book{days: days, rules: r, now: now, next: dateOf(now.In(r.Loc))}
	for day, spans := range r.Hours {
		b.week[day] = spans
	}
	return b
}

// Free are all the starts that are possible for a wish, in order; see [Free].
func (b *Book) Free(w Wish) []Slot { return slices.Collect(b.Starts(w)) }

// Starts is [Book.Free] one by one, for a caller who needs only the first few.
func (b *Book) Starts(w Wish) iter.Seq[Slot] {
	return func(yield func(Slot) bool) {
		s := newSearch(b, &w)
		for i := range b.rules.HorizonDays + 1 {
			if i == len(b.pages) {
				b.turn()
			}
			if b.rooms[i] >= s.least && !s.day(i, yield) {
				return
			}
		}
	}
}

// page is the i-th day from today.
func (b *Book) page(i int) *page {
	for i >= len(b.pages) {
		b.turn()
	}
	return &b.pages[i]
}

// turn finds out about one more day.
func (b *Book) turn() {
	p := page{date: b.next}
	b.next.next()
	room := int64(0)
	if spans := b.week[p.weekday]; len(spans) > 0 && !b.rules.Closed[string(p.key[:])] {
		p.works, p.home = true, period{b.moment(&p, spans[0].From), b.moment(&p, spans[len(spans)-1].To)}
		p.entries = b.days[string(p.key[:])].Entries
		room = b.room(&p)
	}
	if len(b.pages) == 32 { // no short search, then
		b.pages, b.rooms = slices.Grow(b.pages, b.rules.HorizonDays), slices.Grow(b.rooms, b.rules.HorizonDays)
	}
	b.pages, b.rooms = append(b.pages, p), append(b.rooms, room)
}

// room is how long the longest time of a day is that nothing but holds takes, in
// working hours. Of entries that are not in order it is not known, and taken to
// be all day.
func (b *Book) room(p *page) int64 {
	most, free, last := int64(0), p.home.from, int64(math.MinInt64)
	jobs := 0
	for i := range p.entries {
		e := &p.entries[i]
		if e.Kind == Hold {
			continue
		}
		from, gap := e.Start.UnixNano(), int64(0)
		if from < last {
			return p.home.to - p.home.from
		}
		if e.Kind != Off {
			jobs++
			gap = int64(b.rules.Buffer)
		}
		most = max(most, min(from-gap, p.home.to)-free)
		last, free = from, max(free, e.End.UnixNano()+gap)
	}
	if b.rules.MaxPerDay > 0 && jobs >= b.rules.MaxPerDay {
		return 0
	}
	return max(most, p.home.to-free)
}

func (b *Book) moment(p *page, minutes int) int64 {
	return b.wall.moment(p.midnight, minutes, b.rules.Loc)
}
