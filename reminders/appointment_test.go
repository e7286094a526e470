package reminders_test

import (
	"testing"
	"time"

	"example.org/dryhand/reminders"
	"github.com/google/go-cmp/cmp"
)

func lines(moments []reminders.Moment) []string {
	var out []string
	for _, m := range moments {
		out = append(out, string(m.Kind)+" "+show(m.At)+" till "+m.NotAfter.Format("02 15:04"))
	}
	return out
}

// Clocks change on 28 March and 31 October 2027 (gov.uk/when-do-the-clocks-change).
// The hours are the shipped rules'.
func TestAppointment(t *testing.T) {
	s := setting(t)
	for _, tt := range []struct {
		name, start, booked string
		want                []string
	}{
		{"plain", "2027-06-10 12:00", "2027-06-01 10:00",
			[]string{"day-before Wed 2027-06-09 17:00 BST till 09 20:00", "morning Thu 2027-06-10 10:00 BST till 10 11:30"}},
		{"early start: not before the service hours", "2027-06-10 08:00", "2027-06-01 10:00",
			[]string{"day-before Wed 2027-06-09 17:00 BST till 09 20:00", "morning Thu 2027-06-10 07:00 BST till 10 07:30"}},
		{"so early that the evening before must do", "2027-06-10 07:30", "2027-06-01 10:00",
			[]string{"day-before Wed 2027-06-09 17:00 BST till 09 20:00"}},
		{"a Monday: the Sunday before, at Easter, on the day the clocks change", "2027-03-29 09:00", "2027-03-20 10:00",
			[]string{"day-before Sun 2027-03-28 17:00 BST till 28 20:00", "morning Mon 2027-03-29 07:00 BST till 29 08:30"}},
		{"the day the clocks go back", "2027-10-31 09:00", "2027-10-20 10:00",
			[]string{"day-before Sat 2027-10-30 17:00 BST till 30 20:00", "morning Sun 2027-10-31 07:00 GMT till 31 08:30"}},
		{"booked the day before at noon", "2027-06-10 12:00", "2027-06-09 12:00",
			[]string{"day-before Wed 2027-06-09 17:00 BST till 09 20:00", "morning Thu 2027-06-10 10:00 BST till 10 11:30"}},
		{"booked that afternoon: they know", "2027-06-10 12:00", "2027-06-09 15:00",
			[]string{"morning Thu 2027-06-10 10:00 BST till 10 11:30"}},
		{"booked that morning", "2027-06-10 12:00", "2027-06-10 08:00", nil},
	} {
		got := lines(s.Appointment(at(t, tt.start), at(t, tt.booked)))
		if d := cmp.Diff(tt.want, got); d != "" {
			t.Errorf("%s (-want +got):\n%s", tt.name, d)
		}
	}
}

// After an outage nobody reads "tomorrow" on the day itself.
func TestNoTomorrowForYesterday(t *testing.T) {
	s := setting(t)
	m := s.Appointment(at(t, "2027-06-10 12:00"), at(t, "2027-06-01 10:00"))
	for now, want := range map[string][2]bool{
		"2027-06-09 16:59": {false, false},
		"2027-06-09 19:59": {true, false},
		"2027-06-09 23:00": {false, false},
		"2027-06-10 00:10": {false, false},
		"2027-06-10 10:00": {false, true},
		"2027-06-10 11:29": {false, true},
		"2027-06-10 11:30": {false, false},
		"2027-06-12 10:00": {false, false},
	} {
		if got := [2]bool{m[0].Sensible(at(t, now)), m[1].Sensible(at(t, now))}; got != want {
			t.Errorf("%s: day before and morning %v, want %v", now, got, want)
		}
	}
	// In service hours that run to midnight the day before still ends with it.
	night := with(t, "to-hour: 20 ", "to-hour: 24 ")
	eve := night.Appointment(at(t, "2027-06-10 12:00"), at(t, "2027-06-01 10:00"))[0]
	if got := show(eve.NotAfter); got != "Thu 2027-06-10 00:00 BST" {
		t.Errorf("till %s", got)
	}
}

func TestOpenQuote(t *testing.T) {
	s := setting(t)
	for _, tt := range []struct{ name, quoted, until, want string }{
		{"two days later", "2027-06-07 21:30", "2027-06-21 21:30", "open-quote Thu 2027-06-10 09:00 BST till 10 19:00"},
		{"within the hours", "2027-06-07 11:30", "2027-06-21 11:30", "open-quote Wed 2027-06-09 11:30 BST till 09 19:00"},
		{"over Easter", "2027-03-26 15:00", "2027-04-09 15:00", "open-quote Tue 2027-03-30 09:00 BST till 30 19:00"},
		{"from Saturday to Monday over the autumn change", "2027-10-29 18:00", "2027-11-12 18:00", "open-quote Mon 2027-11-01 09:00 GMT till 01 19:00"},
		{"lapses that day", "2027-06-07 11:30", "2027-06-09 14:00", "open-quote Wed 2027-06-09 11:30 BST till 09 14:00"},
	} {
		m, ok := s.OpenQuote(at(t, tt.quoted), at(t, tt.until))
		if !ok {
			t.Errorf("%s: nothing", tt.name)
			continue
		}
		if got := lines([]reminders.Moment{m})[0]; got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
	// In the quiet weeks before Christmas a fortnight's quote lapses unasked.
	if m, ok := s.OpenQuote(at(t, "2027-12-14 15:00"), at(t, "2027-12-28 15:00")); ok {
		t.Errorf("asked at %s after it lapsed", show(m.At))
	}
	if at := s.Rules.Quotes.StandsDays; time.Duration(at) <= time.Duration(s.Rules.Service.QuoteDays) {
		t.Error("the shipped rules ask after a quote that lapsed")
	}
}
