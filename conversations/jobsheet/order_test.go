package jobsheet_test

import (
	"slices"
	"testing"
	"time"

	"example.org/dryhand/pricing"
	"github.com/google/go-cmp/cmp"
	"go.yaml.in/yaml/v4"
	"pgregory.net/rapid"
)

// prerequisites reads the rules file with nothing of ours: what every task comes
// after.
func prerequisites(t testing.TB) map[string][]string {
	t.Helper()
	var file struct {
		Tasks map[string]struct{ After []string }
	}
	if err := yaml.Load(pricing.DefaultYAML(), &file); err != nil {
		t.Fatal(err)
	}
	out := map[string][]string{}
	for id, x := range file.Tasks {
		out[id] = x.After
	}
	if len(out) < 40 {
		t.Fatalf("only %d tasks", len(out))
	}
	return out
}

// follows tells for each task which others the way back by its prerequisites
// meets, also through tasks that are not in the job.
func follows(after map[string][]string) map[string]map[string]bool {
	out := map[string]map[string]bool{}
	for id := range after {
		out[id] = map[string]bool{}
		var walk func(string)
		walk = func(at string) {
			for _, x := range after[at] {
				if !out[id][x] {
					out[id][x] = true
					walk(x)
				}
			}
		}
		walk(id)
	}
	return out
}

// Whatever the scope and however it was written down: every task is there once,
// after all that must come before it, in the same order every time.
func TestOrder(t *testing.T) {
	r, after := pricing.DefaultRules(), prerequisites(t)
	leads := follows(after)
	rapid.Check(t, func(t *rapid.T) {
		j := drawJob(t, r)
		s := drawnSheet(t, r, j)
		var got []string
		for _, x := range s.Steps {
			got = append(got, x.Task)
		}
		if len(got) != len(j.Work) {
			t.Fatalf("%d steps for %d tasks", len(got), len(j.Work))
		}
		for i, id := range got {
			if slices.Contains(got[:i], id) {
				t.Fatalf("%s twice", id)
			}
			for _, later := range got[i+1:] {
				if leads[id][later] {
					t.Fatalf("%s stands before %s, which it must follow", id, later)
				}
			}
			for _, earlier := range got[:i] {
				if leads[id][earlier] != slices.Contains(s.Steps[i].After, earlier) {
					t.Fatalf("%s after %s: the sheet and the rules disagree", id, earlier)
				}
			}
			if len(after[id]) > 0 && s.Steps[i].Why == "" {
				t.Fatalf("no reason for the place of %s", id)
			}
		}
		shuffled := j
		shuffled.Work = rapid.Permutation(j.Work).Draw(t, "again")
		again := drawnSheet(t, r, shuffled)
		for i := range again.Steps {
			if known(r, got[i]) && again.Steps[i].Task != got[i] {
				t.Fatalf("written in another order, step %d is %s and not %s", i+1, again.Steps[i].Task, got[i])
			}
		}
	})
}

func known(r *pricing.Rules, id string) bool { return slices.Contains(r.Order(), id) }

// The clock has no holes, and no minute of work is lost or invented: all steps
// together take their hands-on minutes and the waiting with free hands.
func TestClock(t *testing.T) {
	r := pricing.DefaultRules()
	rapid.Check(t, func(t *rapid.T) {
		j := drawJob(t, r)
		s := drawnSheet(t, r, j)
		at := j.Start
		var hands, idle, ahead time.Duration
		for _, x := range s.Steps {
			if !x.Start.Equal(at) || x.End.Before(x.Start) {
				t.Fatalf("%s runs from %v to %v, the step before ended at %v", x.Task, x.Start, x.End, at)
			}
			if x.Ahead > x.Hands || x.Idle < 0 {
				t.Fatalf("%s: %v ahead of %v, %v idle", x.Task, x.Ahead, x.Hands, x.Idle)
			}
			at = x.End
			hands, idle, ahead = hands+x.Hands, idle+x.Idle, ahead+x.Ahead
		}
		if !s.End.Equal(at) {
			t.Fatalf("ends at %v, the last step at %v", s.End, at)
		}
		// Times for each piece are whole seconds, so that a step may be off by
		// a second for each time something is put on or taken off.
		const off = 5 * time.Minute
		if d := at.Sub(j.Start) - hands - idle; d.Abs() > off {
			t.Fatalf("takes %v, of which %v hands-on, %v waiting, %v done ahead", at.Sub(j.Start), hands, idle, ahead)
		}
	})
}

// While the mould cleaner sits, the engine bay is wiped, and wiped only once.
func TestMeanwhile(t *testing.T) {
	s := sheet(t, pricing.DefaultRules(), jobOf(16, "check-in", "mould-out", "engine-bay-wipe"))
	mould, bay := step(t, s, "mould-out"), step(t, s, "engine-bay-wipe")
	if bay.Ahead == 0 {
		t.Error("nothing of the engine bay is done while the mould cleaner waits")
	}
	var meanwhile time.Duration
	for _, f := range mould.Waiting[0].Filled {
		if f.Name == "engine-bay-wipe" {
			meanwhile += f.Length()
		}
	}
	if d := cmp.Diff(bay.Ahead, meanwhile); d != "" {
		t.Error("ahead is not what was done meanwhile: " + d)
	}
	if got, want := bay.End.Sub(bay.Start), bay.Hands-bay.Ahead; got != want {
		t.Errorf("the engine bay then takes %v, want %v", got, want)
	}
}
