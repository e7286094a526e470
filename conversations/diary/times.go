package diary

import (
	"slices"
	"time"
)

// Part is half of a day, by the start of the work.
type Part string

// The halves of a day, parted by the clock's noon.
const (
	Morning   Part = "morning"
	Afternoon Part = "afternoon"
)

// PartOf is the half of the day a moment lies in, in the moment's own zone.
func PartOf(t time.Time) Part {
	if t.Hour() < 12 {
		return Morning
	}
	return Afternoon
}

// Times are the times somebody means by a phrase such as "a weekday afternoon
// before the 14th": those for which all that is set holds. Times of nothing set
// are all times. Days and clock are those of the business's zone.
type Times struct {
	// From and To, where not zero, are the earliest start and the latest moment
	// the car may be had back.
	From time.Time `json:"from,omitzero"`
	To   time.Time `json:"to,omitzero"`
	// Weekdays, if any, are the only days of the week; Not are days that are
	// none of them; On, if any, are the only dates by [Key], and NotOn are dates
	// that are none of them. A job of several days has to keep to them on each.
	Weekdays []time.Weekday `json:"weekdays,omitempty"`
	Not      []time.Weekday `json:"not,omitempty"`
	On       []string       `json:"on,omitempty"`
	NotOn    []string       `json:"not_on,omitempty"`
	// StartFrom is the earliest start in minutes from midnight by the clock on
	// the wall, StartBefore the minute before which it has to be, and DoneBy the
	// latest at which the car may be had back. Zero sets no bound.
	StartFrom   int `json:"start_from,omitempty"`
	StartBefore int `json:"start_before,omitempty"`
	DoneBy      int `json:"done_by,omitempty"`
}

// Any tells that nothing is set.
func (t Times) Any() bool {
	return t.From.IsZero() && t.To.IsZero() && len(t.Weekdays) == 0 && len(t.Not) == 0 && len(t.On) == 0 &&
		len(t.NotOn) == 0 && t.StartFrom == 0 && t.StartBefore == 0 && t.DoneBy == 0
}

// Has tells whether a job that starts and is handed over at these moments, both
// in the business's zone, is meant. Of the days between, [Times.HasDay] tells.
func (t Times) Has(start, ready time.Time) bool {
	if !t.From.IsZero() && start.Before(t.From) || !t.To.IsZero() && ready.After(t.To) {
		return false
	}
	if t.StartFrom > 0 && clock(start) < t.StartFrom || t.StartBefore > 0 && clock(start) >= t.StartBefore {
		return false
	}
	if t.DoneBy > 0 && (clock(ready) > t.DoneBy || clock(ready) == t.DoneBy && ready.Second() > 0) {
		return false
	}
	return !t.picksDays() || t.HasDay(start.Weekday(), start.Format(time.DateOnly))
}

// HasDay tells whether a day of the week and its date are meant, whatever the
// time of day.
func (t Times) HasDay(day time.Weekday, date string) bool {
	return (len(t.Weekdays) == 0 || slices.Contains(t.Weekdays, day)) && !slices.Contains(t.Not, day) &&
		(len(t.On) == 0 || slices.Contains(t.On, date)) && !slices.Contains(t.NotOn, date)
}

// picksDays tells whether HasDay says no to anything.
func (t Times) picksDays() bool {
	return len(t.Weekdays)+len(t.Not)+len(t.On)+len(t.NotOn) > 0
}

// clock is what the clock shows, in minutes from midnight.
func clock(t time.Time) int { return 60*t.Hour() + t.Minute() }
