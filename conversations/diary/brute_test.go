package diary_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"example.org/dryhand/conversations/diary"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// question is all that a search is asked with.
type question struct {
	days  map[string]diary.Day
	wish  diary.Wish
	rules diary.Rules
	now   time.Time
	// seen keeps what was found out minute by minute about a day.
	seen map[string]outline
}

// outline is what a day's minutes show: the first that is open, the end of the
// last, in the business's hours and in those of the place too; and the light.
type outline struct {
	first, end [2]time.Time
	any        [2]bool
	rise, dusk time.Time
	longest    time.Duration
	grid       map[int64]bool
}

// draws makes things up. Everything falls on whole minutes.
type draws struct{ *rapid.T }

func (d draws) minutes(label string, least, most int) time.Duration {
	return time.Duration(rapid.IntRange(least, most).Draw(d.T, label)) * time.Minute
}

func (d draws) one(label string, of int) bool { return rapid.IntRange(1, of).Draw(d.T, label) == 1 }

func (d draws) point(label string) diary.Point {
	return rapid.SampledFrom([]diary.Point{{}, {Lat: 51.5, Lon: -0.1}, {Lat: 51.7, Lon: -0.3, Within: 6}, {Lat: 55.9, Lon: -3.2}}).Draw(d.T, label)
}

// need is short, as long as a day, or longer.
func (d draws) need() time.Duration {
	switch rapid.IntRange(0, 3).Draw(d.T, "length") {
	case 0:
		return d.minutes("long need", 400, 640)
	case 1:
		return d.minutes("very long need", 600, 1700)
	}
	return d.minutes("need", 1, 300)
}

// hours makes up a week. The hour that the clock skips or repeats on a Sunday
// is left to the table tests.
func (d draws) hours(edges ...int) diary.Hours {
	h := diary.Hours{}
	if !d.one("an odd week", 3) {
		morning := diary.Span{From: 480, To: 720}
		for day := time.Monday; day <= time.Saturday; day++ {
			h[day] = []diary.Span{morning, {From: 720 + 45*int(day%2), To: 1080}}
		}
		return h
	}
	for day := time.Sunday; day <= time.Saturday; day++ {
		some := rapid.SliceOfNDistinct(rapid.SampledFrom(edges), 0, 5, rapid.ID).Draw(d.T, "edges")
		slices.Sort(some)
		for i := 0; i+1 < len(some); i += 2 {
			h[day] = append(h[day], diary.Span{From: some[i], To: some[i+1]})
		}
	}
	return h
}

// times makes up what is meant, often everything.
func (d draws) times(label string, now time.Time) (t diary.Times) {
	days := rapid.SliceOfN(rapid.SampledFrom([]time.Weekday{0, 1, 2, 3, 4, 5, 6}), 1, 4)
	dates := rapid.Map(rapid.SliceOfN(rapid.IntRange(0, 5), 1, 4), func(n []int) (out []string) {
		for _, i := range n {
			out = append(out, now.AddDate(0, 0, i).Format(time.DateOnly))
		}
		return out
	})
	for i, set := range []func(){
		func() { t.From = now.Add(d.minutes(label, -600, 3000)) },
		func() { t.To = now.Add(d.minutes(label, 1000, 9000)) },
		func() { t.Weekdays = days.Draw(d.T, label) },
		func() { t.Not = days.Draw(d.T, label)[:1] },
		func() { t.On = dates.Draw(d.T, label) },
		func() { t.NotOn = dates.Draw(d.T, label)[:1] },
		func() { t.StartFrom = rapid.IntRange(1, 1000).Draw(d.T, label) },
		func() { t.StartBefore = rapid.IntRange(500, 1440).Draw(d.T, label) },
		func() { t.DoneBy = rapid.IntRange(700, 1439).Draw(d.T, label) },
	} {
		if d.one(fmt.Sprint(label, i), 20) {
			set()
		}
	}
	return t
}

