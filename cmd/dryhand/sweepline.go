package main

import (
	"cmp"
	"fmt"
	"time"

	"github.com/robfig/cron/v3"

	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders/sweep"
)

// everyMinute is when the sweep looks for what is due without having been woken,
// where the rules say nothing. No change of the clocks can skip or double it.
const everyMinute = "* * * * *"

// byTheClockOf is a schedule that goes by the clocks of a place, wherever the
// process runs.
type byTheClockOf struct {
	cron.Schedule
	zone *time.Location
}

// Next is the next moment after t.
func (s byTheClockOf) Next(t time.Time) time.Time { return s.Schedule.Next(t.In(s.zone)) }

// sweepSchedule is the schedule the rules ask for. A line that cannot be read, can
// never come, or falls into a change of the clocks is an error that says so.
func sweepSchedule(rules *pricing.Rules, now time.Time) (cron.Schedule, error) {
	zone, err := time.LoadLocation(rules.Diary.TimeZone)
	if err != nil {
		return nil, fmt.Errorf("time zone of the business: %w", err)
	}
	line := cmp.Or(rules.Service.Sweep, everyMinute)
	if line != everyMinute {
		if err := sweep.CheckSchedule(line, zone, now); err != nil {
			return nil, fmt.Errorf("service.sweep: %w", err)
		}
	}
	schedule, err := sweep.ParseSchedule(line, now.In(zone))
	if err != nil {
		return nil, fmt.Errorf("service.sweep: %w", err)
	}
	return byTheClockOf{schedule, zone}, nil
}
