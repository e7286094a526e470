package reminders_test

import (
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders"
)

// holidays are those of England and Wales from March 2027 to January 2028
// (gov.uk/bank-holidays; the same list stands in conversations/diary/testdata).
const holidays = "2027-03-26 2027-03-29 2027-05-03 2027-05-31 2027-08-30 2027-12-27 2027-12-28 2028-01-03"

func london(t testing.TB) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// setting is a business with the shipped rules in England.
func setting(t testing.TB) reminders.Setting {
	t.Helper()
	return reminders.Setting{Rules: pricing.DefaultRules(), Zone: london(t),
		Holiday: func(date string) bool { return strings.Contains(holidays, date) }}
}

// with is the same with a piece of the rules replaced.
func with(t testing.TB, old, new string) reminders.Setting {
	t.Helper()
	src := string(pricing.DefaultYAML())
	if !strings.Contains(src, old) {
		t.Fatalf("%q is not in the shipped rules", old)
	}
	s := setting(t)
	rules, err := pricing.ParseRules("rules.yaml", []byte(strings.Replace(src, old, new, 1)))
	if err != nil {
		t.Fatal(err)
	}
	s.Rules = rules
	return s
}

// at is a moment in London, from "2027-03-26 09:00".
func at(t testing.TB, s string) time.Time {
	t.Helper()
	m, err := time.ParseInLocation("2006-01-02 15:04", s, london(t))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func show(m time.Time) string { return m.Format("Mon 2006-01-02 15:04 MST") }

func surfaces(m reminders.Moment) string {
	var on []string
	for _, c := range m.Clocks {
		on = append(on, c.Protection.On)
	}
	return strings.Join(on, " ")
}

// step is what a plan says next, as one line.
func step(p reminders.Plan, now time.Time, s reminders.Setting, busy ...time.Time) string {
	m, ok := p.Next(now, s, busy...)
	if !ok {
		return "nothing"
	}
	return string(m.Kind) + " " + show(m.At) + ": " + surfaces(m)
}
