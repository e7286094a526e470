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

// luck is by how many standard deviations the minutes of a scope may fare better
// than normally distributed ones would. What fits only because all that can go
// wrong lies just beyond the confidence asked for is not promised; nor is what
// would cost more than the figure on average.
const luck = 0.4

// search looks for the best choice of candidates for a budget. Whether a choice
// stays within it is asked again and again of choices that differ in little, so
// the sums they are made of are kept.
type search struct {
	*choice
	grids  [][4]minutes.Distribution // by candidate and grade, as charged
	halves [2]*part
}

// part is some candidates: those of one area, or of two parts that are each about
// half of it.
type part struct {
	all   uint64
	area  int                  // -1 for none
	fixed minutes.Distribution // what there is whatever is chosen
	width int                  // about how many minutes wide it is
	of    [2]*part
	sums  map[uint64][]minutes.Distribution // by the chosen of it: what they take in each state
}

func newPart(area int) *part {
	return &part{area: area, sums: map[uint64][]minutes.Distribution{}}
}

func (c *choice) search() *search {
	s := &search{choice: c, grids: make([][4]minutes.Distribution, len(c.tasks))}
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
		widest := 1
		for g := range 4 {
			if t.present[g] && (t.area < 0 && g == 0 || t.area >= 0 && c.j.reachable(t.area, g)) {
				s.grids[k][g] = t.shapes[g].Grid(c.j.units[i] * c.j.weight(i))
				widest = max(widest, len(s.grids[k][g].P))
			}
		}
		p.width += widest
	}
	slices.SortStableFunc(parts, func(a, b *part) int { return b.width - a.width })
	s.halves = halved(parts)
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
	a, b := s.sum(s.halves[0], chosen), s.sum(s.halves[1], chosen)
	var p float64
	for st, w := range s.j.know.state {
		p += w * minutes.Pair{A: a[st], B: b[st]}.CDF(left/s.j.perMinute())
	}
	return p
}

// sum is what the chosen of a part take in each state.
func (s *search) sum(p *part, chosen uint64) []minutes.Distribution {
	chosen &= p.all
	if sums, ok := p.sums[chosen]; ok {
		return sums
	}
	sums := make([]minutes.Distribution, len(s.j.know.state))
	if p.of[0] == nil {
		s.area(sums, p, chosen)
	} else {
		a, b := s.sum(p.of[0], chosen), s.sum(p.of[1], chosen)
		for st := range sums {
			sums[st] = minutes.Sum(a[st], b[st])
		}
	}
	p.sums[chosen] = sums
	return sums
}

// area writes what the chosen of one area take in each state.
func (s *search) area(sums []minutes.Distribution, p *part, chosen uint64) {
	byGrade := [4]minutes.Distribution{p.fixed}
	for m := chosen; m != 0; m &= m - 1 {
		for g, d := range s.grids[bits.TrailingZeros64(m)] {
			byGrade[g] = minutes.Sum(byGrade[g], d)
		}
	}
	for st := range sums {
		switch {
		case p.area < 0:
			sums[st] = byGrade[0]
		case chosen != 0:
			sums[st] = minutes.Mix(s.j.know.grade[p.area][st][:], byGrade[:])
		}
	}
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
