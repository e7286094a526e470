package minutes_test

import (
	"testing"

	"example.org/dryhand/pricing/minutes"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// What is made in a space is the same as what is made by itself, and stays so
// whatever is made after it.
func TestSpaceKeepsWhatItMade(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		space := new(minutes.Space)
		var got, want []minutes.Distribution
		for range rapid.IntRange(1, 60).Draw(t, "how many") {
			var in, alone minutes.Distribution
			switch n := len(got); {
			case n > 1 && rapid.Bool().Draw(t, "sum"):
				in, alone = space.Sum(got[n-1], got[n-2]), minutes.Sum(want[n-1], want[n-2])
			case n > 1 && rapid.Bool().Draw(t, "mix"):
				w := []float64{0.25, 0.75}
				in, alone = space.Mix(w, got[n-2:]), minutes.Mix(w, want[n-2:])
			default:
				s := minutes.Prepare(estimate(t))
				in, alone = space.Grid(s, 1), s.Grid(1)
			}
			if len(in.P) > 2000 {
				break
			}
			got, want = append(got, in), append(want, alone)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Fatalf("-alone +in a space:\n%s", d)
		}
	})
}

// A sum of parts rounded down is never more than the sum, and less by no more
// than step-1 minutes for each part.
func TestFloorBoundsTheSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		space := new(minutes.Space)
		step := rapid.IntRange(2, 7).Draw(t, "step")
		var exact, rough minutes.Distribution
		parts := rapid.IntRange(1, 4).Draw(t, "parts")
		for range parts {
			d := minutes.Prepare(estimate(t)).Grid(1)
			d.First -= rapid.IntRange(0, 9).Draw(t, "earlier") // also below zero
			exact, rough = space.Sum(exact, d), space.Sum(rough, space.Floor(d, step))
		}
		const lost = 1e-6
		at := func(d minutes.Distribution, most int) float64 { return d.CDF(float64(most) + 0.5) }
		down := func(n int) int { return (n+step*1000)/step - 1000 }
		for n := exact.First - 20; n < exact.First+len(exact.P)+20; n++ {
			low, p, high := at(rough, down(n-parts*(step-1))), at(exact, n), at(rough, down(n))
			if low > p+lost || high < p-lost {
				t.Fatalf("at most %d minutes: %v, not between %v and %v", n, p, low, high)
			}
		}
	})
}

// Room for distributions is empty, also where it was filled and freed before.
func TestFoursAreEmpty(t *testing.T) {
	space := new(minutes.Space)
	for _, n := range []int{3, 1, 70, 200, 3} {
		for i, four := range space.Fours(n) {
			for g, d := range four {
				if d.First != 0 || d.P != nil {
					t.Fatalf("of %d, %d at %d: %v", n, i, g, d)
				}
			}
		}
		space.Reset()
		filled := space.Fours(n)
		if len(filled) != n {
			t.Fatalf("%d instead of %d", len(filled), n)
		}
		for i := range filled {
			filled[i][i%4] = minutes.Exactly(7)
		}
		space.Reset()
	}
}
