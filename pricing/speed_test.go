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

// BenchmarkBudget chooses a scope for each of 200 random enquiries, whole quote,
// further £20 and all. Median and worst are wall-clock times of single ones, the
// least of three.
func BenchmarkBudget(b *testing.B) {
	r := pricing.DefaultRules()
	all := large(r, 200)
	least := make([]time.Duration, len(all))
	candidates, gaps := 0, 0
	b.ReportAllocs()
	for b.Loop() {
		for k := range all {
			candidates += r.Candidates(all[k])
			start := time.Now()
			f, err := r.Fit(all[k])
			if err != nil {
				b.Fatal(err)
			}
			if d := time.Since(start); least[k] == 0 || d < least[k] {
				least[k] = d
			}
			if f.Gap > 0 {
				gaps++
			}
		}
	}
	slices.Sort(least)
	b.ReportMetric(float64(least[len(least)/2].Microseconds()), "µs-median")
	b.ReportMetric(float64(least[len(least)-1].Microseconds()), "µs-worst")
	b.ReportMetric(float64(candidates)/float64(b.N*len(all)), "candidates")
	b.ReportMetric(float64(gaps)/float64(b.N), "gaps")
}