// drawQuestion makes up a diary of a few days, often about a clock change.
func drawQuestion(t *rapid.T, loc *time.Location) question {
	d := draws{t}
	q := question{days: map[string]diary.Day{}, seen: map[string]outline{}}
	first := rapid.SampledFrom([]string{"2026-03-27", "2026-10-23", "2026-12-20", "2026-06-20", "2027-10-30", "2026-12-30"}).Draw(t, "first day")
	midnight, err := time.ParseInLocation(time.DateOnly, first, loc)
	if err != nil {
		t.Fatal(err)
	}
	q.now = midnight.Add(d.minutes("now", 0, 1439))
	q.rules = diary.Rules{
		Loc: loc, Hours: d.hours(0, 120, 480, 495, 545, 720, 765, 1020, 1055, 1380, 1440), HorizonDays: rapid.IntRange(1, 6).Draw(t, "horizon"),
		Notice: d.minutes("notice", 0, rapid.SampledFrom([]int{0, 2000}).Draw(t, "ahead")), Buffer: d.minutes("buffer", 0, 45), DriveInHours: d.one("drive in hours", 3),
		MaxPerDay: rapid.SampledFrom([]int{0, 0, 1, 3}).Draw(t, "most a day"), Base: d.point("base"), Closed: map[string]bool{},
		Travel: diary.Travel{RoadFactor: 1.3, KmPerHour: rapid.SampledFrom([]float64{0, 50, 300}).Draw(t, "speed"), Unknown: d.minutes("unknown way", 0, 40)},
	}
	q.wish = diary.Wish{
		Need: d.need(), Dry: d.minutes("dry", 0, rapid.SampledFrom([]int{0, 90}).Draw(t, "dries")), Spread: d.one("spread", 3),
		Outdoor: d.one("outdoor", 3), Overnight: d.one("overnight", 4), Point: d.point("place"), Only: d.times("only", q.now),
	}
	for range rapid.IntRange(0, 2).Draw(t, "liked") {
		q.wish.Prefer = append(q.wish.Prefer, d.times("like", q.now))
	}
	if d.one("place's own hours", 4) {
		q.wish.Allowed = d.hours(0, 540, 600, 960, 1440)
	}
	if d.one("limited", 6) {
		q.wish.From = q.now.Add(d.minutes("from", -600, 3000))
		q.wish.To = q.wish.From.Add(d.minutes("to", 0, 8000))
	}
	busy := rapid.SampledFrom([]int{0, 0, 1, 3}).Draw(t, "busy")
	for i := range q.rules.HorizonDays + 1 {
		key := q.midnight(i).Format(time.DateOnly)
		q.rules.Closed[key] = d.one("closed", 10)
		var day diary.Day
		for n := range rapid.IntRange(0, busy).Draw(t, "entries") {
			start := q.midnight(i).Add(d.minutes("start", 0, 1300))
			e := diary.Entry{
				ID: fmt.Sprint(i, n), Start: start, End: start.Add(d.minutes("length", 1, 400)), Point: d.point("entry's place"),
				Kind: rapid.SampledFrom([]string{diary.Hold, diary.Asked, diary.Booked, diary.Off}).Draw(t, "kind"),
			}
			if e.Kind == diary.Hold && rapid.Bool().Draw(t, "lapses") {
				e.Until = q.now.Add(d.minutes("until", -1, 1))
			}
			day.Entries = append(day.Entries, e) // in any order, and over each other
		}
		q.days[key] = day
	}
	return q
}

// midnight begins the i-th day from today.
func (q question) midnight(i int) time.Time {
	y, m, d := q.now.In(q.rules.Loc).Date()
	return time.Date(y, m, d+i, 0, 0, 0, 0, q.rules.Loc)
}

