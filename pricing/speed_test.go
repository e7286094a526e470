package pricing_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"example.org/dryhand/pricing"
)

// large are enquiries for about everything there is, with answers and budgets
// drawn at random: some forty tasks and levels of tasks to choose from.
func large(r *pricing.Rules, n int) []pricing.Enquiry {
	rnd := rand.New(rand.NewPCG(20261125, 40))
	var out []pricing.Enquiry
	for len(out) < n {
		e := everything(r)
		e.Wants = append(e.Wants, "protection", "polish-two-step")
		for _, a := range r.Areas() {
			e.Said[a.ID] = pricing.Grade(rnd.IntN(4))
		}
		e.Vehicle = pricing.VehicleFromBody(pricing.Convertible, 3600+rnd.IntN(1400))
		q, err := r.Quote(e)
		if err != nil || q.Refused != "" {
			continue
		}
		e.Budget = 6000 + pricing.Pence(rnd.Float64()*float64(q.Price.Likely))
		out = append(out, e)
	}
	return out
}

// BenchmarkBudget chooses a scope for each of 200 random enquiries: the optimum
// alone, and the whole of [pricing.Rules.Fit], with the quote and what £20 more
// would bring. Median and worst are wall-clock times of single enquiries, the least
// of all rounds.
func BenchmarkBudget(b *testing.B) {
	r := pricing.DefaultRules()
	all := large(r, 200)
	candidates := 0
	for _, e := range all {
		candidates += r.Candidates(e)
	}
	for _, x := range []struct {
		name string
		fit  func(e pricing.Enquiry) (gap float64)
	}{
		{"optimum", func(e pricing.Enquiry) float64 { return r.Chosen(e).Gap }},
		{"whole", func(e pricing.Enquiry) float64 { return fitted(b, r, e).Gap }},
	} {
		b.Run(x.name, func(b *testing.B) {
			b.ReportAllocs()
			least := make([]time.Duration, len(all))
			gaps := 0
			for b.Loop() {
				for k, e := range all {
					start := time.Now()
					if x.fit(e) > 0 {
						gaps++
					}
					if d := time.Since(start); least[k] == 0 || d < least[k] {
						least[k] = d
					}
				}
			}
			slices.Sort(least)
			b.ReportMetric(float64(least[len(least)/2].Microseconds()), "µs-median")
			b.ReportMetric(float64(least[len(least)-1].Microseconds()), "µs-worst")
			b.ReportMetric(float64(candidates)/float64(len(all)), "candidates")
			b.ReportMetric(float64(gaps)/float64(b.N), "gaps")
		})
	}
}
