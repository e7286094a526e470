package pricing

import (
	"math"
	"math/bits"
	"slices"

	"example.org/dryhand/pricing/fit"
	"example.org/dryhand/pricing/minutes"
	"gonum.org/v1/gonum/stat/distuv"
)

// searchLimit bounds the search for a scope, in nodes. Usual enquiries need a few
// hundred.
const searchLimit = 100_000

// search looks for the best choice of candidates for a budget. Whether a choice
// stays within it is asked again and again of choices that differ in little, so
// the sums they are made of are kept.
type search struct {
	*choice
	grids  [][4]minutes.Distribution // by candidate and grade, as charged
	halves [2]half
}

// half is about half of the candidates: those of some areas.
type half struct {
	all   uint64
	areas []ofArea                          // what there is of each area
	sums  map[uint64][]minutes.Distribution // by what is chosen of them: by state
	mixed map[uint64][]minutes.Distribution // the same of one area
}

// ofArea are the candidates of one area, -1 for none.
type ofArea struct {
	area int
	all  uint64
}

func (h *half) add(area, k int) {
	h.all |= 1 << k
	for i := range h.areas {
		if h.areas[i].area == area {
			h.areas[i].all |= 1 << k
			return
		}
	}
	h.areas = append(h.areas, ofArea{area, 1 << k})
}

func (c *choice) search() *search {
	s := &search{choice: c, grids: make([][4]minutes.Distribution, len(c.tasks))}
	most := s.largest()
	for h := range s.halves {
		s.halves[h] = half{sums: map[uint64][]minutes.Distribution{}, mixed: map[uint64][]minutes.Distribution{}}
	}
	p := c.j.r.Quotes.BudgetConfidence
	for k, i := range c.tasks {
		t := &c.j.r.tasks[i]
		h := &s.halves[0]
		if t.area == most {
			h = &s.halves[1]
		}
		h.add(t.area, k)
		for g := range 4 {
			if t.present[g] && (t.area < 0 && g == 0 || t.area >= 0 && c.j.reachable(t.area, g)) {
				s.grids[k][g] = t.shapes[g].Grid(c.j.units[i] * c.j.weight(i))
			}
		}
		odds := [4]float64{1}
		if t.area >= 0 {
			odds = c.j.odds[t.area]
		}
		s.problem.Items[k].Floor = minutes.Mix(odds[:], s.grids[k][:]).LowerMean(p)*c.j.perMinute() + c.j.materials(i)
	}
	return s
}

// largest is the area with most candidates.
func (s *search) largest() int {
	count := map[int]int{}
	most := -1
	for _, i := range s.tasks {
		a := s.j.r.tasks[i].area
		if count[a]++; count[a] > count[most] {
			most = a
		}
	}
	return most
}

// within is the best choice for a budget, nil if nothing sensible fits. Mean and
// spread say where to look, the convolution what stays within it.
func (s *search) within(budget Pence) ([]bool, fit.Solution) {
	if budget < pence(s.j.r.gross(0)) {
		return nil, fit.Solution{}
	}
	confidence := s.j.r.Quotes.BudgetConfidence
	p := s.problem
	p.Budget = float64(budget) / s.j.r.vat()
	p.Limit = searchLimit
	p.Z = distuv.UnitNormal.Quantile(confidence)
	// Cantelli's inequality: nothing has its quantile further below its mean.
	p.ZFloor = math.Sqrt((1 - confidence) / confidence)
	p.Holds = func(chosen uint64) bool { return s.sure(chosen, p.Budget) >= confidence }
	best := fit.Solve(p)
	if !best.OK {
		return nil, best
	}
	with := *s.j
	with.in = s.spread(best.Chosen)
	if !with.anyWork() {
		return nil, best
	}
	return with.in, best
}

// sure is the probability that a choice costs at most that much, in pence before
// VAT.
func (s *search) sure(chosen uint64, net float64) float64 {
	left := net - s.money
	for m := chosen; m != 0; m &= m - 1 {
		left -= s.materials[bits.TrailingZeros64(m)]
	}
	a, b := s.sum(&s.halves[0], chosen), s.sum(&s.halves[1], chosen)
	var p float64
	for st, w := range s.j.know.state {
		p += w * minutes.Pair{A: a[st], B: b[st]}.CDF(left/s.j.perMinute())
	}
	return p
}

// sum is what the chosen of one half take in each state. The first half has the
// frame of the job as well.
func (s *search) sum(h *half, chosen uint64) []minutes.Distribution {
	chosen &= h.all
	if sums, ok := h.sums[chosen]; ok {
		return sums
	}
	sums := make([]minutes.Distribution, len(s.j.know.state))
	if h == &s.halves[0] {
		for st := range sums {
			sums[st] = s.frame
		}
	}
	for _, part := range h.areas {
		if chosen&part.all == 0 {
			continue
		}
		for st, d := range s.area(h, part.area, chosen&part.all) {
			sums[st] = minutes.Sum(sums[st], d)
		}
	}
	h.sums[chosen] = sums
	return sums
}

// area is what the chosen of one area take in each state.
func (s *search) area(h *half, a int, chosen uint64) []minutes.Distribution {
	if mixed, ok := h.mixed[chosen]; ok {
		return mixed
	}
	var byGrade [4]minutes.Distribution
	for m := chosen; m != 0; m &= m - 1 {
		for g, d := range s.grids[bits.TrailingZeros64(m)] {
			byGrade[g] = minutes.Sum(byGrade[g], d)
		}
	}
	mixed := make([]minutes.Distribution, len(s.j.know.state))
	for st := range mixed {
		if a < 0 {
			mixed[st] = byGrade[0]
		} else {
			mixed[st] = minutes.Mix(s.j.know.grade[a][st][:], byGrade[:])
		}
	}
	h.mixed[chosen] = mixed
	return mixed
}

// spread turns a choice of candidates into one of all tasks.
func (c *choice) spread(chosen []bool) []bool {
	in := make([]bool, len(c.j.r.tasks))
	for k, on := range chosen {
		in[c.tasks[k]] = on
	}
	return in
}

// smallest is the cheapest choice that is a job at all: one thing that was
// wanted, with what it needs.
func (c *choice) smallest() []bool {
	var best []bool
	least := math.Inf(1)
	for k, it := range c.problem.Items {
		if it.Must || it.Value < 2 {
			continue // needed by others at most, not a job
		}
		p := c.problem
		p.Items = slices.Clone(p.Items)
		for l := range p.Items {
			// Least cost is least effort where nothing has a value.
			p.Items[l].Value, p.Items[l].Effort = 0, p.Items[l].Cost
		}
		p.Items[k].Must = true
		p.Budget, p.Limit = math.Inf(1), searchLimit
		s := fit.Solve(p)
		if s.OK && s.Mean < least {
			best, least = c.spread(s.Chosen), s.Mean
		}
	}
	if best == nil {
		return c.j.in
	}
	return best
}
