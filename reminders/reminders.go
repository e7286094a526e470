// Package reminders knows when protection falls due and when it is polite to
// say so. It is pure; the sweep (reminders/sweep) brings what is due to the desk.
package reminders

import (
	"math"
	"time"

	"example.org/dryhand/pricing"
)

// Due is when to remind of a protection applied at some moment: in the middle
// of the months it is expected to last, less the share by which a reminder comes
// early, at a polite hour.
func Due(applied time.Time, p pricing.Protection, r pricing.NudgeRules, zone *time.Location) time.Time {
	months := (p.MonthsLow + p.MonthsHigh) / 2 * r.Share
	whole, part := math.Modf(months)
	const daysInMonth = 30.4 // 365.25 / 12, rounded
	at := applied.In(zone).AddDate(0, int(whole), int(math.Round(part*daysInMonth)))
	y, m, d := at.Date()
	return Politely(time.Date(y, m, d, r.FromHour, 0, 0, 0, zone), r, zone)
}

// Politely is the first moment from at on that lies in the hours and on the days
// at which a nudge may be sent.
func Politely(at time.Time, r pricing.NudgeRules, zone *time.Location) time.Time {
	at = at.In(zone)
	y, m, d := at.Date()
	open := func(add int) time.Time { return time.Date(y, m, d+add, r.FromHour, 0, 0, 0, zone) }
	switch {
	case at.Hour() < r.FromHour:
		at = open(0)
	case at.Hour() >= r.ToHour:
		at = open(1)
	}
	// A year of days without one that may be used is a mistake in the rules;
	// better late than never ending.
	for range 366 {
		if !quiet(at, r) {
			break
		}
		y, m, d = at.Date()
		at = open(1)
	}
	return at
}

func quiet(at time.Time, r pricing.NudgeRules) bool {
	return at.Weekday() == time.Sunday && !r.Sundays || r.Quiet(at.Month(), at.Day())
}
