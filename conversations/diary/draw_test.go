package diary_test

import (
	"fmt"
	"slices"
	"time"

	"example.org/dryhand/conversations/diary"
	"pgregory.net/rapid"
)

// question is all that a search is asked with.
type question struct {
	days  map[string]diary.Day
	wish  diary.Wish
	rules diary.Rules
	now   time.Time
	// seen keeps what was found out minute by minute about a day, and rows the job
	// of several days that begins on it.
	seen map[date]*outline
	rows map[date]row
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

// movedTo is under which name another time for the job that is moved stands.
const movedTo = "moved to"

// moves has some entries replace others, and mostly asks for another time for a job
// that is in the diary, has perhaps been found one already, and may fill its day.
func (q *question) moves(d draws) {
	const job = "moved"
	on := func(label string) time.Time {
		return q.midnight(rapid.IntRange(0, q.rules.HorizonDays).Draw(d.T, label))
	}
	add := func(e diary.Entry, midnight time.Time) {
		e.Start = midnight.Add(d.minutes(e.ID+" starts", 420, 900))
		e.End, e.Point = e.Start.Add(d.minutes(e.ID+" takes", 30, 500)), d.point(e.ID+"'s place")
		date := midnight.Format(time.DateOnly)
		day := q.days[date]
		day.Entries = append(day.Entries, e)
		q.days[date] = day
	}
	if !d.one("stays", 3) {
		q.wish.Instead = job
	}
	day := on("day of the job")
	if d.one("nothing else on it", 2) {
		q.days[day.Format(time.DateOnly)] = diary.Day{}
	}
	add(diary.Entry{ID: job, Kind: diary.Booked}, day)
	if d.one("has another time", 2) {
		add(diary.Entry{ID: movedTo, For: job, Kind: diary.Asked}, on("day of the other time"))
	}
	if d.one("others move", 4) {
		add(diary.Entry{ID: "other", For: "0 0", Kind: diary.Asked}, day)
	}
}

// drawQuestion makes up a diary of a few days, often about a clock change.
func drawQuestion(t *rapid.T, loc *time.Location) *question {
	d := draws{t}
	q := &question{days: map[string]diary.Day{}, seen: map[date]*outline{}, rows: map[date]row{}}
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
		Dusk:   d.minutes("dusk", 0, 60),
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
		if d.one("extra hours", 4) {
			for _, at := range [][2]int{{180, 540}, {600, 1080}, {1000, 1440}} { // over each other, and not in the hour of a change
				if from := rapid.IntRange(at[0], at[1]-1).Draw(t, "extra from"); d.one("some of them", 2) {
					day.Extra = append(day.Extra, diary.Span{From: from, To: rapid.IntRange(from+1, 1440).Draw(t, "extra to")})
				}
			}
		}
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
	q.moves(d)
	return q
}
