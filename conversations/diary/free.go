package diary

import (
	"slices"
	"time"
)

// Step is the grid on which starts are looked for, counted from the opening of
// each span of working hours.
const Step = 30 * time.Minute

// DuskMargin is how long before sunset outdoor work has to be finished, for
// the last look over the car needs light. Common practice, no source.
const DuskMargin = 45 * time.Minute

// middleOfBritain stands for a place we know nothing of, when daylight is asked
// for. On the mainland the sun sets within half an hour of what it does there,
// which DuskMargin covers.
func middleOfBritain() Point { return Point{Lat: 54, Lon: -2.5} }

// Span is a stretch of a day, in minutes from midnight by the clock on the
// wall: 480 to 1020 is eight to five on every day of the year. To is at most
// 1440. In the night the clocks change, a time the clock skips means the moment
// of the change, and one it shows twice may mean either.
type Span struct {
	From int `json:"from"`
	To   int `json:"to"`
}

// Hours are the working hours of each weekday. A weekday without spans is free.
// Work does not run over the gap between two spans.
type Hours map[time.Weekday][]Span

// Rules are how the business works.
type Rules struct {
	// Loc is the business's own time zone; required.
	Loc   *time.Location
	Hours Hours
	// Closed are local dates without work: bank holidays, days off.
	Closed map[string]bool
	// Notice is the least time between now and a start.
	Notice time.Duration
	// HorizonDays is how many days after today may still be chosen.
	HorizonDays int
	// Buffer is the least time between two jobs, travel apart.
	Buffer time.Duration
	// MaxPerDay is how many jobs a day may hold, zero for no limit.
	MaxPerDay int
	// Base is where the business starts from in the morning.
	Base Point
	// Travel says how long the way between two jobs takes.
	Travel Travel
}

// Wish is what is looked for.
type Wish struct {
	// Need is how long the owner is busy: the job at P80, with setting up and
	// packing.
	Need time.Duration
	// Dry is how long after that the car must stay where it is, before closing
	// and, outdoors, before dusk. It does not keep the owner from going.
	Dry time.Duration
	// Outdoor work starts after sunrise and ends DuskMargin before sunset.
	Outdoor bool
	// Point is where the work is to be done.
	Point
	// From and To, where not zero, are the earliest start and the latest end.
	From, To time.Time
	// Prefer is what the customer would like best.
	Prefer Prefer
}

// Prefer is what the customer would like, but does not insist on. The zero
// Prefer likes nothing better than anything else.
type Prefer struct {
	// Weekdays, if any, are the days liked.
	Weekdays []time.Weekday
	// Part, if not zero, is the part of the day liked.
	Part Part
}

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

// fits tells whether a start is what is preferred.
func (p Prefer) fits(start time.Time) bool {
	if len(p.Weekdays) == 0 && p.Part == "" {
		return false
	}
	return (len(p.Weekdays) == 0 || slices.Contains(p.Weekdays, start.Weekday())) &&
		(p.Part == "" || p.Part == PartOf(start))
}

// Slot is a time that is free. Both ends are in the business's zone.
type Slot struct {
	Start, End time.Time
	// Fits tells that the slot is as the customer prefers.
	Fits bool
	// Beside tells that it leaves less than one Step unused between it and
	// another job: the owner is out already.
	Beside bool
}

// Free are all the starts that are possible for a wish, in order. Days holds
// the days by [Key]; a day that is missing holds nothing. Holds that have
// lapsed by now do not count.
//
// Two jobs of one day lie at least Buffer and the way between them apart, to
// and from time off nothing is kept free. The way from Base to the first job
// and home from the last are not counted as working hours.
func Free(days map[string]Day, w Wish, r Rules, now time.Time) []Slot {
	return slices.Collect(Starts(days, w, r, now))
}
