package pricing

import (
	"cmp"
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

// luck is by how many standard deviations the minutes of a scope may fare better
// than normally distributed ones would. What fits only because all that can go
// wrong lies just beyond the confidence asked for is a lottery, and not promised;
// nor is what would cost more than the figure on average. It hardly ever decides:
// only for single jobs on an area nobody has looked at.
const luck = 0.4

// search looks for the best choice of candidates for a budget. Whether a choice
// stays within it is asked again and again of choices that differ in little, so
// the sums they are made of are kept.
type search struct {
	*choice
	grids  []*[4]minutes.Distribution // by candidate and grade, as charged, once needed
	halves [2]*part
	states []int // the likeliest first
}

// part is some candidates: those of one area, or of two parts that are each about
// half of it.
type part struct {
	all   uint64
	area  int                  // -1 for none
	fixed minutes.Distribution // what there is whatever is chosen
	width int                  // about how many minutes wide it is
	of    [2]*part
	// sums and grades are what the chosen of it take in a state, and at each grade.
	sums   map[key]minutes.Distribution
	grades map[uint64][]minutes.Distribution
}

// key is what is chosen and in which state.
type key struct {
	chosen uint64
	state  int
}

func newPart(area int) *part {
	return &part{area: area, sums: map[key]minutes.Distribution{}, grades: map[uint64][]minutes.Distribution{}}
}

func (c *choice) search() *search {
	s := &search{choice: c, grids: make([]*[4]minutes.Distribution, len(c.tasks))}
	// The frame of the job is there even if no candidate is without an area.
	frame := newPart(-1)
	frame.fixed, frame.width = c.frame, len(c.frame.P)
	areas, parts := map[int]*part{-1: frame}, []*part{frame}
	for k, i := range c.tasks {
		t := &c.j.r.tasks[i]
		p := areas[t.area]
		if p == nil {
			p = newPart(t.area)
			areas[t.area], parts = p, append(parts, p)
		}
		p.all |= 1 << k
		e := t.shapes[3].Estimate()
		p.width += 1 + int((e.High-e.Low)*c.j.units[i])
	}
	slices.SortStableFunc(parts, func(a, b *part) int { return b.width - a.width })
	s.halves = halved(parts)
	for st := range c.j.know.state {
		s.states = append(s.states, st)
	}
	slices.SortStableFunc(s.states, func(a, b int) int { return cmp.Compare(c.j.know.state[b], c.j.know.state[a]) })
	return s
}

// halved makes two parts of many, which come widest first, about as wide as each
// other, and each of those of two again.
func halved(parts []*part) (out [2]*part) {
	var halves [2][]*part
	var width [2]int
	for _, p := range parts {
		h := 0
		if width[1] < width[0] {
			h = 1
		}
		halves[h] = append(halves[h], p)
		width[h] += p.width
	}
	for h := range out {
		switch len(halves[h]) {
		case 0:
			out[h] = newPart(-1)
		case 1:
			out[h] = halves[h][0]
		default:
			out[h] = newPart(-1)
			out[h].of = halved(halves[h])
			for _, p := range halves[h] {
				out[h].all |= p.all
			}
		}
	}
	return out
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
	p.ZHolds = max(0, p.Z-luck)
	// Cantelli's inequality: whatever is added up, it exceeds its mean by more than
	// k standard deviations with a probability of 1/(1+k²) at most.
	p.ZSure = math.Sqrt(confidence / (1 - confidence))
	p.Holds = func(chosen uint64) bool { return s.holds(chosen, p.Budget) }
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

// holds tells whether a choice costs at most that much, in pence before VAT, with
// the confidence asked for. It looks at the likeliest states of the car first, as
// the others often cannot change the answer.
func (s *search) holds(chosen uint64, net float64) bool {
	left := net - s.money
	for m := chosen; m != 0; m &= m - 1 {
		left -= s.materials[bits.TrailingZeros64(m)]
	}
	confidence := s.j.r.Quotes.BudgetConfidence
	sure, open := 0.0, 1.0
	for _, st := range s.states {
		if sure >= confidence || sure+open < confidence-rounding {
			break
		}
		w := s.j.know.state[st]
		sum := minutes.Pair{A: s.sum(s.halves[0], chosen, st), B: s.sum(s.halves[1], chosen, st)}
		sure += w * sum.CDF(left/s.j.perMinute())
		open -= w
	}
	return sure >= confidence
}

// rounding is more than floating point leaves of the sum of a few probabilities.
const rounding = 1e-12

// sum is what the chosen of a part take in a state.
func (s *search) sum(p *part, chosen uint64, st int) minutes.Distribution {
	key := key{chosen & p.all, st}
	if d, ok := p.sums[key]; ok {
		return d
	}
	d := p.fixed
	switch {
	case p.of[0] != nil:
		d = minutes.Sum(s.sum(p.of[0], chosen, st), s.sum(p.of[1], chosen, st))
	case p.area < 0:
		for m := key.chosen; m != 0; m &= m - 1 {
			d = minutes.Sum(d, s.grid(bits.TrailingZeros64(m))[0])
		}
	case key.chosen != 0:
		d = minutes.Mix(s.j.know.grade[p.area][st][:], s.byGrade(p, key.chosen))
	}
	p.sums[key] = d
	return d
}

// byGrade is what the chosen of an area take at each grade.
func (s *search) byGrade(p *part, chosen uint64) []minutes.Distribution {
	if ds, ok := p.grades[chosen]; ok {
		return ds
	}
	ds := make([]minutes.Distribution, 4)
	for m := chosen; m != 0; m &= m - 1 {
		for g, d := range s.grid(bits.TrailingZeros64(m)) {
			ds[g] = minutes.Sum(ds[g], d)
		}
	}
	p.grades[chosen] = ds
	return ds
}

// grid is what a candidate takes at each grade that is possible, as charged.
func (s *search) grid(k int) *[4]minutes.Distribution {
	if s.grids[k] != nil {
		return s.grids[k]
	}
	i := s.tasks[k]
	t := &s.j.r.tasks[i]
	ds := new([4]minutes.Distribution)
	for g := range ds {
		if t.present[g] && (t.area < 0 || s.j.reachable(t.area, g)) {
			ds[g] = s.j.grid(i, g, s.j.weight(i))
		}
	}
	s.grids[k] = ds
	return ds
}

// spread turns a choice of candidates into one of all tasks.
func (c *choice) spread(chosen []bool) []bool {
	in := make([]bool, len(c.j.r.tasks))
	for k, on := range chosen {
		in[c.tasks[k]] = on
	}
	return in
}

// cheapest is the choice with the least likely price that is a job at all: one
// thing that was wanted, with what it needs.
func (c *choice) cheapest() []bool {
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
