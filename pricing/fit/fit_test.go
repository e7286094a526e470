package fit_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"example.org/dryhand/pricing/fit"
	"pgregory.net/rapid"
)

const figures = "../../testdata/pricing/"

func read(t *testing.T, name string, v any) {
	t.Helper()
	raw, err := os.ReadFile(figures + name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(raw, v); err != nil {
		t.Fatal(err)
	}
}

func plain(capacity float64, costs, values []float64) fit.Problem {
	p := fit.Problem{Budget: capacity}
	for i := range costs {
		p.Items = append(p.Items, fit.Item{Cost: costs[i], Value: values[i]})
	}
	return p
}

func solved(t *testing.T, id string, p fit.Problem, want float64) {
	t.Helper()
	s := fit.Solve(p)
	if !s.OK || math.Abs(s.Value-want) > 1e-6 || s.Gap != 0 {
		t.Errorf("%s: value %v (found %v, gap %v), want %v", id, s.Value, s.OK, s.Gap, want)
	}
	if !p.Fits(s.Chosen) {
		t.Errorf("%s: %v does not fit", id, s.Chosen)
	}
}

// KNAPSACK_01, p01 to p08 (J. Burkardt, Florida State University), the optima
// proved by meet-in-the-middle and by GLPK.
func TestFSU(t *testing.T) {
	var all []struct {
		ID       string    `json:"id"`
		Capacity float64   `json:"capacity"`
		Weights  []float64 `json:"weights"`
		Profits  []float64 `json:"profits"`
		Optimum  float64   `json:"optimum"`
	}
	read(t, "knapsack_fsu.json", &all)
	for _, x := range all {
		solved(t, x.ID, plain(x.Capacity, x.Weights, x.Profits), x.Optimum)
	}
	if len(all) != 8 {
		t.Errorf("%d problems, want 8", len(all))
	}
}

// brute tries every choice.
func brute(p fit.Problem) (ok bool, value, effort float64) {
	n := len(p.Items)
	for mask := range 1 << n {
		chosen := make([]bool, n)
		for i := range chosen {
			chosen[i] = mask>>i&1 == 1
		}
		if !allowed(p, chosen) || !p.Fits(chosen) {
			continue
		}
		var v, e float64
		for i, on := range chosen {
			if on {
				v += p.Items[i].Value
				e += p.Items[i].Effort
			}
		}
		if !ok || v > value+1e-7 || v > value-1e-7 && e < effort {
			ok, value, effort = true, v, e
		}
	}
	return ok, value, effort
}

func allowed(p fit.Problem, chosen []bool) bool {
	families := map[int]bool{}
	for i, on := range chosen {
		it := p.Items[i]
		if it.Must && !on {
			return false
		}
		if !on {
			continue
		}
		if it.Family != 0 && families[it.Family] {
			return false
		}
		families[it.Family] = true
		for _, group := range it.Needs {
			met := false
			for _, j := range group {
				met = met || chosen[j]
			}
			if !met {
				return false
			}
		}
	}
	return true
}

// Against every choice there is, up to 12 items, with certain and uncertain
// costs, families, needs and musts.
func TestEqualsBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProblem(t, 12)
		ok, value, effort := brute(p)
		s := fit.Solve(p)
		if s.OK != ok {
			t.Fatalf("found %v, want %v", s.OK, ok)
		}
		if !ok {
			return
		}
		if math.Abs(s.Value-value) > 1e-6 || s.Gap != 0 {
			t.Fatalf("value %v, gap %v; best is %v", s.Value, s.Gap, value)
		}
		var got float64
		for i, on := range s.Chosen {
			if on {
				got += p.Items[i].Effort
			}
		}
		if got > effort+1e-6 {
			t.Fatalf("effort %v, least is %v", got, effort)
		}
		if !allowed(p, s.Chosen) || !p.Fits(s.Chosen) {
			t.Fatalf("%v is not allowed", s.Chosen)
		}
	})
}

func anyProblem(t *rapid.T, most int) fit.Problem {
	n := rapid.IntRange(0, most).Draw(t, "items")
	p := fit.Problem{Budget: rapid.Float64Range(0, 300).Draw(t, "budget"), Base: rapid.Float64Range(0, 30).Draw(t, "base"), Z: rapid.Float64Range(0, 2).Draw(t, "z")}
	spread := make([][3]float64, n)
	for i := range n {
		it := fit.Item{
			Value:  float64(rapid.IntRange(0, 10).Draw(t, "value")),
			Cost:   rapid.Float64Range(0, 80).Draw(t, "cost"),
			Effort: float64(rapid.IntRange(0, 20).Draw(t, "effort")),
			Must:   rapid.IntRange(0, 9).Draw(t, "must") == 0,
			Family: max(0, rapid.IntRange(-4, 3).Draw(t, "family")),
		}
		if n > 1 && rapid.IntRange(0, 2).Draw(t, "has needs") == 0 {
			// Of any others, so that they also go round in circles.
			group := rapid.SliceOfN(rapid.IntRange(1, n-1), 1, 2).Draw(t, "needs")
			for g := range group {
				group[g] = (i + group[g]) % n
			}
			it.Needs = [][]int{group}
		}
		p.Items = append(p.Items, it)
		for k := range spread[i] {
			// A common factor of either sign makes covariances negative as well.
			spread[i][k] = rapid.Float64Range(-1, 8).Draw(t, "spread")
		}
	}
	if rapid.Bool().Draw(t, "uncertain") {
		for i := range n {
			row := make([]float64, n)
			for k := range n {
				for f := range spread[i] {
					row[k] += spread[i][f] * spread[k][f]
				}
			}
			p.Cov = append(p.Cov, row)
		}
	}
	return p
}

