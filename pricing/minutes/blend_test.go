package minutes_test

import (
	"math"
	"testing"

	"example.org/dryhand/pricing/minutes"
	"pgregory.net/rapid"
)

// A sum that is not carried out answers as one that is.
func TestBlendAsMixtureOfSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var b minutes.Blend
		var whole []minutes.Distribution
		var total float64
		for range rapid.IntRange(1, 3).Draw(t, "cases") {
			p := minutes.Pair{A: minutes.Prepare(estimate(t)).Grid(1)}
			if rapid.Bool().Draw(t, "two parts") {
				p.B = minutes.Prepare(estimate(t)).Grid(1)
			}
			w := rapid.Float64Range(0.1, 1).Draw(t, "weight")
			total += w
			b.Weights, b.Pairs, whole = append(b.Weights, w), append(b.Pairs, p), append(whole, minutes.Sum(p.A, p.B))
		}
		for i := range b.Weights {
			b.Weights[i] /= total
		}
		d := minutes.Mix(b.Weights, whole)
		x := rapid.Float64Range(-5, 400).Draw(t, "minutes")
		if got, want := b.CDF(x), d.CDF(x); math.Abs(got-want) > 1e-6 {
			t.Fatalf("CDF(%v): got %v, want %v", x, got, want)
		}
		// Where there is hardly any probability, minutes mean little.
		p := rapid.Float64Range(0.01, 0.99).Draw(t, "p")
		if got, want := b.Quantiles(p)[0], d.Quantile(p); math.Abs(d.CDF(got)-p) > 1e-6 && math.Abs(got-want) > 1e-3 {
			t.Fatalf("Quantile(%v): got %v, want %v", p, got, want)
		}
	})
}

// Stopped after so many minutes, the chances below stay as they are, and nothing
// is above.
func TestAtMost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := minutes.Prepare(estimate(t)).Grid(1)
		m := rapid.Float64Range(0, 250).Draw(t, "stopped after")
		got := d.AtMost(m)
		var sum, mean float64
		for i, p := range got.P {
			sum += p
			if k := got.First + i; p > 0 && float64(k) > math.Ceil(m) {
				t.Fatalf("%v of a chance at %d, stopped after %v", p, k, m)
			}
		}
		for i, p := range d.P {
			mean += p * math.Min(m, float64(d.First+i))
		}
		if math.Abs(sum-1) > 1e-6 || math.Abs(got.Mean()-mean) > 1e-5*(1+mean) {
			t.Fatalf("adds up to %v, mean %v, want %v", sum, got.Mean(), mean)
		}
		if x := math.Floor(m) - 1.5; math.Abs(got.CDF(x)-d.CDF(x)) > 1e-9 {
			t.Fatalf("below: %v, before %v", got.CDF(x), d.CDF(x))
		}
	})
}