// bruteForce tries every minute there is: it works through each job minute by
// minute, by the clock on the wall, and then looks whether all of it holds.
func bruteForce(q question) []diary.Slot {
	var out []diary.Slot
	for i := range q.rules.HorizonDays + 1 {
		grid := q.outline(q.midnight(i)).grid
		for t, next := q.midnight(i), q.midnight(i+1); t.Before(next); t = t.Add(time.Minute) {
			if !grid[t.Unix()] {
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

// open tells whether there is work at a moment, by the hours of the business
// and, if at the place, by those of the place.
func (q question) open(t time.Time, atPlace bool) bool {
	return q.openAt(t.Weekday(), clock(t), atPlace)
}

func (q question) openAt(day time.Weekday, minute int, atPlace bool) bool {
	in := func(h diary.Hours) bool {
		return slices.ContainsFunc(h[day], func(s diary.Span) bool { return s.From <= minute && minute < s.To })
	}
	return in(q.rules.Hours) && (!atPlace || q.wish.Allowed == nil || in(q.wish.Allowed))
}

func clock(t time.Time) int { return 60*t.Hour() + t.Minute() }

// gridded tells whether starts are looked for at a moment: it is open, and has
// been for a number of whole steps.
func (q question) gridded(t time.Time) bool { return q.outline(t).grid[t.Unix()] }

// opens tells whether a span of hours begins at a moment, where one may follow
// on the other without a break.
func (q question) opens(day time.Weekday, minute int) bool {
	at := func(h diary.Hours) bool {
		return slices.ContainsFunc(h[day], func(s diary.Span) bool { return s.From == minute })
	}
	return at(q.rules.Hours) || q.wish.Allowed != nil && at(q.wish.Allowed)
}

// outline looks at every minute of the day of a moment.
func (q question) outline(t time.Time) outline {
	date := t.Format(time.DateOnly)
	if o, ok := q.seen[date]; ok {
		return o
	}
	o := outline{grid: map[int64]bool{}}
	y, m, d := t.Date()
	next, run := time.Date(y, m, d+1, 0, 0, 0, 0, q.rules.Loc), time.Duration(0)
	for t := time.Date(y, m, d, 0, 0, 0, 0, q.rules.Loc); t.Before(next); t = t.Add(time.Minute) {
		minute := clock(t)
		open := [2]bool{q.openAt(t.Weekday(), minute, false), q.openAt(t.Weekday(), minute, true)}
		for i := range open {
			if open[i] {
				if !o.any[i] {
					o.first[i], o.any[i] = t, true
				}
				o.end[i] = t.Add(time.Minute)
			}
		}
		if !open[1] || q.opens(t.Weekday(), minute) {
			run = 0
		}
		if open[1] {
			o.grid[t.Unix()] = run%diary.Step == 0
			run += time.Minute
		}
		o.longest = max(o.longest, run)
	}
	o.rise, o.dusk = q.light(t)
	q.seen[date] = o
	return o
}

// ofDay are the first and the end of the last open minute of a day.
func (q question) ofDay(t time.Time, atPlace bool) (first, end time.Time, any bool) {
	o, i := q.outline(t), 0
	if atPlace {
		i = 1
	}
	return o.first[i], o.end[i], o.any[i]
}

func (q question) way() time.Duration { return q.rules.Travel.Between(q.rules.Base, q.wish.Point) }

// workable tells whether a job of several days may be worked on at a minute.
func (q question) workable(t time.Time) bool {
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
func (q question) workday(t time.Time) bool {
	_, _, any := q.ofDay(t, false)
	return any && !q.rules.Closed[t.Format(time.DateOnly)]
}

// inARow lays out a job of several days. Each day begins on the grid.
func (q question) inARow(start time.Time) (w work, ok bool) {
	y, m, d := start.Date()
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
		for t := day; t.Day() == day.Day() && len(w.minutes) < int(q.wish.Need/time.Minute); t = t.Add(time.Minute) {
			if q.workable(t) && (len(w.minutes) > had || q.gridded(t)) {
				w.minutes = append(w.minutes, t)
			}
		}
		if len(w.minutes) == had {
			return w, false
		}
		open, shut, _ := q.ofDay(day, false)
		w.taken = append(w.taken, diary.Stretch{Date: day.Format(time.DateOnly), Start: open, End: shut})
	}
	w.taken[0].Start, w.taken[len(w.taken)-1].End = w.start(), w.end()
	return w, w.start().Equal(start)
}

// inADay lays out a job of one day, over breaks only if it has to.
func (q question) inADay(start time.Time) (w work, ok bool) {
	need := int(q.wish.Need / time.Minute)
	longest := int(q.outline(start).longest / time.Minute)
	y, m, d := start.Date()
	next := time.Date(y, m, d+1, 0, 0, 0, 0, q.rules.Loc)
	for t := start; t.Before(next) && len(w.minutes) < need; t = t.Add(time.Minute) {
		if need <= longest && (!q.open(t, true) || t.After(start) && q.opens(t.Weekday(), clock(t))) {
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

func (q question) try(t time.Time) (slot diary.Slot, ok bool) {
	longest := 0
	for _, spans := range q.rules.Hours {
		sum := 0
		for _, s := range spans {
			sum += s.To - s.From
		}
		longest = max(longest, sum)
	}
	several := q.wish.Spread || q.wish.Need > time.Duration(longest)*time.Minute
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
func (q question) inTime(w work) bool {
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
func (q question) day(w work, several bool) bool {
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
func (q question) light(t time.Time) (rise, dusk time.Time) {
	at := q.wish.Point
	if !at.Known() {
		at = q.rules.Base
	}
	if !at.Known() {
		at = diary.Point{Lat: 54, Lon: -2.5}
	}
	rise, set, _ := diary.Sun(t, at)
	return rise, set.Add(-45 * time.Minute)
}

// standing are the entries of a date that count.
func (q question) standing(date string) []diary.Entry {
	day := q.days[date]
	day.Lapse(q.now)
	return day.Entries
}

func (q question) gap(e diary.Entry) time.Duration {
	if e.Kind == diary.Off {
		return 0
	}
	return q.rules.Buffer + q.rules.Travel.Between(e.Point, q.wish.Point)
}

// free tells whether nobody has the time.
func (q question) free(s diary.Stretch) bool {
	jobs := 0
	for _, e := range q.standing(s.Date) {
		if e.Kind != diary.Off {
			jobs++
		}
		for t := s.Start; t.Before(s.End); t = t.Add(time.Minute) {
			if !t.Before(e.Start.Add(-q.gap(e))) && t.Before(e.End.Add(q.gap(e))) {
				return false
			}
		}
	}
	return q.rules.MaxPerDay == 0 || jobs < q.rules.MaxPerDay
}

// beside tells whether a start less than half an hour earlier or later would
// be too close to a job.
func (q question) beside(s diary.Stretch) bool {
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
func (q question) neighbours(s diary.Stretch) (before, after *diary.Entry) {
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
func (q question) drive(s diary.Stretch) time.Duration {
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
	found, empty, several, paused, outdoors, fits := 0, 0, 0, 0, 0, 0
	for range 4 { // 100 diaries each
		rapid.Check(t, func(t *rapid.T) {
			q := drawQuestion(t, loc)
			// A book that has been searched for something else tells the same.
			book := diary.NewBook(q.days, q.rules, q.now)
			book.Free(diary.Wish{Need: time.Minute, Outdoor: true})
			want, got := bruteForce(q), book.Free(q.wish)
			if diff := cmp.Diff(want, got); diff != "" {
				t.Fatalf("(-brute force +got):\n%s", diff)
			}
			found += len(got)
			if len(got) == 0 {
				empty++
			}
			for _, s := range got {
				several += count(s.Days > 1)
				paused += count(s.Days == 1 && s.End.Sub(s.Start) > q.wish.Need)
				outdoors += count(q.wish.Outdoor)
				fits += count(s.Fits)
			}
		})
	}
	// Lest the diaries made up are all full, all empty, or all alike.
	t.Logf("%d slots, %d over several days, %d over a break, %d outdoors, %d as liked; %d searches found none", found, several, paused, outdoors, fits, empty)
	if found < 400 || empty < 20 || several < 10 || paused < 10 || outdoors < 50 || fits < 50 {
		t.Error("the diaries made up are too much alike")
	}
}

func count(is bool) int {
	if is {
		return 1
	}
	return 0
}

// Whatever is offered is free, in order, and begins with the earliest; and what
// is free can be placed.
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
			day := q.days[diary.Key(s.Start, loc)]
			day.Lapse(q.now)
			if !day.Place(diary.Entry{ID: "new", Start: s.Start, End: s.End, Kind: diary.Hold}) {
				t.Fatalf("%v to %v cannot be placed", s.Start, s.End)
			}
		}
	})
}

// year is a business's diary for a year, with so many of every ten working days
// taken from morning to evening and one job in the morning of the others.
func year(loc *time.Location, full int) question {
	q := question{days: map[string]diary.Day{}, wish: diary.Wish{Need: 3 * time.Hour, Point: diary.Point{Lat: 51.5, Lon: -0.1}}}
	q.now = time.Date(2026, time.November, 25, 10, 0, 0, 0, loc)
	q.rules = diary.Rules{
		Loc: loc, Hours: diary.Hours{}, Closed: map[string]bool{}, Notice: 24 * time.Hour, HorizonDays: 365, Buffer: 15 * time.Minute, MaxPerDay: 3,
		Travel: diary.Travel{RoadFactor: 1.3, KmPerHour: 45},
	}
	for d := time.Monday; d <= time.Saturday; d++ {
		q.rules.Hours[d] = []diary.Span{{From: 8 * 60, To: 17*60 + 30}}
	}
	for _, year := range []int{2026, 2027} {
		holidays, err := diary.Holidays(diary.EnglandAndWales, year)
		if err != nil {
			panic(err)
		}
		for _, h := range holidays {
			q.rules.Closed[h.Date] = true
		}
	}
	for i := range 366 {
		hours := [][2]int{{8, 10}}
		if i%10 < full {
			hours = [][2]int{{8, 12}, {13, 17}}
		}
		var day diary.Day
		for _, h := range hours {
			start := time.Date(2026, time.November, 25+i, h[0], 0, 0, 0, loc)
			day.Place(diary.Entry{ID: fmt.Sprint(i, h), Kind: diary.Booked, Start: start, End: start.Add(time.Duration(h[1]-h[0]) * time.Hour), Point: diary.Point{Lat: 51.6, Lon: -0.2}})
		}
		q.days[diary.Key(day.Entries[0].Start, loc)] = day
	}
	return q
}

func BenchmarkYear(b *testing.B) {
	loc := london(b)
	// few are enough starts to offer some from: those of four days.
	few := func(book *diary.Book, w diary.Wish) int {
		days, last := 0, -1
		for s := range book.Starts(w) {
			if day := s.Start.YearDay(); day != last {
				days, last = days+1, day
			}
			if days == 4 {
				break
			}
		}
		return days
	}
	all := func(book *diary.Book, w diary.Wish) int { return len(book.Free(w)) }
	for _, bm := range []struct {
		name   string
		full   int
		opened bool // searched before
		run    func(*diary.Book, diary.Wish) int
		want   int
	}{
		{"first few, seven days in ten full", 7, true, few, 4},
		{"not one day free", 10, true, few, 0},
		{"all, seven days in ten full", 7, true, all, 712},
		{"newly opened, first few, seven days in ten full", 7, false, few, 4},
		{"newly opened, not one day free", 10, false, few, 0},
	} {
		b.Run(bm.name, func(b *testing.B) {
			q := year(loc, bm.full)
			book := diary.NewBook(q.days, q.rules, q.now)
			book.Free(q.wish)
			b.ReportAllocs()
			for b.Loop() {
				if !bm.opened {
					book = diary.NewBook(q.days, q.rules, q.now)
				}
				if got := bm.run(book, q.wish); got != bm.want {
					b.Fatalf("found %d, want %d", got, bm.want)
				}
			}
		})
	}
}
