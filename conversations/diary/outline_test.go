package diary_test

import (
	"slices"
	"time"

	"example.org/dryhand/conversations/diary"
)

// outline is what a day shows that is looked at minute by minute, by how many
// minutes have gone by since it began. What stands there twice is by the business's
// hours, and by those of the place too.
type outline struct {
	date     string
	midnight int64 // in seconds since 1970
	closed   bool
	// usual, allowed and extra are the hours of the business, of the place, and the
	// day's own.
	usual, allowed, extra []diary.Span
	open                  [2][]bool
	opens                 []bool
	grid                  []bool
	// first is the first minute that is open, and end the end of the last.
	first, end [2]time.Time
	any        [2]bool
	rise, dusk time.Time
	longest    time.Duration
}

// date is a date as a key.
type date struct {
	year  int
	month time.Month
	day   int
}

// minute is how many minutes of the day have gone by at a moment.
func (o *outline) minute(t time.Time) int { return int(t.Unix()-o.midnight) / 60 }

// open tells whether there is work at a moment, by the hours of the business
// and, if at the place, by those of the place. What is closed counts as open here,
// unless the day has hours of its own.
func (q *question) open(t time.Time, atPlace bool) bool {
	o := q.outline(t)
	return o.open[side(atPlace)][o.minute(t)]
}

// look is open by what the clock shows.
func (q *question) look(o *outline, clock int, atPlace bool) bool {
	in := func(spans []diary.Span) bool {
		return slices.ContainsFunc(spans, func(s diary.Span) bool { return s.From <= clock && clock < s.To })
	}
	usual := in(o.usual)
	if o.extra != nil {
		usual = usual && !o.closed || in(o.extra)
	}
	return usual && (!atPlace || q.wish.Allowed == nil || in(o.allowed))
}

// side is where the place's hours stand in what there is twice.
func side(atPlace bool) int { return count(atPlace) }

// several tells whether the job takes several days.
func (q *question) several() bool {
	longest := 0
	for _, spans := range q.rules.Hours {
		sum := 0
		for _, s := range spans {
			sum += s.To - s.From
		}
		longest = max(longest, sum)
	}
	return q.wish.Spread || q.wish.Need > time.Duration(longest)*time.Minute
}

func clock(t time.Time) int { return 60*t.Hour() + t.Minute() }

// gridded tells whether starts are looked for at a moment: it is open, and has
// been for a number of whole steps.
func (q *question) gridded(t time.Time) bool {
	o := q.outline(t)
	return o.grid[o.minute(t)]
}

// opens tells whether a span of hours begins at a moment, where one may follow
// on the other without a break. Hours of a day's own are run together with the
// usual ones they touch.
func (q *question) opens(t time.Time) bool {
	o := q.outline(t)
	return o.opens[o.minute(t)]
}

// begins is opens by what the clock shows.
func (q *question) begins(o *outline, clock int) bool {
	at := func(spans []diary.Span) bool {
		return slices.ContainsFunc(spans, func(s diary.Span) bool { return s.From == clock })
	}
	return o.extra == nil && at(o.usual) || at(o.allowed)
}

// outline looks at every minute of the day of a moment, once.
func (q *question) outline(t time.Time) *outline {
	y, m, d := t.Date()
	day := date{y, m, d}
	if o, ok := q.seen[day]; ok {
		return o
	}
	first, next := time.Date(y, m, d, 0, 0, 0, 0, q.rules.Loc), time.Date(y, m, d+1, 0, 0, 0, 0, q.rules.Loc)
	o := &outline{date: t.Format(time.DateOnly), midnight: first.Unix(), usual: q.rules.Hours[t.Weekday()], allowed: q.wish.Allowed[t.Weekday()]}
	o.closed = q.rules.Closed[o.date]
	if !q.several() { // a job of several days does not use them
		o.extra = q.days[o.date].Extra
	}
	run := time.Duration(0)
	for t := first; t.Before(next); t = t.Add(time.Minute) {
		shown := clock(t)
		open := [2]bool{q.look(o, shown, false), q.look(o, shown, true)}
		for i := range open {
			if open[i] {
				if !o.any[i] {
					o.first[i], o.any[i] = t, true
				}
				o.end[i] = t.Add(time.Minute)
			}
			o.open[i] = append(o.open[i], open[i])
		}
		opens := q.begins(o, shown)
		if !open[1] || opens {
			run = 0
		}
		o.opens = append(o.opens, opens)
		o.grid = append(o.grid, open[1] && run%diary.Step == 0)
		if open[1] {
			run += time.Minute
		}
		o.longest = max(o.longest, run)
	}
	o.rise, o.dusk = q.light(t)
	q.seen[day] = o
	return o
}

// ofDay are the first and the end of the last open minute of a day.
func (q *question) ofDay(t time.Time, atPlace bool) (first, end time.Time, any bool) {
	o, i := q.outline(t), side(atPlace)
	return o.first[i], o.end[i], o.any[i]
}
