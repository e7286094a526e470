package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/pricing"
)

// A cron line that is wrong, can never come, or falls into a change of the clocks is
// refused with the rules it stands in; so nothing starts with it. London's clocks go
// forward at one and back at two (gov.uk/when-do-the-clocks-change).
func TestWrongCronLinesAreRefused(t *testing.T) {
	for line, want := range map[string]string{
		"* * * * *":        "",
		"*/5 7-20 * * *":   "",
		"@every 5m":        "",
		"30 9 * * 1-5":     "",
		"61 * * * *":       "service.sweep",
		"every minute":     "service.sweep",
		"0 9 31 2 *":       "never comes",
		"30 1 * * *":       "the clocks change",
		"TZ=UTC 0 9 * * *": "leave the time zone out",
	} {
		src := string(pricing.DefaultYAML())
		file := filepath.Join(t.TempDir(), "rules.yaml")
		changed := strings.Replace(src, `sweep: "* * * * *"`, "sweep: \""+line+"\"", 1)
		if line != everyMinute && changed == src {
			t.Fatal("the shipped rules have no sweep")
		}
		if err := os.WriteFile(file, []byte(changed), 0o600); err != nil {
			t.Fatal(err)
		}
		_, _, _, err := business{Rules: file}.load()
		switch {
		case want == "" && err != nil:
			t.Errorf("%q is refused: %v", line, err)
		case want != "" && (err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), file)):
			t.Errorf("%q: %v, want an error with the file and %q", line, err, want)
		}
	}
}

// The line goes by the business's clock, wherever the process runs.
func TestSweepGoesByTheBusinesssClock(t *testing.T) {
	src := strings.Replace(string(pricing.DefaultYAML()), `sweep: "* * * * *"`, `sweep: "0 9 * * *"`, 1)
	rules, err := pricing.ParseRules("rules.yaml", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2027, 7, 1, 0, 0, 0, 0, time.UTC)
	s, err := sweepSchedule(rules, now)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := s.Next(now), time.Date(2027, 7, 1, 8, 0, 0, 0, time.UTC); !got.Equal(want) {
		t.Errorf("next at %s, want %s, which is nine in summer", got, want)
	}
}
