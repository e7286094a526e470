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
	days  []Day
	rules Rules
	now   time.Time
	week  [7][]Span
	wall  wall
	// shut are the days on which the business is closed.
	shut []bool
	// rooms are, of each day, how long the longest time is that nothing but a hold
	// takes; zero if the day cannot hold another job. It is kept apart from the
	// pages because a search looks at all of it, and at few of those.
	rooms []int64
	// pages are those of the days somebody has looked at more closely, and where are
	// their places there and one more, by the day; zero for none.
	pages []page
	where []int32
	today date
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

// NewBook opens a diary. Days holds the days from the one of now on, as [Ahead]
// lays them out; what lies beyond its end holds nothing.
func NewBook(days []Day, r Rules, now time.Time) *Book {
	size := max(0, r.HorizonDays+1)
	b := &Book{
		days: days, rules: r, now: now, today: dateOf(now.In(r.Loc)),
		shut: make([]bool, size), rooms: make([]int64, 0, size), where: make([]int32, 0, size),
	}
	for date, shut := range r.Closed {
		if at, ok := b.today.until(date); ok && at >= 0 && at < size {
			b.shut[at] = shut
		}
	}
	for day, spans := range r.Hours {
		b.week[day] = spans
	}
	return b
}

// Ahead lays days that are held by [Key] out for a book that is opened now. A day
// that is missing holds nothing.
func Ahead(days map[string]Day, r Rules, now time.Time) []Day {
	out := make([]Day, max(0, r.HorizonDays+1))
	for i, key := range Keys(now, r.Loc, len(out)) {
		out[i] = days[key]
	}
	return out
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
			if (b.rooms[i] >= s.least || s.own(i)) && !s.day(i, yield) {
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
		b.pages = append(b.pages, b.read(i))
		b.where[i] = int32(len(b.pages))
	}
	return &b.pages[b.where[i]-1]
}

// turn finds out how much room one more day has.
func (b *Book) turn() {
	i, room := len(b.rooms), int64(0)
	if i < len(b.days) && len(b.days[i].Extra) > 0 {
		p := b.read(i)
		room = b.room(p.entries, p.wide)
	} else if spans := b.hours(i); len(spans) > 0 {
		wide := b.span(b.midnight(i), spans)
		if room = wide.to - wide.from; i < len(b.days) {
			room = b.room(b.days[i].Entries, wide)
		}
	}
	b.rooms, b.where = append(b.rooms, room), append(b.where, 0)
}

// hours are the usual ones of the i-th day, none if it is closed.
func (b *Book) hours(i int) []Span {
	if b.shut[i] {
		return nil
	}
	return b.week[(int(b.today.weekday)+i)%7]
}

func (b *Book) midnight(i int) int64 { return b.today.midnight + int64(i)*86400 }

// read is the page of the i-th day.
func (b *Book) read(i int) page {
	p := page{date: dateOf(time.Unix(b.midnight(i), 0).UTC())}
	var day Day
	if i < len(b.days) {
		day = b.days[i]
	}
	p.entries = day.Entries
	spans := b.hours(i)
	if p.works = len(spans) > 0; p.works {
		p.home = b.span(p.midnight, spans)
		p.wide = p.home
	}
	if len(day.Extra) > 0 {
		p.open = union(spans, day.Extra)
		p.wide = b.span(p.midnight, p.open)
	}
	return p
}

// span is from the beginning of the first hours to the end of the last.
func (b *Book) span(midnight int64, spans []Span) period {
	return period{b.moment(midnight, spans[0].From), b.moment(midnight, spans[len(spans)-1].To)}
}

// room is how long the longest time of a day is that nothing but holds takes, in
// working hours. Of entries that are not in order it is not known, and taken to
// be all day.
func (b *Book) room(entries []Entry, wide period) int64 {
	most, free, last := int64(0), wide.from, int64(math.MinInt64)
	jobs := 0
	for i := range entries {
		e := &entries[i]
		if e.Kind == Hold {
			continue
		}
		from, gap := e.Start.UnixNano(), int64(0)
		if from < last {
			return wide.to - wide.from
		}
		if e.Kind != Off {
			jobs++
			gap = int64(b.rules.Buffer)
		}
		most = max(most, min(from-gap, wide.to)-free)
		last, free = from, max(free, e.End.UnixNano()+gap)
	}
	if b.rules.MaxPerDay > 0 && jobs >= b.rules.MaxPerDay {
		return 0
	}
	return max(most, wide.to-free)
}

func (b *Book) moment(midnight int64, minutes int) int64 {
	return b.wall.moment(midnight, minutes, b.rules.Loc)
}
