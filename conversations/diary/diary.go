// Package diary says when work can be done: what a day holds, which starts are
// free and which of them are worth offering, how long the ways between jobs take,
// when it is light, which days are bank holidays. It is pure: the time, the rules
// and the days come in as arguments.
//
// # Keys
//
// The diary is kept as one [Day] per local date, under a key made from [Key]
// ("2026-12-04"). The package stores nothing itself. Whether a start is free
// depends on the documents of the dates on which there is work, by
// [Rules.Stretches], and on no other, so that a booking is safe if those have not
// moved since they were read: one for most jobs.
package diary

import (
	"slices"
	"time"
)

// What an [Entry] stands for.
const (
	// Hold keeps a time for a customer for some minutes.
	Hold = "hold"
	// Asked waits for the owner's word.
	Asked = "asked"
	// Booked is agreed.
	Booked = "booked"
	// Off is time in which the owner does not work.
	Off = "off"
)

// Entry is one stretch of a day that is taken.
type Entry struct {
	// ID names what takes the time: an enquiry, or a time off.
	ID    string    `json:"id"`
	Start time.Time `json:"start"`
	End   time.Time `json:"end"`
	// Kind is one of Hold, Asked, Booked and Off.
	Kind string `json:"kind"`
	// Until is when a Hold lapses; zero never lapses by itself.
	Until time.Time `json:"until,omitzero"`
	// For is the ID of the entry that goes once this one is agreed, empty for none.
	// Of the two only one will be worked, so that neither is in the other's way; both
	// are in everybody else's.
	For string `json:"for,omitempty"`
	// Point is where the work is; the zero Point is unknown.
	Point
}

// lapsed tells whether the entry is a hold whose time is over.
func (e Entry) lapsed(now time.Time) bool {
	return e.Kind == Hold && !e.Until.IsZero() && !now.Before(e.Until)
}

// replaces tells whether the entry is to stand in the place of another.
func (e Entry) replaces(o Entry) bool { return e.For != "" && e.For == o.ID }

// overlaps tells whether the entry takes any of the time from start to end.
// Touching is not overlapping.
func (e Entry) overlaps(start, end time.Time) bool {
	return e.Start.Before(end) && start.Before(e.End)
}

// Dates are the keys of all local days the entry touches, in order. An entry
// over midnight is written, whole, into the document of each of them.
func (e Entry) Dates(loc *time.Location) []string {
	last := e.Start
	if e.End.After(e.Start) {
		last = e.End.Add(-1)
	}
	y, m, d := e.Start.In(loc).Date()
	var keys []string
	for i := 0; ; i++ {
		key := time.Date(y, m, d+i, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
		keys = append(keys, key)
		if key >= Key(last, loc) {
			return keys
		}
	}
}

// Day is what one local date holds, in order of start.
type Day struct {
	Entries []Entry `json:"entries,omitempty"`
	// Extra are hours in which there is work on this date besides the usual ones,
	// also where it is closed. Jobs of several days do not use them.
	Extra []Span `json:"extra,omitempty"`
}

// Key names the local date of a moment, "2026-12-04".
func Key(t time.Time, loc *time.Location) string { return t.In(loc).Format(time.DateOnly) }

// Keys are the names of the local dates from that of a moment on, so many of them.
func Keys(from time.Time, loc *time.Location, n int) []string {
	keys := make([]string, 0, n)
	for d := dateOf(from.In(loc)); len(keys) < n; d.next() {
		keys = append(keys, string(d.key[:]))
	}
	return keys
}

// Clash tells whether anything in the day takes some of the time from start to
// end, holds that should have lapsed included: call [Day.Lapse] first.
func (d Day) Clash(start, end time.Time) bool {
	return slices.ContainsFunc(d.Entries, func(e Entry) bool { return e.overlaps(start, end) })
}

// Place writes an entry into the day, over what stood there under the same ID.
// If another entry takes some of its time, or it does not end after it starts,
// nothing changes and Place reports false. Time off that was taken around an entry
// is not in its way, nor is what it replaces or is to be replaced by, see Entry.For. Place does not change the array that d.Entries shared with
// earlier copies of the day.
func (d *Day) Place(e Entry) bool {
	if !e.End.After(e.Start) || slices.ContainsFunc(d.Entries, func(o Entry) bool { return d.clash(e, o) }) {
		return false
	}
	d.put(e)
	return true
}

// clash tells whether an entry of the day is in the way of one that is to be
// placed.
func (d *Day) clash(e, o Entry) bool {
	if o.ID == e.ID || !o.overlaps(e.Start, e.End) || e.replaces(o) || o.replaces(e) {
		return false
	}
	stands := func(was Entry) bool { return was.ID == e.ID && was.overlaps(o.Start, o.End) }
	return o.Kind != Off || !slices.ContainsFunc(d.Entries, stands)
}

// put writes an entry over what stood there under the same ID, in order.
func (d *Day) put(e Entry) {
	rest := d.without(e.ID)
	at := slices.IndexFunc(rest, func(o Entry) bool { return o.Start.After(e.Start) })
	if at < 0 {
		at = len(rest)
	}
	d.Entries = slices.Insert(rest, at, e)
}

// Remove takes an entry out of the day and reports whether it was there.
func (d *Day) Remove(id string) bool {
	there := slices.ContainsFunc(d.Entries, func(e Entry) bool { return e.ID == id })
	if there {
		d.Entries = d.without(id)
	}
	return there
}

// Lapse takes out the holds whose time is over at now, and returns them.
func (d *Day) Lapse(now time.Time) []Entry {
	var kept, gone []Entry
	for _, e := range d.Entries {
		if e.lapsed(now) {
			gone = append(gone, e)
		} else {
			kept = append(kept, e)
		}
	}
	if gone != nil {
		d.Entries = kept
	}
	return gone
}

// without is a copy of the entries, less those with this ID.
func (d Day) without(id string) []Entry {
	var rest []Entry
	for _, e := range d.Entries {
		if e.ID != id {
			rest = append(rest, e)
		}
	}
	return rest
}
