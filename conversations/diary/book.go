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
	// closed are the rules' closed dates, in order, from the next day on.
	closed []string
	// rooms are, of each day, how long the longest time is that nothing but a hold
	// takes; zero if the day cannot hold another job. It is kept apart from the
	// pages because a search looks at all of it, and at few of those.
	rooms []int64
	// pages are those of the days somebody has looked at more closely, and where are
	// their places there and one more, by the day; zero for none.
	pages []page
	where []int32
	today date
	next  date
}

// page is a day of the book.
type page struct {
	date
	// works tells that the business works on the day, as it usually does, and home
	// when.
	works bool
	home  period
	// open are the hours if they are not the usual ones, and wide is from when to
	// when they are.
	open    []Span
	wide    period
	entries []Entry
}

// period is a time from a moment to another, in nanoseconds since 1970.
type period struct{ from, to int64 }

// NewBook opens a diary. Days holds the days by [Key]; a day that is missing
// holds nothing.
func NewBook(days map[string]Day, r Rules, now time.Time) *Book {
	today := dateOf(now.In(r.Loc))
	b := &Book{days: days, rules: r, now: now, today: today, next: today}
	from := string(today.key[:])
	for date, shut := range r.Closed {
		if shut && date >= from {
			b.closed = append(b.closed, date)
		}
	}
	slices.Sort(b.closed)
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
			if i == len(b.rooms) {
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
	for i >= len(b.rooms) {
		b.turn()
	}
	if b.where[i] == 0 {
		d := dateOf(time.Unix(b.today.midnight+int64(i)*86400, 0).UTC())
		b.pages = append(b.pages, b.read(d, b.rules.Closed[string(d.key[:])]))
		b.where[i] = int32(len(b.pages))
	}
	return &b.pages[b.where[i]-1]
}

// turn finds out how much room one more day has.
func (b *Book) turn() {
	for len(b.closed) > 0 && b.closed[0] < string(b.next.key[:]) {
		b.closed = b.closed[1:]
	}
	p := b.read(b.next, len(b.closed) > 0 && b.closed[0] == string(b.next.key[:]))
	b.next.next()
	room := int64(0)
	if p.works || p.open != nil {
		room = b.room(&p)
	}
	if len(b.rooms) == 32 { // no short search, then
		b.rooms, b.where = slices.Grow(b.rooms, b.rules.HorizonDays), slices.Grow(b.where, b.rules.HorizonDays)
	}
	b.rooms, b.where = append(b.rooms, room), append(b.where, 0)
}

// read is the page of a date.
func (b *Book) read(d date, closed bool) page {
	p := page{date: d}
	day := b.days[string(d.key[:])]
	p.entries = day.Entries
	spans := b.week[d.weekday]
	if closed {
		spans = nil
	}
	if p.works = len(spans) > 0; p.works {
		p.home = b.span(&p, spans)
		p.wide = p.home
	}
	if len(day.Extra) > 0 {
		p.open = union(spans, day.Extra)
		p.wide = b.span(&p, p.open)
	}
	return p
}

// span is from the beginning of the first hours to the end of the last.
func (b *Book) span(p *page, spans []Span) period {
	return period{b.moment(p, spans[0].From), b.moment(p, spans[len(spans)-1].To)}
}

// room is how long the longest time of a day is that nothing but holds takes, in
// working hours. Of entries that are not in order it is not known, and taken to
// be all day.
func (b *Book) room(p *page) int64 {
	most, free, last := int64(0), p.wide.from, int64(math.MinInt64)
	jobs := 0
	for i := range p.entries {
		e := &p.entries[i]
		if e.Kind == Hold {
			continue
		}
		from, gap := e.Start.UnixNano(), int64(0)
		if from < last {
			return p.wide.to - p.wide.from
		}
		if e.Kind != Off {
			jobs++
			gap = int64(b.rules.Buffer)
		}
		most = max(most, min(from-gap, p.wide.to)-free)
		last, free = from, max(free, e.End.UnixNano()+gap)
	}
	if b.rules.MaxPerDay > 0 && jobs >= b.rules.MaxPerDay {
		return 0
	}
	return max(most, p.wide.to-free)
}

func (b *Book) moment(p *page, minutes int) int64 {
	return b.wall.moment(p.midnight, minutes, b.rules.Loc)
}
