package diary

import "time"

// Span is a stretch of a day, in minutes from midnight by the clock on the
// wall: 480 to 1020 is eight to five on every day of the year. To is at most
// 1440. In the night the clocks change, a time the clock skips means the moment
// of the change, and one it shows twice may mean either.
type Span struct {
	From int `json:"from"`
	To   int `json:"to"`
}

// Hours are the hours of each weekday, in order and apart from each other. A
// weekday without spans is free; between two spans of a day is a break.
type Hours map[time.Weekday][]Span

// within are the spans of two days' hours in which both are open.
func within(a, b []Span) []Span {
	var both []Span
	for _, x := range a {
		for _, y := range b {
			if from, to := max(x.From, y.From), min(x.To, y.To); from < to {
				both = append(both, Span{from, to})
			}
		}
	}
	return both
}

// longest is how much work the longest day of the week takes, in minutes.
func (h Hours) longest() time.Duration {
	most := 0
	for _, spans := range h {
		sum := 0
		for _, s := range spans {
			sum += s.To - s.From
		}
		most = max(most, sum)
	}
	return time.Duration(most) * time.Minute
}

// Stretch is the time a job takes of one day.
type Stretch struct {
	// Date is the day, by [Key].
	Date       string
	Start, End time.Time
}

// Stretches are what a job takes of each day it is worked on, breaks included:
// one for a job of one day; for a job of several, the first day from its start
// to closing, whole days, and the last from opening to its end. Closed days and
// weekdays without hours are left out. What is taken on a day is written into
// that day's document.
func (r Rules) Stretches(start, end time.Time) []Stretch {
	first, last := Key(start, r.Loc), Key(end.Add(-1), r.Loc)
	if first == last {
		return []Stretch{{first, start.In(r.Loc), end.In(r.Loc)}}
	}
	var w wall
	var out []Stretch
	for d := dateOf(start.In(r.Loc)); string(d.key[:]) <= last; d.next() {
		spans, date := r.Hours[d.weekday], string(d.key[:])
		if len(spans) == 0 || r.Closed[date] {
			continue
		}
		s := Stretch{date, r.at(&w, d, spans[0].From), r.at(&w, d, spans[len(spans)-1].To)}
		if date == first {
			s.Start = start.In(r.Loc)
		}
		if date == last {
			s.End = end.In(r.Loc)
		}
		out = append(out, s)
	}
	return out
}

func (r Rules) at(w *wall, d date, minutes int) time.Time {
	return time.Unix(0, w.moment(d.midnight, minutes, r.Loc)).In(r.Loc)
}

// Breaks are the times between the usual hours of the day of a moment.
func (r Rules) Breaks(of time.Time) []Stretch {
	var w wall
	var out []Stretch
	d := dateOf(of.In(r.Loc))
	for i, spans := 1, r.Hours[d.weekday]; i < len(spans); i++ {
		out = append(out, Stretch{string(d.key[:]), r.at(&w, d, spans[i-1].To), r.at(&w, d, spans[i].From)})
	}
	return out
}
