package diary

import (
	"slices"
	"time"
)

// TakeOff keeps the time from start to end free of further jobs, under an ID, and
// returns what is in it already and stays.
func (d *Day) TakeOff(id string, start, end time.Time) (jobs []Entry) {
	d.put(Entry{ID: id, Start: start, End: end, Kind: Off})
	for _, e := range d.Entries {
		if e.Kind != Off && e.overlaps(start, end) {
			jobs = append(jobs, e)
		}
	}
	return jobs
}

// GiveBack takes the time from start to end out of the day's time off, and returns
// what was taken off of it. What lies before and after stays off.
func (d *Day) GiveBack(start, end time.Time) (was []Entry) {
	var rest []Entry
	for _, e := range d.Entries {
		if e.Kind != Off || !e.overlaps(start, end) {
			rest = append(rest, e)
			continue
		}
		cut := e
		if before := e; before.Start.Before(start) {
			before.End, cut.Start = start, start
			rest = append(rest, before)
		}
		if after := e; after.End.After(end) {
			after.Start, cut.End = end, end
			rest = append(rest, after)
		}
		was = append(was, cut)
	}
	if was != nil {
		slices.SortStableFunc(rest, func(a, b Entry) int { return a.Start.Compare(b.Start) })
		d.Entries = rest
	}
	return was
}

// Open are the hours of a date: the usual ones, unless it is closed, and the day's
// own besides.
func (r Rules) Open(date string, weekday time.Weekday, d Day) []Span {
	usual := r.Hours[weekday]
	if r.Closed[date] {
		usual = nil
	}
	return union(usual, d.Extra)
}

// union are the hours in which one or the other is open. Where nothing is added, it
// is the hours as they were.
func union(hours, more []Span) []Span {
	if len(more) == 0 {
		return hours
	}
	all := slices.Concat(hours, more)
	slices.SortFunc(all, func(a, b Span) int { return a.From - b.From })
	joined := all[:1]
	for _, s := range all[1:] {
		if last := &joined[len(joined)-1]; s.From <= last.To {
			last.To = max(last.To, s.To)
		} else {
			joined = append(joined, s)
		}
	}
	return joined
}
