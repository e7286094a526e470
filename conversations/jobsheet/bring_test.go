package jobsheet_test

import (
	"slices"
	"testing"

	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/pricing"
)

// Two jobs of a day need what either needs, once, and of each product as much as
// both.
func TestTogether(t *testing.T) {
	r := pricing.DefaultRules()
	a, b := sheet(t, r, jobOf(15, "wheels-full", "wash")), sheet(t, r, jobOf(15, "vacuum", "wash"))
	bring, products := jobsheet.Together(a, b)
	for _, s := range []jobsheet.Sheet{a, b} {
		for _, x := range s.Bring {
			if n := len(slices.DeleteFunc(slices.Clone(bring), func(y string) bool { return y != x })); n != 1 {
				t.Errorf("%q is there %d times", x, n)
			}
		}
	}
	want := map[string]float64{}
	for _, p := range append(slices.Clone(a.Products), b.Products...) {
		want[p.What] += p.Most
	}
	for _, p := range products {
		if p.Most != want[p.What] {
			t.Errorf("%s: %v, want %v", p.What, p.Most, want[p.What])
		}
		delete(want, p.What)
	}
	if len(want) > 0 || want["shampoo"] != 0 {
		t.Errorf("missing: %v", want)
	}
	// The sheets are as they were.
	if again, _ := jobsheet.Together(a); len(again) != len(a.Bring) {
		t.Errorf("%d things for one job, its sheet has %d", len(again), len(a.Bring))
	}
}
