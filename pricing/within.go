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
	halves [2]*part
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
	// known are the sums known, by what is chosen of it; last is that of what was
	// asked for last, mostly asked for next.
	known map[uint64]*known
	last  *known
}

// known are the sums known of what is chosen of a part.
type known struct {
	chosen uint64
	// grades are what the chosen of an area take at each grade.
	grades *[4]minutes.Distribution
	// states are what it takes in each state of the car, by size of step.
	states [][len(steps)]minutes.Distribution
}

// knows is what is known of what is chosen of a part.
func (p *part) knows(chosen uint64) *known {
	if p.last != nil && p.last.chosen == chosen {
		return p.last
	}
	k := p.known[chosen]
	if k == nil {
		k = &known{chosen: chosen}
		p.known[chosen] = k
	}
	p.last = k
	return k
}

func newPart(area int) *part { return &part{area: area, known: map[uint64]*known{}} }

// rounded is how many parts of a part are rounded down for what is chosen.
func (p *part) rounded(chosen uint64) int {
	switch {
	case chosen&p.all == 0 && p.area >= 0:
		return 0
	case p.of[0] == nil || p.narrow:
		return 1
	}
	return p.of[0].rounded(chosen) + p.of[1].rounded(chosen)
}

func (c *choice) search() *search {
	s := &search{choice: c}
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
const narrow = 350

// steps are the grids on which it is looked whether a choice stays within a
// budget: first in steps of so many minutes, each part rounded down, which mostly
// settles it; what is still open, on the grid itself.
var steps = [...]int{3, 1}

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
// the confidence asked for: whether the probability of at most so many minutes, as
// charged, is as high. It looks at the likeliest states of the car first, on the rough
// grid and then on the fine one, and at no more of them than it takes.
func (s *search) holds(chosen uint64, net float64) bool {
	left := net - s.money
	for m := chosen; m != 0; m &= m - 1 {
		left -= s.materials[bits.TrailingZeros64(m)]
	}
	within, confidence := left/s.j.perMinute(), s.j.r.Quotes.BudgetConfidence
	parts := s.halves[0].rounded(chosen) + s.halves[1].rounded(chosen)
	// What is known of the probability: altogether, and in each state.
	least, most := 0.0, 1.0
	low, high := make([]float64, len(s.states)), make([]float64, len(s.states))
	for st := range high {
		high[st] = 1
	}
	for size, step := range steps {
		for _, st := range s.states {
			sum := minutes.Pair{A: s.sum(s.halves[0], chosen, st, size), B: s.sum(s.halves[1], chosen, st, size)}
			from, to := bounds(sum, within, step, parts)
			w := s.j.know.state[st]
			least += w * (from - low[st])
			most -= w * (high[st] - to)
			if least >= confidence+trimmed {
				return true
			}
			if most < confidence-trimmed {
				return false
			}
			low[st], high[st] = from, to
		}
	}
	return least >= confidence
}

// bounds are the figures between which the probability lies that a sum in steps
// of minutes, each of so many parts of it rounded down, is at most so many minutes.
func bounds(sum minutes.Pair, within float64, step, parts int) (low, high float64) {
	if step == 1 {
		p := sum.CDF(within)
		return p, p
	}
	// The last whole minute that may count in part, and the most that may be missing.
	last, missing := math.Floor(within+0.5), float64((step-1)*parts)
	const whole = 0.5 // all of a step
	low = sum.CDF(math.Floor((last-1-missing)/float64(step)) + whole)
	high = sum.CDF(math.Floor(last/float64(step)) + whole)
	return low, high
}

// sum is what the chosen of a part take in a state, in steps of that size.
func (s *search) sum(p *part, chosen uint64, st, size int) minutes.Distribution {
	k := p.knows(chosen & p.all)
	if k.states == nil {
		k.states = make([][len(steps)]minutes.Distribution, len(s.states))
	}
	d := &k.states[st][size]
	if len(d.P) == 0 { // not known, or nothing
		*d = s.add(p, k.chosen, st, size)
	}
	return *d
}

// add makes such a sum.
func (s *search) add(p *part, chosen uint64, st, size int) minutes.Distribution {
	space := s.j.space
	switch step := steps[size]; {
	case p.of[0] != nil && (step == 1 || !p.narrow):
		return space.Sum(s.sum(p.of[0], chosen, st, size), s.sum(p.of[1], chosen, st, size))
	case step > 1:
		return space.Floor(s.sum(p, chosen, st, len(steps)-1), step)
	case p.area >= 0 && chosen != 0:
		return space.Mix(s.j.know.grade[p.area][st][:], s.byGrade(p, chosen)[:])
	}
	d := p.fixed
	for m := chosen; m != 0; m &= m - 1 {
		d = space.Sum(d, s.j.charged(s.tasks[bits.TrailingZeros64(m)])[0])
	}
	return d
}

// byGrade is what the chosen of an area take at each grade.
func (s *search) byGrade(p *part, chosen uint64) *[4]minutes.Distribution {
	k := p.knows(chosen)
	if k.grades != nil {
		return k.grades
	}
	k.grades = &s.j.space.Fours(1)[0]
	if chosen != 0 {
		// One less is mostly known already, as the search goes from choice to choice.
		last := chosen & -chosen
		for m := chosen; m != 0; m &= m - 1 {
			if less := p.known[chosen&^(m&-m)]; less != nil && less.grades != nil {
				last = m & -m
				break
			}
		}
		without := s.byGrade(p, chosen&^last)
		for g, d := range s.j.charged(s.tasks[bits.TrailingZeros64(last)]) {
			k.grades[g] = s.j.space.Sum(without[g], d)
		}
	}
	return k.grades
}
