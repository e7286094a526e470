package fit_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/dryhand/pricing/fit"
)

// byTable is the highest value for whole costs up to a budget, and among equal
// values the least cost, by dynamic programming over the budget: an independent
// exact method for items with families and without needs or spread.
func byTable(p fit.Problem) (value, cost float64) {
	budget := int(p.Budget)
	best := make([]float64, budget+1) // by what is spent at most
	families := map[int][]fit.Item{}
	for i, it := range p.Items {
		f := it.Family
		if f == 0 {
			f = -1 - i
		}
		families[f] = append(families[f], it)
	}
	for _, items := range families {
		for b := budget; b >= 0; b-- {
			for _, it := range items {
				if c := int(it.Cost); c <= b {
					best[b] = math.Max(best[b], best[b-c]+it.Value)
				}
			}
		}
	}
	for b := range best {
		if best[b] == best[budget] {
			return best[b], float64(b)
		}
	}
	return 0, 0
}

// Forty items, 200 random instances, against the table.
func TestFortyItemsEqualTable(t *testing.T) {
	rnd := rand.New(rand.NewPCG(40, 200))
	nodes, most := 0, 0
	for n := range 200 {
		p := fit.Problem{Budget: float64(2000 + rnd.IntN(40000))}
		for range 40 {
			it := fit.Item{Value: float64(rnd.IntN(11)), Cost: float64(100 + rnd.IntN(2500))}
			it.Effort = it.Cost
			if rnd.IntN(2) == 0 {
				it.Family = 1 + rnd.IntN(8)
			}
			p.Items = append(p.Items, it)
		}
		value, cost := byTable(p)
		s := fit.Solve(p)
		if s.Value != value || math.Abs(s.Mean-cost) > 1e-6 || s.Gap != 0 {
			t.Errorf("instance %d: value %v for %v, gap %v; the table says %v for %v", n, s.Value, s.Mean, s.Gap, value, cost)
		}
		nodes += s.Nodes
		most = max(most, s.Nodes)
	}
	t.Logf("%d nodes on average, %d at most", nodes/200, most)
}

// Holds has the last word, and is asked only about what leaves room for the
// smaller multiple.
func TestHolds(t *testing.T) {
	p := plain(100, []float64{40, 50, 60}, []float64{4, 5, 6})
	p.Holds = func(chosen uint64) bool { return chosen&0b101 != 0b101 }
	if s := fit.Solve(p); s.Value != 9 || !s.Chosen[0] || !s.Chosen[1] || s.Asked == 0 {
		t.Errorf("the first and the third do not go together: %+v", s)
	}
	p.Cov, p.Z, p.ZHolds = [][]float64{{100, 0, 0}, {0, 100, 0}, {0, 0, 100}}, 2, 0
	p.Holds = func(uint64) bool { return true }
	if s := fit.Solve(p); s.Value != 10 {
		t.Errorf("room for the mean is enough: %+v", s)
	}
	p.ZHolds = 1
	if s := fit.Solve(p); s.Value != 6 {
		t.Errorf("room for one standard deviation is asked for: %+v", s)
	}
}
