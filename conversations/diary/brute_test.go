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
}

// drawQuestion makes up a diary of a few days, often about a clock change.
// Everything falls on whole minutes.
func drawQuestion(t *rapid.T, loc *time.Location) question {
	minutes := func(label string, least, most int) time.Duration {
		return time.Duration(rapid.IntRange(least, most).Draw(t, label)) * time.Minute
	}
	point := func(label string) diary.Point {
		return rapid.SampledFrom([]diary.Point{{}, {Lat: 51.5, Lon: -0.1}, {Lat: 51.7, Lon: -0.3}, {Lat: 55.9, Lon: -3.2}}).Draw(t, label)
	}
	q := question{days: map[string]diary.Day{}}
	first := rapid.SampledFrom([]string{"2026-03-27", "2026-10-23", "2026-12-20", "2026-06-20", "2027-10-30"}).Draw(t, "first day")
	midnight, err := time.ParseInLocation(time.DateOnly, first, loc)
	if err != nil {
		t.Fatal(err)
	}
	q.now = midnight.Add(minutes("now", 0, 1439))
	q.rules = diary.Rules{
		Loc: loc, Hours: drawHours(t), HorizonDays: rapid.IntRange(0, 4).Draw(t, "horizon"),
		Notice: minutes("notice", 0, 2000), Buffer: minutes("buffer", 0, 45),
		MaxPerDay: rapid.IntRange(0, 3).Draw(t, "most a day"), Base: point("base"), Closed: map[string]bool{},
		Travel: diary.Travel{RoadFactor: 1.3, KmPerHour: rapid.SampledFrom([]float64{0, 50}).Draw(t, "speed"), Unknown: minutes("unknown way", 0, 40)},
	}
	q.wish = diary.Wish{
		Need: minutes("need", 1, 420), Dry: minutes("dry", 0, 90), Outdoor: rapid.Bool().Draw(t, "outdoor"), Point: point("place"),
		Prefer: diary.Prefer{Part: rapid.SampledFrom([]diary.Part{"", diary.Morning, diary.Afternoon}).Draw(t, "part")},
	}
	if rapid.Bool().Draw(t, "limited") {
		q.wish.From = q.now.Add(minutes("from", -600, 3000))
		q.wish.To = q.wish.From.Add(minutes("to", 0, 4000))
	}
	for i := range q.rules.HorizonDays + 1 {
		y, m, d := q.now.In(loc).Date()
		key := time.Date(y, m, d+i, 12, 0, 0, 0, loc).Format(time.DateOnly)
		q.rules.Closed[key] = rapid.IntRange(0, 9).Draw(t, "closed") == 0
		var day diary.Day
		for n := range rapid.IntRange(0, 4).Draw(t, "entries") {
			start := time.Date(y, m, d+i, 0, 0, 0, 0, loc).Add(minutes("start", 0, 1300))
			e := diary.Entry{
				ID: fmt.Sprint(i, n), Start: start, End: start.Add(minutes("length", 1, 400)), Point: point("entry's place"),
				Kind: rapid.SampledFrom([]string{diary.Hold, diary.Asked, diary.Booked, diary.Off}).Draw(t, "kind"),
			}
			if e.Kind == diary.Hold && rapid.Bool().Draw(t, "lapses") {
				e.Until = q.now.Add(minutes("until", -1, 1))
			}
			day.Entries = append(day.Entries, e) // in any order, and over each other
		}
		q.days[key] = day
	}
	return q
}

// drawHours makes up the week. The hour that the clock skips or repeats on a
// Sunday is left to the table tests.
func drawHours(t *rapid.T) diary.Hours {
	h := diary.Hours{}
	for d := time.Sunday; d <= time.Saturday; d++ {
		edges := rapid.SliceOfNDistinct(rapid.SampledFrom([]int{0, 120, 480, 495, 545, 720, 765, 1020, 1055, 1380, 1440}), 0, 5, rapid.ID).Draw(t, "edges")
		slices.Sort(edges)
		for i := 0; i+1 < len(edges); i += 2 {
			h[d] = append(h[d], diary.Span{From: edges[i], To: edges[i+1]})
		}
	}
	return h
}

// bruteForce tries every minute there is.
func bruteForce(q question) []diary.Slot {
	var out []diary.Slot
	loc := q.rules.Loc
	y, m, d := q.now.In(loc).Date()
	end := time.Date(y, m, d+q.rules.HorizonDays+1, 0, 0, 0, 0, loc)
	for day := time.Date(y, m, d, 0, 0, 0, 0, loc); day.Before(end); {
		y, m, d := day.Date()
		next := time.Date(y, m, d+1, 0, 0, 0, 0, loc)
		for _, span := range q.rules.Hours[day.Weekday()] {
			open, shut := onTheWall(day, next, span.From), onTheWall(day, next, span.To)
			for t := open; t.Before(shut); t = t.Add(time.Minute) {
				if t.Sub(open)%diary.Step == 0 && q.allows(day, t, shut) {
					slot := diary.Slot{Start: t, End: t.Add(q.wish.Need), Beside: q.beside(t)}
					slot.Fits = q.wish.Prefer.Part == diary.Morning && t.Hour() < 12 || q.wish.Prefer.Part == diary.Afternoon && t.Hour() >= 12
					out = append(out, slot)
				}
			}
		}
		day = next
	}
	return out
}

