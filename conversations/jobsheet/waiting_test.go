package jobsheet_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/pricing"
	"pgregory.net/rapid"
)

// limits finds the seconds of a mix in the rules.
func limits(r *pricing.Rules, task, what string) (least, most time.Duration) {
	x, _ := r.Task(task)
	for _, m := range x.Mixes {
		if m.What == what {
			return time.Duration(m.Seconds[0]) * time.Second, time.Duration(m.Seconds[1]) * time.Second
		}
	}
	return 0, 0
}

// Every timetable on every sheet keeps the limits of the rules' mix, on random
// cars, work and weather: one pair of hands, nothing worked off too soon, nothing
// rinsed too late. Where there is none, one piece alone already breaks a limit.
func TestTimetables(t *testing.T) {
	r := pricing.DefaultRules()
	rapid.Check(t, func(t *rapid.T) {
		j := drawJob(t, r)
		for _, x := range drawnSheet(t, r, j).Steps {
			for _, w := range x.Waiting {
				least, most := limits(r, x.Task, w.What)
				if j.Warm {
					least, most = least/2, most/2 // as the shipped rules say
				}
				if w.Impossible != nil {
					if least+w.Task.Off <= most {
						t.Fatalf("%s, %s: said to be impossible, but %v and %v fit into %v", x.Task, w.What, least, w.Task.Off, most)
					}
					continue
				}
				keeps(t, x, w, least, most)
			}
		}
	})
}

func keeps(t *rapid.T, x jobsheet.Step, w jobsheet.Waiting, least, most time.Duration) {
	type hold struct{ from, to time.Duration }
	var busy []hold
	for i, p := range w.Plan.Pieces {
		if p.Off-p.OnEnd < least || p.OffEnd-p.OnEnd > most {
			t.Fatalf("%s, %s, piece %d: on from %v, worked at %v, rinsed at %v; limits %v and %v", x.Task, w.What, i, p.OnEnd, p.Off, p.OffEnd, least, most)
		}
		busy = append(busy, hold{p.On, p.OnEnd}, hold{p.Off, p.OffEnd})
	}
	for _, f := range w.Filled {
		busy = append(busy, hold{f.Start, f.End})
	}
	slices.SortFunc(busy, func(a, b hold) int { return int(a.from - b.from) })
	for i := 1; i < len(busy); i++ {
		if busy[i].from < busy[i-1].to {
			t.Fatalf("%s, %s: hands in two places at %v", x.Task, w.What, busy[i].from)
		}
	}
}

// The shipped rules can be done on a medium hatchback in mild weather, at the
// minutes the rules give for a fair state.
func TestShippedWaitingIsPossible(t *testing.T) {
	r := pricing.DefaultRules()
	var planned int
	for _, id := range r.Order() {
		x, _ := r.Task(id)
		minutes := max(x.Minutes["2"][1], x.Minutes["any"][1])
		j := jobOf(minutes*pricing.VehicleFromBody(pricing.Hatchback, 4300).Units(x.Per)+1, id)
		j.Vehicle = pricing.VehicleFromBody(pricing.Convertible, 4300)
		for _, w := range step(t, sheet(t, r, j), id).Waiting {
			planned++
			if w.Impossible != nil {
				t.Errorf("%s, %s: %v", id, w.What, w.Impossible)
			}
		}
	}
	if planned < 15 {
		t.Errorf("only %d products are planned", planned)
	}
}

// An infeasible plan says why and what would do.
func TestImpossibleIsSaid(t *testing.T) {
	w := words(t)
	for _, tt := range []struct {
		name string
		warm bool
		off  string
		want string
	}{
		{"too slow", false, "off: 150}", "At least 2:00 on and 2:30 to work and rinse one wheel are more than the 4:00 it may stay on. Work in smaller pieces of at most 2:00 each"},
		{"too warm", true, "off: 90}", "wheel cleaner: too warm for a whole wheel at a time. At least 1:00 on and 1:30 to work and rinse it are more than the 2:00 it stays wet today. Work in smaller pieces of at most 1:00 each"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := edited(t, "{what: wheel cleaner, by: wheel, on: 15, off: 60}", "{what: wheel cleaner, by: wheel, on: 15, "+tt.off)
			j := jobOf(100, "wheels-full")
			j.Warm = tt.warm
			s := sheet(t, r, j)
			page, err := w.Page(s)
			if err != nil {
				t.Fatal(err)
			}
			for _, text := range []string{strings.Join(w.Messages(s), "\n"), string(page)} {
				if !strings.Contains(text, tt.want) {
					t.Errorf("does not say %q:\n%s", tt.want, text)
				}
			}
		})
	}
}
