package pricing

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"example.org/dryhand/pricing/minutes"
)

// search looks for the best choice of candidates for a budget. Whether a choice
// stays within it is asked again and again of choices that differ in little, so
// the sums they are made of are kept.
type search struct {
	*choice
	grids  []*[4]minutes.Distribution // by candidate and grade, as charged, once needed
	halves [2]*part
	parts  int   // how many there are
	states []int // the likeliest first
}

// part is some candidates: those of one area, or those of two parts.
type part struct {
	all    uint64
	area   int                  // -1 for none
	fixed  minutes.Distribution // what there is whatever is chosen
	width  int                  // about how many minutes wide it is
	narrow bool                 // see narrow below
	of     [2]*part
	// sums and grades are what the chosen of it take in a state, and at each grade.
	sums   map[key]minutes.Distribution
	grades map[uint64][]minutes.Distribution
}

// key is what is chosen, in which state of the car, in steps of how many minutes.
type key struct {
	chosen      uint64
	state, step int
}

func newPart(area int) *part {
	return &part{area: area, sums: map[key]minutes.Distribution{}, grades: map[uint64][]minutes.Distribution{}}
}

// rounded is how many parts of a part are rounded down.
func (p *part) rounded() int {
	if p.of[0] == nil || p.narrow {
		return 1
	}
	return p.of[0].rounded() + p.of[1].rounded()
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
	s.halves = halved(parts)
	for _, h := range s.halves {
		s.parts += h.rounded()
	}
	for st := range c.j.know.state {
		s.states = append(s.states, st)
	}
	slices.SortStableFunc(s.states, func(a, b int) int { return cmp.Compare(c.j.know.state[b], c.j.know.state[a]) })
	return s
}

// halved makes two parts of many, each of two parts and so on, the narrowest put
// together first, so that the wide ones take part in few sums.
func halved(parts []*part) (halves [2]*part) {
	for len(parts) < len(halves) {
		parts = append(parts, newPart(-1))
	}
	for len(parts) > len(halves) {
		slices.SortStableFunc(parts, func(a, b *part) int { return a.width - b.width })
		both := newPart(-1)
		both.of = [2]*part{parts[0], parts[1]}
		both.all, both.width = parts[0].all|parts[1].all, parts[0].width+parts[1].width
		both.narrow = both.width <= narrow
		parts = append(parts[2:], both)
	}
	copy(halves[:], parts)
	return halves
}

// narrow parts are made exactly and only then rounded down: what is rounded down
// less often is known better.
const narrow = 250

// steps are the grids on which it is looked whether a choice stays within a
// budget: first in steps of so many minutes, each part rounded down, which mostly
// settles it; what is still open, on the grid itself.
func steps() []int { return []int{4, 2, 1} }

// trimmed is more probability than is lost of a sum, and more than floating point
// makes of one.
const trimmed = 1e-5

// wholeHolds tells whether all that is in the job stays within its budget.
func (s *search) wholeHolds() bool {
	var all uint64
	for k, i := range s.tasks {
		if s.j.in[i] {
			all |= 1 << k
		}
	}
	return s.j.e.Budget >= pence(s.j.r.gross(0)) && s.holds(all, float64(s.j.e.Budget)/s.j.r.vat())
}

// holds tells whether a choice costs at most that much, in pence before VAT, with
// the confidence asked for.
func (s *search) holds(chosen uint64, net float64) bool {
	left := net - s.money
	for m := chosen; m != 0; m &= m - 1 {
		left -= s.materials[bits.TrailingZeros64(m)]
	}
	confidence := s.j.r.Quotes.BudgetConfidence
	for _, step := range steps() {
		least, most := s.sure(chosen, left/s.j.perMinute(), step)
		switch {
		case step == 1:
			return least >= confidence
		case least >= confidence+trimmed:
			return true
		case most < confidence-trimmed:
			return false
		}
	}
	panic("pricing: no last step")
}

// sure is between which two figures the probability lies that the chosen take at
// most so many minutes, as charged. It looks at the likeliest states of the car
// first, and leaves the others out where they cannot change the answer.
func (s *search) sure(chosen uint64, within float64, step int) (least, most float64) {
	most = 1
	confidence := s.j.r.Quotes.BudgetConfidence
	for _, st := range s.states {
		if least >= confidence+trimmed || most < confidence-trimmed {
			break
		}
		w := s.j.know.state[st]
		sum := minutes.Pair{A: s.sum(s.halves[0], chosen, st, step), B: s.sum(s.halves[1], chosen, st, step)}
		low, high := s.between(sum, within, step)
		least += w * low
		most -= w * (1 - high)
	}
	return least, most
}

// between is between which two figures the probability lies that a sum in steps
// of minutes, each part of it rounded down, is at most so many minutes.
func (s *search) between(sum minutes.Pair, within float64, step int) (low, high float64) {
	if step == 1 {
		p := sum.CDF(within)
		return p, p
	}
	// The last whole minute that may count in part, and the most that may be missing.
	last, missing := math.Floor(within+0.5), float64((step-1)*s.parts)
	const whole = 0.5 // all of a step
	low = sum.CDF(math.Floor((last-1-missing)/float64(step)) + whole)
	high = sum.CDF(math.Floor(last/float64(step)) + whole)
	return low, high
}

// sum is what the chosen of a part take in a state, in steps of minutes.
func (s *search) sum(p *part, chosen uint64, st, step int) minutes.Distribution {
	key := key{chosen & p.all, st, step}
	if d, ok := p.sums[key]; ok {
		return d
	}
	space := s.j.space
	d := p.fixed
	switch {
	case p.of[0] != nil && (step == 1 || !p.narrow):
		d = space.Sum(s.sum(p.of[0], chosen, st, step), s.sum(p.of[1], chosen, st, step))
	case step > 1:
		d = space.Floor(s.sum(p, chosen, st, 1), step)
	case p.area < 0:
		for m := key.chosen; m != 0; m &= m - 1 {
			d = space.Sum(d, s.grid(bits.TrailingZeros64(m))[0])
		}
	case key.chosen != 0:
		d = space.Mix(s.j.know.grade[p.area][st][:], s.byGrade(p, key.chosen))
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
	if chosen != 0 {
		// One less is mostly known already, as the search goes from choice to choice.
		last := chosen & -chosen
		for m := chosen; m != 0; m &= m - 1 {
			if _, ok := p.grades[chosen&^(m&-m)]; ok {
				last = m & -m
				break
			}
		}
		without := s.byGrade(p, chosen&^last)
		for g, d := range s.grid(bits.TrailingZeros64(last)) {
			ds[g] = s.j.space.Sum(without[g], d)
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
