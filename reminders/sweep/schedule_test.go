package sweep_test

import (
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/google/go-cmp/cmp"
	"github.com/robfig/cron/v3"

	"example.org/dryhand/reminders/sweep"
)

func in(t *testing.T, name string) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// Changes of the clocks: the tz database that comes with Go. London's in 2027 are
// on 28 March at 01:00 and 31 October at 02:00 (gov.uk/when-do-the-clocks-change).
func TestCheckSchedule(t *testing.T) {
	now := time.Date(2026, time.November, 25, 12, 0, 0, 0, time.UTC)
	for _, tt := range []struct{ line, zone, want string }{
		{"* * * * *", "Europe/London", ""},
		{"*/15 * * * *", "Europe/London", ""},
		{"0 * * * *", "Europe/London", ""},
		{"5 9 * * 1-6", "Europe/London", ""},
		{"59 0 * * *", "Europe/London", ""},
		{"0 2 * * *", "Europe/London", ""},
		{"@every 90m", "Europe/London", ""},
		{"@hourly", "Europe/London", ""},
		{"@daily", "Europe/London", ""},
		{"30 1 * * 1", "Europe/London", ""}, // the clocks change on Sundays
		{"30 1 * * *", "UTC", ""},
		{"30 2 * * *", "Europe/London", ""},
		{"0 9 29 2 *", "Europe/London", ""},
		{"30 1 * * *", "Europe/London", "on 2027-03-28 the clocks change and it would run never; choose a time that is not from 01:00 to 02:00"},
		{"0 1 * * *", "Europe/London", "on 2027-03-28"},
		{"0 1 * 10 0", "Europe/London", "on 2027-10-31 the clocks change and it would run twice; choose a time that is not from 01:00 to 02:00"},
		{"15 0-2 * * *", "Europe/London", ""},
		{"15 1,2 * * *", "Europe/London", "on 2027-03-28"},
		{"30 2 * * *", "Europe/Berlin", "not from 02:00 to 03:00"},
		{"30 1 25 3 *", "Europe/London", "on 2029-03-25"},                // that year a Sunday
		{"30 1 24 3 *", "Europe/London", ""},                             // never the last Sunday
		{"15 2 * * *", "Australia/Lord_Howe", "not from 02:00 to 02:30"}, // October; April repeats 01:30 to 02:00
		{"0 9 30 2 *", "Europe/London", "never comes"},
		{"0 9 31 4,6,9,11 *", "Europe/London", "never comes"},
		{"60 9 * * *", "Europe/London", "above maximum"},
		{"0 9 * *", "Europe/London", "expected exactly 5 fields"},
		{"", "Europe/London", "empty spec"},
		{"TZ=Europe/London", "Europe/London", "leave the time zone out"},
		{"CRON_TZ=UTC 0 9 * * *", "Europe/London", "leave the time zone out"},
		{"@fortnightly", "Europe/London", "unrecognized descriptor"},
		{"tomorrow at nine", "Europe/London", "expected exactly 5 fields"},
	} {
		err := sweep.CheckSchedule(tt.line, in(t, tt.zone), now)
		switch {
		case tt.want == "" && err != nil:
			t.Errorf("%q in %s: %v, want it taken", tt.line, tt.zone, err)
		case tt.want != "" && (err == nil || !strings.Contains(err.Error(), tt.want)):
			t.Errorf("%q in %s: %v, want %q", tt.line, tt.zone, err, tt.want)
		}
	}
}

// Why these lines are refused: what the library does with them.
func TestWhatTheLibraryDoesAtAChange(t *testing.T) {
	london := in(t, "Europe/London")
	s, err := cron.ParseStandard("30 1 * * *")
	if err != nil {
		t.Fatal(err)
	}
	runs := func(day time.Time) []string {
		var out []string
		for at := s.Next(day); at.Before(day.AddDate(0, 0, 1)); at = s.Next(at) {
			out = append(out, at.Format("15:04 MST"))
		}
		return out
	}
	if got := runs(time.Date(2027, time.March, 28, 0, 0, 0, 0, london)); len(got) != 0 {
		t.Errorf("spring: runs at %v, want never", got)
	}
	if d := cmp.Diff([]string{"01:30 BST", "01:30 GMT"}, runs(time.Date(2027, time.October, 31, 0, 0, 0, 0, london))); d != "" {
		t.Errorf("autumn (-want +got):\n%s", d)
	}
}

func FuzzCheckSchedule(f *testing.F) {
	for _, line := range []string{"30 1 * * *", "@every 1s", "TZ=", "0 0 30 2 *", "*/7 1-3 * * 0", "? ? ? ? ?", "@every -5m"} {
		f.Add(line)
	}
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		f.Fatal(err)
	}
	now := time.Date(2026, time.November, 25, 12, 0, 0, 0, zone)
	f.Fuzz(func(t *testing.T, line string) {
		if sweep.CheckSchedule(line, zone, now) != nil {
			return
		}
		// Whatever is taken comes, and comes later than now.
		s, err := sweep.ParseSchedule(line, now)
		if err != nil || !s.Next(now).After(now) {
			t.Errorf("%q: taken, but next at %v, %v", line, s.Next(now), err)
		}
	})
}
