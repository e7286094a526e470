package jobsheet_test

import (
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/pricing"
	"pgregory.net/rapid"
)

// morning is a winter morning in no particular place.
func morning() time.Time { return time.Date(2026, 12, 3, 9, 0, 0, 0, time.UTC) }

func edited(t testing.TB, old, new string) *pricing.Rules {
	t.Helper()
	src := string(pricing.DefaultYAML())
	if !strings.Contains(src, old) {
		t.Fatalf("%q is not in the shipped rules", old)
	}
	r, err := pricing.ParseRules("rules.yaml", []byte(strings.Replace(src, old, new, 1)))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func words(t testing.TB) *jobsheet.Words {
	t.Helper()
	w, err := jobsheet.Default()
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func sheet(t testing.TB, r *pricing.Rules, j jobsheet.Job) jobsheet.Sheet {
	t.Helper()
	s, err := jobsheet.New(r, j)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// jobOf is these tasks on a medium hatchback, so many minutes each.
func jobOf(minutes float64, tasks ...string) jobsheet.Job {
	j := jobsheet.Job{Vehicle: pricing.VehicleFromBody(pricing.Hatchback, 4300), Start: morning()}
	for _, id := range tasks {
		j.Work = append(j.Work, jobsheet.Work{Task: id, Minutes: minutes})
	}
	return j
}

func step(t testing.TB, s jobsheet.Sheet, task string) jobsheet.Step {
	t.Helper()
	for _, x := range s.Steps {
		if x.Task == task {
			return x
		}
	}
	t.Fatalf("no step %q", task)
	return jobsheet.Step{}
}

// drawJob is any choice of tasks in any order on any car in any weather, whether
// or not it makes sense.
func drawJob(t *rapid.T, r *pricing.Rules) jobsheet.Job {
	j := jobsheet.Job{
		Vehicle: pricing.VehicleFromBody(rapid.SampledFrom(pricing.Bodies()).Draw(t, "body"), rapid.IntRange(2500, 7000).Draw(t, "length")),
		Start:   morning(), Warm: rapid.Bool().Draw(t, "warm"),
		Grades: map[pricing.Area]pricing.Grade{},
	}
	j.Vehicle.Wheels = rapid.IntRange(2, 8).Draw(t, "wheels")
	j.Vehicle.Seats = rapid.IntRange(1, 9).Draw(t, "seats")
	for _, a := range r.Areas() {
		j.Grades[a.ID] = pricing.Grade(rapid.IntRange(0, 4).Draw(t, "grade"))
	}
	order := rapid.Permutation(append(r.Order(), "set-up", "full-of-things")).Draw(t, "order")
	for _, id := range order[:rapid.IntRange(0, len(order)).Draw(t, "tasks")] {
		j.Work = append(j.Work, jobsheet.Work{Task: id, Words: "Something else", Minutes: rapid.Float64Range(0.5, 200).Draw(t, "minutes")})
	}
	return j
}

func drawnSheet(t *rapid.T, r *pricing.Rules, j jobsheet.Job) jobsheet.Sheet {
	s, err := jobsheet.New(r, j)
	if err != nil {
		t.Fatal(err)
	}
	return s
}
