package diary

import (
	"slices"
	"time"
)

// Step is the grid on which starts are looked for, counted from the opening of
// each span of working hours.
const Step = 30 * time.Minute

// middleOfBritain stands for a place we know nothing of, when daylight is asked
// for. On the mainland the sun sets within half an hour of what it does there,
// which is what [Rules.Dusk] should cover.
func middleOfBritain() Point { return Point{Lat: 54, Lon: -2.5} }

// Rules are how the business works.
type Rules struct {
	// Loc is the business's own time zone; required.
	Loc *time.Location
	// Hours are the working hours. A job that is shorter than the longest span
	// of its day is not torn apart by a break; a longer one pauses over it.
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
	// Base is where the business starts from in the morning and goes home to.
	Base Point
	// DriveInHours tells that the way from Base to the first job of a day and
	// home from its last are part of the working hours; else the day opens at
	// the first customer's.
	DriveInHours bool
	// Travel says how long the way between two jobs takes.
	Travel Travel
	// Dusk is how long before sunset outdoor work has to be finished, for the last
	// look over the car needs light.
	Dusk time.Duration
}

// Wish is what is looked for.
type Wish struct {
	// Need is how long the owner works: the job at P80, with setting up and
	// packing. What is longer than the longest day of Hours is spread over
	// working days in a row, from an opening on.
	Need time.Duration
	// Spread spreads the job even if it would fit into the hours of one day, as
	// where that is too long for a winter's daylight.
	Spread bool
	// Dry is how long after that the car must stay where it is, before closing
	// and, outdoors, before dusk. It does not keep the owner from going.
	Dry time.Duration
	// Overnight tells that the car may stay past closing to dry.
	Overnight bool
	// Outdoor work starts after sunrise and ends [Rules.Dusk] before sunset.
	Outdoor bool
	// Point is where the work is to be done.
	Point
	// Instead is the ID of an entry whose work the time is for as well, empty for
	// none. It goes once the new time is agreed: that and what was to replace it,
	// see [Entry.For], take no time of the day, are nobody's neighbours, and do not
	// count among its jobs.
	Instead string
	// Allowed are the hours in which the place lets work be done; nil sets no
	// bounds.
	Allowed Hours
	// From and To, where not zero, are the earliest start and the latest moment
	// the car may be had back, dry.
	From, To time.Time
	// Only are the times that come into question at all.
	Only Times
	// Prefer are the times the customer would like, any of them, but does not
	// insist on.
	Prefer []Times
}

// instead tells whether an entry is what the wish is to take the place of.
func (w *Wish) instead(e *Entry) bool {
	return w.Instead != "" && (e.ID == w.Instead || e.For == w.Instead)
}

// fits tells whether a time is as preferred.
func (w *Wish) fits(start, ready time.Time) bool {
	return slices.ContainsFunc(w.Prefer, func(t Times) bool { return t.Has(start, ready) })
}

// Slot is a time that is free. All moments are in the business's zone.
type Slot struct {
	// Start and End are those of the work; breaks, and nights if it takes
	// several days, lie between. See [Rules.Stretches].
	Start, End time.Time
	// Ready is when the car is dry.
	Ready time.Time
	// Days is on how many days there is work.
	Days int
	// Fits tells that the slot is as the customer prefers.
	Fits bool
	// Beside tells that it leaves less than one Step unused between it and
	// another job: the owner is out already.
	Beside bool
	// Drive is the time spent driving because of this job, over what the days
	// cost without it. The owner drives from Base to the day's jobs in turn and
	// home.
	Drive time.Duration
}

// Free are all the starts that are possible for a wish, in order. Days holds
// the days by [Key]; a day that is missing holds nothing. Holds that have
// lapsed by now do not count.
//
// Two jobs of one day lie at least Buffer and the way between them apart, to
// and from time off nothing is kept free.
func Free(days map[string]Day, w Wish, r Rules, now time.Time) []Slot {
	return slices.Collect(Starts(days, w, r, now))
}
