// Package reminders knows what a customer is to hear after a job, and when it is
// polite to say so: how to look after what was done ([Setting.Care]), what
// belongs to an appointment ([Setting.Appointment]), and when protection falls
// due again ([Plan]). It is pure: it knows no chat, no store and no clock, and
// words nothing. The sweep (reminders/sweep) brings what is due to the desk,
// which asks here whether it still makes sense.
//
// Days are those of the business's time zone. A month after the 31st is the last
// day of a shorter month.
package reminders

import (
	"time"

	"example.org/dryhand/pricing"
)

// Setting is what holds for all customers of a business.
type Setting struct {
	Rules *pricing.Rules
	Zone  *time.Location
	// Holiday tells bank holidays by their date, "2027-03-29". Nil knows none.
	Holiday func(date string) bool
}

// Due is when to remind of a protection applied at some moment, of which nothing
// more is known: in the middle of the months it is expected to last, less the
// share by which a reminder comes early, at a polite hour.
func Due(applied time.Time, p pricing.Protection, r pricing.NudgeRules, zone *time.Location) time.Time {
	at := addMonths(applied.In(zone), middle(p)*r.Share)
	return Politely(onTheHour(at, r.FromHour), r, zone)
}

// Politely is the first moment from at on that lies in the hours and on the days
// at which a nudge may be sent. It knows no bank holidays; [Setting.Politely] does.
func Politely(at time.Time, r pricing.NudgeRules, zone *time.Location) time.Time {
	return politely(at.In(zone), r, nil)
}

// Politely is the first moment from at on that lies in the hours and on the days
// at which a nudge may be sent, bank holidays minded.
func (s Setting) Politely(at time.Time) time.Time {
	return politely(at.In(s.Zone), s.Rules.Nudges, s.holiday)
}

// Awake is the first moment from at on at which somebody may be expected to look
// at the chat and answer: in the hours and on the days of a nudge, in any season.
// In the weeks in which nobody wants to be sold anything, what was asked for is
// still waited for.
func (s Setting) Awake(at time.Time) time.Time {
	r := s.Rules.Nudges
	r.NotFrom, r.NotTo = pricing.MonthDay{}, pricing.MonthDay{}
	return politely(at.In(s.Zone), r, s.holiday)
}

// holiday tells whether a moment's day is one on which a nudge keeps silent.
func (s Setting) holiday(at time.Time) bool {
	return s.Holiday != nil && !s.Rules.Nudges.BankHolidays && s.Holiday(date(at))
}

// politely is the first moment from at on at which a nudge may be sent on a day
// that is not shut.
func politely(at time.Time, r pricing.NudgeRules, shut func(time.Time) bool) time.Time {
	at = inHours(at, r.FromHour, r.ToHour)
	// The rules leave days in every year, but shut may not: better late than
	// never ending.
	for range 2 * 366 {
		if !quiet(at, r) && (shut == nil || !shut(at)) {
			break
		}
		at = onDay(at, 1, r.FromHour)
	}
	return at
}

func quiet(at time.Time, r pricing.NudgeRules) bool {
	return at.Weekday() == time.Sunday && !r.Sundays || r.Quiet(at.Month(), at.Day())
}

// Serviceable is the first moment from at on that lies in the hours in which a
// message about an appointment or about work just done may leave, on any day.
func (s Setting) Serviceable(at time.Time) time.Time {
	return inHours(at.In(s.Zone), s.Rules.Service.FromHour, s.Rules.Service.ToHour)
}

// inHours is the first moment from at on between two hours of a day.
func inHours(at time.Time, from, to int) time.Time {
	switch {
	case at.Hour() < from:
		return onTheHour(at, from)
	case at.Hour() >= to:
		return onDay(at, 1, from)
	}
	return at
}

// onTheHour is when the clock shows an hour on at's day, 24 being the midnight
// that ends it. If the clock skips that hour, it is the moment it skips it.
func onTheHour(at time.Time, hour int) time.Time {
	y, m, d := at.Date()
	t := time.Date(y, m, d, hour, 0, 0, 0, at.Location())
	start, end := t.ZoneBounds()
	// In a gap time.Date gives a moment on one side of it and does not say which.
	switch asked := time.Date(y, m, d, hour, 0, 0, 0, time.UTC); wall(t).Compare(asked) {
	case -1:
		return end.In(at.Location())
	case 1:
		return start.In(at.Location())
	}
	return t
}

// wall is what the clock on the wall shows, as if it were UTC.
func wall(t time.Time) time.Time {
	_, offset := t.Zone()
	return t.UTC().Add(time.Duration(offset) * time.Second)
}

// onDay is when the clock shows an hour so many days after at's day.
func onDay(at time.Time, days, hour int) time.Time {
	y, m, d := at.Date()
	return onTheHour(time.Date(y, m, d+days, 12, 0, 0, 0, at.Location()), hour)
}

func date(at time.Time) string { return at.Format(time.DateOnly) }

// daysBetween is how many days lie from a's date to b's, by the calendar.
func daysBetween(a, b time.Time) int {
	day := func(t time.Time) time.Time {
		y, m, d := t.Date()
		return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	}
	return int(day(b).Sub(day(a)) / (24 * time.Hour))
}
