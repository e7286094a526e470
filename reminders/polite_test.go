package reminders_test

import (
	"testing"
	"time"

	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders"
	"github.com/google/go-cmp/cmp"
)

// Clocks change in London on 28 March 2027 and 31 October 2027
// (gov.uk/when-do-the-clocks-change); in 2027 that is Easter Sunday, between two
// bank holidays (gov.uk/bank-holidays).
func TestPolitely(t *testing.T) {
	s := setting(t)
	for _, tt := range []struct{ name, at, want string }{
		{"in hours", "2027-06-08 14:30", "Tue 2027-06-08 14:30 BST"},
		{"too early", "2027-06-08 06:00", "Tue 2027-06-08 09:00 BST"},
		{"the last minute", "2027-06-08 18:59", "Tue 2027-06-08 18:59 BST"},
		{"too late", "2027-06-08 19:00", "Wed 2027-06-09 09:00 BST"},
		{"Saturday evening goes over Sunday", "2027-06-12 20:00", "Mon 2027-06-14 09:00 BST"},
		{"Good Friday moves to Saturday", "2027-03-26 10:00", "Sat 2027-03-27 09:00 GMT"},
		{"Easter Saturday evening goes over Sunday, its change, and the Monday", "2027-03-27 19:30", "Tue 2027-03-30 09:00 BST"},
		{"the hour the clock skips", "2027-03-28 01:30", "Tue 2027-03-30 09:00 BST"},
		{"the hour that comes twice", "2027-10-31 01:30", "Mon 2027-11-01 09:00 GMT"},
		{"Saturday night before it", "2027-10-30 23:59", "Mon 2027-11-01 09:00 GMT"},
		{"the week of the late May holiday", "2027-05-29 19:00", "Tue 2027-06-01 09:00 BST"},
		{"the day before the quiet weeks", "2027-12-14 18:00", "Tue 2027-12-14 18:00 GMT"},
		{"the eve of them runs over all, and the holidays in them", "2027-12-14 19:00", "Tue 2028-02-01 09:00 GMT"},
		{"the middle of them", "2028-01-10 12:00", "Tue 2028-02-01 09:00 GMT"},
	} {
		if got := show(s.Politely(at(t, tt.at))); got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
	if got := show(reminders.Politely(at(t, "2027-03-26 10:00"), s.Rules.Nudges, s.Zone)); got != "Fri 2027-03-26 10:00 GMT" {
		t.Errorf("without a list of holidays Good Friday is a Friday: %s", got)
	}
	free := with(t, "bank-holidays: false", "bank-holidays: true")
	if got := show(free.Politely(at(t, "2027-03-29 10:00"))); got != "Mon 2027-03-29 10:00 BST" {
		t.Errorf("where holidays do not matter: %s", got)
	}
}

// An hour that the clock skips begins when it is skipped, never before.
func TestFirstHourInAGap(t *testing.T) {
	r := pricing.NudgeRules{FromHour: 1, ToHour: 20, Sundays: true, NotFrom: pricing.MonthDay{Month: 12, Day: 24}, NotTo: pricing.MonthDay{Month: 12, Day: 26}}
	if got := show(reminders.Politely(at(t, "2027-03-28 00:10"), r, london(t))); got != "Sun 2027-03-28 02:00 BST" {
		t.Errorf("got %s, want the moment of the change", got)
	}
	// Havana skips midnight itself: 14 March 2027, from the tz database.
	havana, err := time.LoadLocation("America/Havana")
	if err != nil {
		t.Fatal(err)
	}
	r.FromHour = 0
	got := reminders.Politely(time.Date(2027, time.March, 13, 21, 0, 0, 0, havana), r, havana)
	if got := got.Format("2006-01-02 15:04"); got != "2027-03-14 01:00" {
		t.Errorf("Havana: %s", got)
	}
	// The Troll station skips two hours, 01:00 to 03:00 on 28 March 2027.
	troll, err := time.LoadLocation("Antarctica/Troll")
	if err != nil {
		t.Fatal(err)
	}
	for _, hour := range []int{1, 2} {
		r.FromHour = hour
		got := reminders.Politely(time.Date(2027, time.March, 28, 0, 10, 0, 0, troll), r, troll)
		if got := got.Format("2006-01-02 15:04"); got != "2027-03-28 03:00" {
			t.Errorf("Troll, from %d: %s", hour, got)
		}
	}
}

func TestServiceable(t *testing.T) {
	s := setting(t)
	for in, want := range map[string]string{
		"2027-03-28 03:00": "Sun 2027-03-28 07:00 BST", // a Sunday at Easter: service is service
		"2027-03-27 20:00": "Sun 2027-03-28 07:00 BST",
		"2027-10-30 21:00": "Sun 2027-10-31 07:00 GMT",
		"2027-12-25 19:59": "Sat 2027-12-25 19:59 GMT",
	} {
		if got := show(s.Serviceable(at(t, in))); got != want {
			t.Errorf("%s: %s, want %s", in, got, want)
		}
	}
}

// Months worked out by hand with a calendar, no source: a month after the 31st is
// the last day of a shorter one, and parts of a month are parts of 30.4 days.
func TestMonths(t *testing.T) {
	s := setting(t)
	for _, tt := range []struct {
		from   string
		months int
		want   string
	}{
		{"2027-01-31 12:00", 1, "2027-02-28"},
		{"2028-01-31 12:00", 1, "2028-02-29"},
		{"2027-08-31 12:00", 6, "2028-02-29"},
		{"2027-10-31 12:00", 1, "2027-11-30"},
		{"2027-03-31 12:00", 12, "2028-03-31"},
		{"2027-12-15 12:00", 3, "2028-03-15"},
		{"2028-02-29 12:00", 12, "2029-02-28"},
		{"2027-03-27 23:30", 1, "2027-04-27"},
		{"2027-02-28 00:30", 1, "2027-03-28"}, // no such clock as 01:30 that day; it is not needed
	} {
		p := reminders.Plan{}.Later(at(t, tt.from), 0, tt.months, s)
		if got := p.NotBefore.Format(time.DateOnly); got != tt.want {
			t.Errorf("%s and %d months: %s, want %s", tt.from, tt.months, got, tt.want)
		}
	}
	for _, tt := range []struct {
		applied   string
		low, high float64
		want      string
	}{
		// 5 × 0.85 = 4.25 months: 15 August and 0.25 × 30.4 = 7.6 days.
		{"2027-04-15 16:30", 4, 6, "Mon 2027-08-23 09:00 BST"},
		// 2 × 0.85 = 1.7 months: 28 February, not 31, and 21.28 days, 21 March, a Sunday.
		{"2027-01-31 16:30", 1, 3, "Mon 2027-03-22 09:00 GMT"},
		// 9 × 0.85 = 7.65 months: 31 October and 19.76 days.
		{"2027-03-31 16:30", 6, 12, "Sat 2027-11-20 09:00 GMT"},
	} {
		got := show(reminders.Due(at(t, tt.applied), pricing.Protection{MonthsLow: tt.low, MonthsHigh: tt.high}, s.Rules.Nudges, s.Zone))
		if d := cmp.Diff(tt.want, got); d != "" {
			t.Errorf("%s, %g to %g months (-want +got):\n%s", tt.applied, tt.low, tt.high, d)
		}
	}
}
