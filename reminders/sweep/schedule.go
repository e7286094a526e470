package sweep

import (
	"fmt"
	"slices"
	"sort"
	"time"

	"github.com/robfig/cron/v3"
)

// cycle is after how many years every date has been every day of the week, at
// least up to 2099.
const cycle = 28

// CheckSchedule tells what is wrong with a cron line that is to run by the clocks
// of a zone: that it cannot be read, never comes, or falls into a change of the
// clocks, at which the library leaves a line out in spring and runs it twice in
// autumn. A line that runs at the same minutes in the hours around misses nothing
// and is fine, and so is "@every".
func CheckSchedule(line string, zone *time.Location, now time.Time) error {
	t := now.In(zone)
	s, err := ParseSchedule(line, t)
	if err != nil {
		return err
	}
	if _, byClock := s.(*cron.SpecSchedule); !byClock {
		return nil
	}
	for _, change := range changes(t, t.AddDate(cycle, 0, 0)) {
		if err := checkChange(s, change, zone); err != nil {
			return fmt.Errorf("sweep: cron line %q: %w", line, err)
		}
	}
	return nil
}

// changes are the moments from t until end at which the clocks of t's zone change.
// They are looked for day by day: time.Time.ZoneBounds repeats itself for ever at
// the end of a leap year from 2040 on (Go 1.26).
func changes(t, end time.Time) []time.Time {
	offset := func(at int64) int {
		_, o := time.Unix(at, 0).In(t.Location()).Zone()
		return o
	}
	var out []time.Time
	const day = 24 * 60 * 60
	for at := t.Unix(); at < end.Unix(); at += day {
		if was := offset(at); was != offset(at+day) {
			n := sort.Search(day, func(i int) bool { return offset(at+int64(i)) != was })
			out = append(out, time.Unix(at+int64(n), 0))
		}
	}
	return out
}

// checkChange tells whether a schedule falls into one change of the clocks.
func checkChange(s cron.Schedule, change time.Time, zone *time.Location) error {
	before, after := shown(change.Add(-time.Nanosecond).In(zone), change), shown(change.In(zone), change)
	from, to, what := before, after, "never"
	if after.Before(before) {
		from, to, what = after, before, "twice"
	}
	long := to.Sub(from)
	hit := beats(s, from, to)
	if len(hit) == 0 || slices.Equal(hit, beats(s, from.Add(-long), from)) && slices.Equal(hit, beats(s, to, to.Add(long))) {
		return nil
	}
	return fmt.Errorf("on %s the clocks change and it would run %s; choose a time that is not from %s to %s",
		from.Format(time.DateOnly), what, from.Format("15:04"), to.Format("15:04"))
}

// shown is what a clock with t's offset shows at a moment, as if it were UTC.
func shown(t, at time.Time) time.Time {
	_, offset := t.Zone()
	return at.UTC().Add(time.Duration(offset) * time.Second)
}

// beats are when a schedule runs on a clock that shows from until to, counted from
// there. Both are given as UTC, which has no changes.
func beats(s cron.Schedule, from, to time.Time) []time.Duration {
	var out []time.Duration
	for t := s.Next(from.Add(-time.Second)); !t.IsZero() && t.Before(to); t = s.Next(t) {
		out = append(out, t.Sub(from))
	}
	return out
}
