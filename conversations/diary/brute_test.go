package diary_test

import (
	"slices"
	"sync"
	"testing"
	"time"

	"example.org/dryhand/conversations/diary"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// midnight begins the i-th day from today.
func (q *question) midnight(i int) time.Time {
	y, m, d := q.now.In(q.rules.Loc).Date()
	return time.Date(y, m, d+i, 0, 0, 0, 0, q.rules.Loc)
}

// bruteForce tries every minute there is: it works through each job minute by
// minute, by the clock on the wall, and then looks whether all of it holds.
func bruteForce(q *question) []diary.Slot {
	var out []diary.Slot
	for i := range q.rules.HorizonDays + 1 {
		o := q.outline(q.midnight(i))
		for t, next := q.midnight(i), q.midnight(i+1); t.Before(next); t = t.Add(time.Minute) {
			if !o.grid[o.minute(t)] {
				continue
			}
			if slot, ok := q.try(t); ok {
				out = append(out, slot)
			}
		}
	}
	return out
}

// work is a job laid out: the minutes that are worked, and what is taken of each
// day.
type work struct {
	minutes []time.Time
	taken   []diary.Stretch
}

func (w work) start() time.Time { return w.minutes[0] }
func (w work) end() time.Time   { return w.minutes[len(w.minutes)-1].Add(time.Minute) }

func (q *question) way() time.Duration { return q.rules.Travel.Between(q.rules.Base, q.wish.Point) }

// workable tells whether a job of several days may be worked on at a minute.
func (q *question) workable(t time.Time) bool {
	first, end, _ := q.ofDay(t, false)
	if q.rules.DriveInHours && (t.Before(first.Add(q.way())) || !t.Before(end.Add(-q.way()))) {
		return false
	}
	if q.wish.Outdoor {
		o := q.outline(t)
		return q.open(t, true) && !t.Before(o.rise) && !t.Add(time.Minute).After(o.dusk)
	}
	return q.open(t, true)
}

// workday tells whether the business works on the day of a moment.
func (q *question) workday(t time.Time) bool {
	o := q.outline(t)
	return o.any[side(false)] && (!o.closed || o.extra != nil)
}

// inARow lays out a job of several days that starts at a moment. A day has one
// such start at most.
func (q *question) inARow(start time.Time) (w work, ok bool) {
	y, m, d := start.Date()
	day := date{y, m, d}
	r, ok := q.rows[day]
	if !ok {
		r.work, r.ok = q.row(y, m, d)
		q.rows[day] = r
	}
	return r.work, r.ok && r.start().Equal(start)
}

// row is a job of several days, and whether it can be laid out.
type row struct {
	work
	ok bool
}

// row lays out a job of several days that begins on a date. Each day begins on the
// grid.
func (q *question) row(y int, m time.Month, d int) (w work, ok bool) {
	for i := 0; len(w.minutes) < int(q.wish.Need/time.Minute); i++ {
		day := time.Date(y, m, d+i, 0, 0, 0, 0, q.rules.Loc)
		if !day.Before(q.midnight(q.rules.HorizonDays + 1)) {
			return w, false
		}
		if !q.workday(day) {
			if i == 0 {
				return w, false
			}
			continue
		}
		had := len(w.minutes)
		for t, next := day, time.Date(y, m, d+i+1, 0, 0, 0, 0, q.rules.Loc); t.Before(next) && len(w.minutes) < int(q.wish.Need/time.Minute); t = t.Add(time.Minute) {
			if q.workable(t) && (len(w.minutes) > had || q.gridded(t)) {
				w.minutes = append(w.minutes, t)
			}
		}
		if len(w.minutes) == had {
			return w, false
		}
		const hour = 60 // what is left for another day is one at least, of what was two
		need := int(q.wish.Need / time.Minute)
		if left := need - len(w.minutes); 0 < left && left < hour && need-had >= 2*hour {
			w.minutes = w.minutes[:need-hour]
		}
		open, shut, _ := q.ofDay(day, false)
		w.taken = append(w.taken, diary.Stretch{Date: day.Format(time.DateOnly), Start: open, End: shut})
	}
	w.taken[0].Start, w.taken[len(w.taken)-1].End = w.start(), w.end()
	return w, true
}

// inADay lays out a job of one day, over breaks only if it has to.
func (q *question) inADay(start time.Time) (w work, ok bool) {
	need := int(q.wish.Need / time.Minute)
	longest := int(q.outline(start).longest / time.Minute)
	y, m, d := start.Date()
	next := time.Date(y, m, d+1, 0, 0, 0, 0, q.rules.Loc)
	for t := start; t.Before(next) && len(w.minutes) < need; t = t.Add(time.Minute) {
		if need <= longest && (!q.open(t, true) || t.After(start) && q.opens(t)) {
			return w, false
		}
		if q.open(t, true) {
			w.minutes = append(w.minutes, t)
		}
	}
	if len(w.minutes) < need || !q.workday(start) {
		return w, false
	}
	w.taken = []diary.Stretch{{Date: start.Format(time.DateOnly), Start: start, End: w.end()}}
	return w, true
}

func (q *question) try(t time.Time) (slot diary.Slot, ok bool) {
	several := q.several()
	var w work
	if several {
		w, ok = q.inARow(t)
	} else {
		w, ok = q.inADay(t)
	}
	if !ok || !q.inTime(w) || !q.day(w, several) {
		return slot, false
	}
	slot = diary.Slot{Start: t, End: w.end(), Ready: w.end().Add(q.wish.Dry), Days: len(w.taken)}
	slot.Fits = slices.ContainsFunc(q.wish.Prefer, func(l diary.Times) bool { return l.Has(slot.Start, slot.Ready) })
	for _, s := range w.taken {
		if !q.free(s) {
			return slot, false
		}
		slot.Beside = slot.Beside || q.beside(s)
		slot.Drive += q.drive(s)
	}
	return slot, true
}

// inTime tells whether a job is neither too soon nor ready too late.
func (q *question) inTime(w work) bool {
	ready := w.end().Add(q.wish.Dry)
	_, shut, _ := q.ofDay(w.end().Add(-time.Minute), true)
	for _, s := range w.taken {
		if !q.wish.Only.HasDay(s.Start.Weekday(), s.Date) {
			return false
		}
	}
	return !w.start().Before(q.now.Add(q.rules.Notice)) && !w.start().Before(q.wish.From) && q.wish.Only.Has(w.start(), ready) &&
		(q.wish.To.IsZero() || !ready.After(q.wish.To)) && (q.wish.Overnight || !ready.After(shut))
}

// day tells whether light and the way from home allow a job.
func (q *question) day(w work, several bool) bool {
	if rise, dusk := q.light(w.start()); q.wish.Outdoor && w.start().Before(rise) || q.wish.Outdoor && len(w.taken) == 1 && w.end().Add(q.wish.Dry).After(dusk) {
		return false
	}
	if _, dusk := q.light(w.end().Add(-time.Minute)); q.wish.Outdoor && w.end().Add(q.wish.Dry).After(dusk) {
		return false
	}
	if several || !q.rules.DriveInHours {
		return true
	}
	first, end, _ := q.ofDay(w.start(), false)
	before, after := q.neighbours(w.taken[0])
	return (before != nil || !w.start().Before(first.Add(q.way()))) && (after != nil || !w.end().After(end.Add(-q.way())))
}

// light is when the sun rises on the day of a moment, and when outdoor work has
// to be over.
func (q *question) light(t time.Time) (rise, dusk time.Time) {
	at := q.wish.Point
	if !at.Known() {
		at = q.rules.Base
	}
	if !at.Known() {
		at = diary.Point{Lat: 54, Lon: -2.5}
	}
	rise, set, _ := diary.Sun(t, at)
	return rise, set.Add(-q.rules.Dusk)
}

// standing are the entries of a date that count.
func (q *question) standing(date string) []diary.Entry {
	day := q.days[date]
	day.Lapse(q.now)
	return slices.DeleteFunc(slices.Clone(day.Entries), func(e diary.Entry) bool {
		return q.wish.Instead != "" && (e.ID == q.wish.Instead || e.For == q.wish.Instead)
	})
}

func (q *question) gap(e diary.Entry) time.Duration {
	if e.Kind == diary.Off {
		return 0
	}
	return q.rules.Buffer + q.rules.Travel.Between(e.Point, q.wish.Point)
}

// free tells whether nobody has the time.
func (q *question) free(s diary.Stretch) bool {
	jobs := 0
	for _, e := range q.standing(s.Date) {
		if e.Kind != diary.Off {
			jobs++
		}
		from, to := e.Start.Add(-q.gap(e)), e.End.Add(q.gap(e))
		for t := s.Start; t.Before(s.End); t = t.Add(time.Minute) {
			if !t.Before(from) && t.Before(to) {
				return false
			}
		}
	}
	return q.rules.MaxPerDay == 0 || jobs < q.rules.MaxPerDay
}

// beside tells whether a start less than half an hour earlier or later would
// be too close to a job.
func (q *question) beside(s diary.Stretch) bool {
	for _, e := range q.standing(s.Date) {
		idleBefore := s.Start.Sub(e.End) - q.gap(e)
		idleAfter := e.Start.Sub(s.End) - q.gap(e)
		if e.Kind != diary.Off && (idleBefore >= 0 && idleBefore < 30*time.Minute || idleAfter >= 0 && idleAfter < 30*time.Minute) {
			return true
		}
	}
	return false
}

// neighbours are the jobs nearest in time.
func (q *question) neighbours(s diary.Stretch) (before, after *diary.Entry) {
	for _, e := range q.standing(s.Date) {
		if e.Kind == diary.Off {
			continue
		}
		if !e.End.After(s.Start) && (before == nil || e.End.After(before.End)) {
			before = &e
		}
		if !e.Start.Before(s.End) && (after == nil || e.Start.Before(after.Start)) {
			after = &e
		}
	}
	return before, after
}

// drive is the day's driving with the job, less that without it.
func (q *question) drive(s diary.Stretch) time.Duration {
	before, after := q.neighbours(s)
	by := q.rules.Travel
	switch base, here := q.rules.Base, q.wish.Point; {
	case before == nil && after == nil:
		return by.Between(base, here) + by.Between(here, base)
	case before == nil:
		return max(0, by.Between(base, here)+by.Between(here, after.Point)-by.Between(base, after.Point))
	case after == nil:
		return max(0, by.Between(before.Point, here)+by.Between(here, base)-by.Between(before.Point, base))
	default:
		return max(0, by.Between(before.Point, here)+by.Between(here, after.Point)-by.Between(before.Point, after.Point))
	}
}

func TestFreeEqualsBruteForce(t *testing.T) {
	loc := london(t)
	var all seen
	search := func(t *rapid.T) {
		q := drawQuestion(t, loc)
		// A book that has been searched for something else tells the same.
		book := diary.NewBook(diary.Ahead(q.days, q.rules, q.now), q.rules, q.now)
		book.Free(diary.Wish{Need: time.Minute, Outdoor: true})
		want, got := bruteForce(q), book.Free(q.wish)
		for _, s := range want {
			if end, ok := q.rules.Over(q.wish, s.Start); s.Days > 1 && (!ok || !end.Equal(s.End)) {
				t.Fatalf("begun at %v it is over at %v, by brute force at %v", s.Start, end, s.End)
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("(-brute force +got):\n%s", diff)
		}
		all.add(q, got)
	}
	// Lest the diaries made up are all full, all empty, or all alike: chance may leave
	// something out of the first four hundred, but not of thousands.
	for lots := 0; lots == 0 || !all.enough() && lots < 8 && !t.Failed(); lots++ {
		t.Run("diaries", func(t *testing.T) {
			for range 4 { // 100 diaries each
				t.Run("hundred", func(t *testing.T) {
					t.Parallel()
					rapid.Check(t, search)
				})
			}
		})
	}
	t.Logf("%+v", all.kinds)
	if !all.enough() && !t.Failed() {
		t.Error("the diaries made up are too much alike")
	}
}

// seen counts what was found in many diaries.
type seen struct {
	sync.Mutex
	kinds
}

// kinds are slots found, those over several days, over a break, outdoors, as liked,
// in hours of a day's own, on the time they are instead of, and searches that found
// none.
type kinds struct{ found, several, paused, outdoors, fits, extra, over, none int }

// enough tells whether something of everything was among them.
func (k *seen) enough() bool {
	return k.found >= 400 && k.none >= 20 && k.several >= 10 && k.paused >= 10 && k.outdoors >= 50 && k.fits >= 50 && k.extra >= 50 && k.over >= 20
}

func (k *seen) add(q *question, got []diary.Slot) {
	k.Lock()
	defer k.Unlock()
	k.found += len(got)
	k.none += count(len(got) == 0)
	for _, s := range got {
		k.several += count(s.Days > 1)
		k.paused += count(s.Days == 1 && s.End.Sub(s.Start) > q.wish.Need)
		k.outdoors += count(q.wish.Outdoor)
		k.fits += count(s.Fits)
		k.over += count(slices.ContainsFunc(q.days[s.Start.Format(time.DateOnly)].Entries, func(e diary.Entry) bool {
			return q.wish.Instead != "" && e.ID == q.wish.Instead && e.Start.Before(s.End) && s.Start.Before(e.End)
		}))
		k.extra += count(len(q.days[s.Start.Format(time.DateOnly)].Extra) > 0 && !q.usually(s))
	}
}

// usually tells whether a slot begins in the usual hours.
func (q *question) usually(s diary.Slot) bool {
	return !q.rules.Closed[s.Start.Format(time.DateOnly)] &&
		slices.ContainsFunc(q.rules.Hours[s.Start.Weekday()], func(h diary.Span) bool { return h.From <= clock(s.Start) && clock(s.Start) < h.To })
}

func count(is bool) int {
	if is {
		return 1
	}
	return 0
}

// Whatever is offered is free, in order, and begins with the earliest; and what
// is free can be placed, day by day.
func TestOffersHold(t *testing.T) {
	loc := london(t)
	rapid.Check(t, func(t *rapid.T) {
		q := drawQuestion(t, loc)
		free, n := diary.Free(q.days, q.wish, q.rules, q.now), rapid.IntRange(1, 6).Draw(t, "n")
		offer := diary.Offer(free, n)
		if len(offer) != min(n, len(free)) {
			t.Fatalf("%d offered of %d, %d wanted", len(offer), len(free), n)
		}
		for i, s := range offer {
			if i == 0 && s != free[0] || !slices.Contains(free, s) || i > 0 && !offer[i-1].Start.Before(s.Start) {
				t.Fatalf("offer %v", starts(offer))
			}
			stretches := q.rules.Stretches(s.Start, s.End)
			if len(stretches) != s.Days {
				t.Fatalf("%v to %v is on %d days, in %d stretches", s.Start, s.End, s.Days, len(stretches))
			}
			for _, part := range stretches {
				day := q.days[part.Date]
				day.Lapse(q.now)
				if !day.Place(diary.Entry{ID: movedTo, For: q.wish.Instead, Start: part.Start, End: part.End, Kind: diary.Hold}) {
					t.Fatalf("%v to %v cannot be placed", part.Start, part.End)
				}
			}
		}
	})
}