// A met limit says how far the answer may be from the best. The problem is hard
// to bound: all items give nearly the same for their money.
func TestLimitTellsGap(t *testing.T) {
	var costs, values []float64
	for i := range 16 {
		costs = append(costs, 40+7.3*float64(i%11))
		values = append(values, 40+7.1*float64(i%11)+0.3*float64(i%3))
	}
	p := plain(500, costs, values)
	_, best, _ := brute(p)
	exact := fit.Solve(p)
	if math.Abs(exact.Value-best) > 1e-6 || exact.Gap != 0 {
		t.Fatalf("value %v, gap %v, best %v", exact.Value, exact.Gap, best)
	}
	for limit := 20; limit < exact.Nodes; limit += 20 {
		p.Limit = limit
		s := fit.Solve(p)
		if s.Gap <= 0 || s.Nodes > limit+20 {
			t.Errorf("limit %d: gap %v after %d nodes, though %d are needed", limit, s.Gap, s.Nodes, exact.Nodes)
		}
		if s.Value+s.Gap < best-1e-6 {
			t.Errorf("limit %d: value %v and gap %v, best is %v", limit, s.Value, s.Gap, best)
		}
	}
	if exact.Nodes < 100 {
		t.Errorf("only %d nodes: the limit was hardly tried", exact.Nodes)
	}
}

// Rosetta Code's knapsack of 22 items.
func TestRosetta(t *testing.T) {
	var file struct {
		Simple struct {
			Capacity float64  `json:"capacity"`
			Items    [][3]any `json:"items"`
			Optimum  float64  `json:"optimum"`
		} `json:"rosetta_01"`
		Bounded struct {
			Capacity float64  `json:"capacity"`
			Items    [][4]any `json:"items"`
			Optimum  float64  `json:"optimum"`
		} `json:"rosetta_bounded"`
	}
	read(t, "knapsack_rosetta.json", &file)
	p := fit.Problem{Budget: file.Simple.Capacity}
	for _, i := range file.Simple.Items {
		p.Items = append(p.Items, fit.Item{Cost: i[1].(float64), Value: i[2].(float64)})
	}
	solved(t, "0/1", p, file.Simple.Optimum)
	p = fit.Problem{Budget: file.Bounded.Capacity}
	for _, i := range file.Bounded.Items {
		for range int(i[3].(float64)) {
			p.Items = append(p.Items, fit.Item{Cost: i[1].(float64), Value: i[2].(float64)})
		}
	}
	solved(t, "bounded", p, file.Bounded.Optimum)
}

// Twelve instances in pence with at-most-one groups and needs; optimum by
// exhaustive search and GLPK, with the least cost at the optimum.
func TestConstrained(t *testing.T) {
	var file struct {
		Generated []struct {
			ID        string    `json:"id"`
			Costs     []float64 `json:"costs_pence"`
			Values    []float64 `json:"values"`
			Budget    float64   `json:"budget_pence"`
			AtMostOne [][]int   `json:"at_most_one_of"`
			Requires  [][2]int  `json:"requires"`
			Optimum   float64   `json:"optimum_value"`
			MinCost   float64   `json:"min_cost_at_optimum"`
		} `json:"generated"`
	}
	read(t, "knapsack_constrained.json", &file)
	for _, x := range file.Generated {
		p := plain(x.Budget, x.Costs, x.Values)
		for i := range p.Items {
			p.Items[i].Effort = x.Costs[i]
		}
		for f, group := range x.AtMostOne {
			for _, i := range group {
				if p.Items[i].Family != 0 {
					t.Fatalf("%s: item %d is in two groups", x.ID, i)
				}
				p.Items[i].Family = f + 1
			}
		}
		for _, r := range x.Requires {
			p.Items[r[0]].Needs = append(p.Items[r[0]].Needs, []int{r[1]})
		}
		solved(t, x.ID, p, x.Optimum)
		if mean, _ := p.Total(fit.Solve(p).Chosen); math.Abs(mean-x.MinCost) > 1e-6 {
			t.Errorf("%s: costs %v at the optimum, least is %v", x.ID, mean, x.MinCost)
		}
	}
	if len(file.Generated) != 12 {
		t.Errorf("%d instances, want 12", len(file.Generated))
	}
}

// Two samples of a programming contest (NOIP 2006): price times importance is
// the value; in the second, a part needs its main thing. The second is from
// memory, its optimum recomputed by trying everything.
func TestContest(t *testing.T) {
	p := plain(1000, []float64{800, 400, 300, 400, 200}, []float64{1600, 2000, 1500, 1200, 400})
	solved(t, "happy", p, 3900)
	p = plain(1000, []float64{800, 400, 300, 400, 500}, []float64{1600, 2000, 1500, 1200, 1000})
	p.Items[1].Needs, p.Items[2].Needs = [][]int{{0}}, [][]int{{0}}
	solved(t, "main and part", p, 2200)
}