// onTheWall is the first minute of a day at which the clock shows so many
// minutes from midnight, or more.
func onTheWall(day, next time.Time, minutes int) time.Time {
	for t := day; t.Before(next); t = t.Add(time.Minute) {
		if 60*t.Hour()+t.Minute() >= minutes {
			return t
		}
	}
	return next
}

// standing are the entries of a moment's day that count.
func (q question) standing(t time.Time) []diary.Entry {
	day := q.days[t.Format(time.DateOnly)]
	day.Lapse(q.now)
	return day.Entries
}

func (q question) gap(e diary.Entry) time.Duration {
	if e.Kind == diary.Off {
		return 0
	}
	return q.rules.Buffer + q.rules.Travel.Between(e.Point, q.wish.Point)
}

func (q question) allows(day, start, shut time.Time) bool {
	if q.rules.Closed[day.Format(time.DateOnly)] || start.Before(q.now.Add(q.rules.Notice)) || start.Before(q.wish.From) {
		return false
	}
	end := start.Add(q.wish.Need)
	if end.Add(q.wish.Dry).After(shut) || !q.wish.To.IsZero() && end.After(q.wish.To) {
		return false
	}
	jobs := 0
	for _, e := range q.standing(start) {
		if e.Kind != diary.Off {
			jobs++
		}
		for t := start; t.Before(end); t = t.Add(time.Minute) {
			if !t.Before(e.Start.Add(-q.gap(e))) && t.Before(e.End.Add(q.gap(e))) {
				return false
			}
		}
	}
	return (q.rules.MaxPerDay == 0 || jobs < q.rules.MaxPerDay) && q.light(day, start, end)
}

func (q question) light(day, start, end time.Time) bool {
	if !q.wish.Outdoor {
		return true
	}
	at := q.wish.Point
	if at == (diary.Point{}) {
		at = q.rules.Base
	}
	if at == (diary.Point{}) {
		at = diary.Point{Lat: 54, Lon: -2.5}
	}
	rise, set, _ := diary.Sun(day, at)
	return !start.Before(rise) && !end.Add(q.wish.Dry).After(set.Add(-45*time.Minute))
}

// beside tells whether a start less than half an hour earlier or later would
// be too close to a job.
func (q question) beside(start time.Time) bool {
	for _, e := range q.standing(start) {
		idleBefore := start.Sub(e.End) - q.gap(e)
		idleAfter := e.Start.Sub(start.Add(q.wish.Need)) - q.gap(e)
		if e.Kind != diary.Off && (idleBefore >= 0 && idleBefore < 30*time.Minute || idleAfter >= 0 && idleAfter < 30*time.Minute) {
			return true
		}
	}
	return false
}

func TestFreeEqualsBruteForce(t *testing.T) {
	loc := london(t)
	found, empty := 0, 0
	for range 4 { // 100 diaries each
		rapid.Check(t, func(t *rapid.T) {
			q := drawQuestion(t, loc)
			want, got := bruteForce(q), diary.Free(q.days, q.wish, q.rules, q.now)
			if diff := cmp.Diff(want, got); diff != "" {
				t.Fatalf("(-brute force +got):\n%s", diff)
			}
			found += len(got)
			if len(got) == 0 {
				empty++
			}
		})
	}
	// Lest the diaries made up are all full or all empty.
	if found < 400 || empty < 20 {
		t.Errorf("%d slots found in all, %d searches found none", found, empty)
	}
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
		Loc: loc, Hours: diary.Hours{}, Notice: 24 * time.Hour, HorizonDays: 365, Buffer: 15 * time.Minute, MaxPerDay: 3,
		Travel: diary.Travel{RoadFactor: 1.3, KmPerHour: 45},
	}
	for d := time.Monday; d <= time.Saturday; d++ {
		q.rules.Hours[d] = []diary.Span{{From: 8 * 60, To: 17*60 + 30}}
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
	few := func(q question) int {
		days, last := 0, -1
		for s := range diary.Starts(q.days, q.wish, q.rules, q.now) {
			if day := s.Start.YearDay(); day != last {
				days, last = days+1, day
			}
			if days == 4 {
				break
			}
		}
		return days
	}
	for _, bm := range []struct {
		name string
		full int
		run  func(question) int
		want int
	}{
		{"first few, seven days in ten full", 7, few, 4},
		{"first few, not one day free", 10, few, 0},
		{"all, seven days in ten full", 7, func(q question) int { return len(diary.Free(q.days, q.wish, q.rules, q.now)) }, 0},
	} {
		b.Run(bm.name, func(b *testing.B) {
			q := year(loc, bm.full)
			b.ReportAllocs()
			for b.Loop() {
				if got := bm.run(q); got != bm.want && bm.want > 0 || got == 0 && bm.full < 10 {
					b.Fatalf("found %d", got)
				}
			}
		})
	}
}
