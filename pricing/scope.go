package pricing

import (
	"math"
	"slices"

	"example.org/dryhand/pricing/fit"
	"gonum.org/v1/gonum/stat/distuv"
)

// searchLimit bounds the search for a scope, in nodes. Usual enquiries need a few
// hundred.
const searchLimit = 100_000

// luck is by how many standard deviations the minutes of a scope may fare better
// than normally distributed ones would. What fits only because all that can go
// wrong lies just beyond the confidence asked for is a lottery, and not promised;
// nor is what would cost more than the figure on average. It hardly ever decides:
// in 2 of 1,439 random enquiries small enough to try every choice. Without it the
// answer was the same in each of 60 large ones, but the slowest took 200 times as
// long, as only Cantelli's inequality would be left to cut the search off.
const luck = 0.4

// within is the best choice for a budget, nil if nothing sensible fits. Where nothing
// that needs water is in it there is less to set up, so that choice is looked for apart.
func (s *search) within(budget Pence) ([]bool, fit.Solution) { return s.keeping(nil, budget) }

// beyond is the best choice for a larger budget that has all in it that another has, or a
// thorougher level of it; nil if there is none.
func (s *search) beyond(in []bool, budget Pence) []bool {
	levels := slices.Clone(in)
	for i := range levels {
		levels[i] = in[i] && s.j.r.tasks[i].family == 0
	}
	more, _ := s.keeping(levels, budget)
	for i := range in {
		if in[i] && more != nil && !s.atLeast(more, i) {
			more, _ = s.keeping(in, budget)
			break
		}
	}
	return more
}

// atLeast tells whether a task is in a choice, or a thorougher level of it.
func (s *search) atLeast(in []bool, i int) bool {
	t := &s.j.r.tasks[i]
	for k := range in {
		if o := &s.j.r.tasks[k]; in[k] && (k == i || t.family != 0 && o.family == t.family && o.Level > t.Level) {
			return true
		}
	}
	return false
}

// keeping is within, of the choices that have some tasks in them.
func (s *search) keeping(keep []bool, budget Pence) ([]bool, fit.Solution) {
	in, best := s.found(keep, budget)
	spared := s.sparingWater()
	if spared == nil {
		return in, best
	}
	other, with := spared.found(keep, budget)
	with.Nodes, with.Asked, with.Gap = with.Nodes+best.Nodes, with.Asked+best.Asked, max(with.Gap, best.Gap)
	if in == nil || other != nil && spared.betterThan(other, s, in) {
		return other, with
	}
	best.Nodes, best.Asked, best.Gap = with.Nodes, with.Asked, with.Gap
	return in, best
}

// sparingWater is the search among what needs no water, nil where that makes no
// difference to the setting up.
func (s *search) sparingWater() *search {
	dry := *s.j
	dry.sparing = true
	if dry.setUp() == s.everything().setUp() {
		return nil
	}
	c := dry.candidates()
	c.weigh()
	return c.search()
}

// betterThan tells whether a choice is worth more than one of another search, or the
// same for less effort.
func (c *choice) betterThan(in []bool, than *search, other []bool) bool {
	value, effort := c.worth(in)
	v, e := than.worth(other)
	return value > v+1e-9 || value > v-1e-9 && effort < e-1e-9
}

// worth is the value of a choice, and the effort.
func (c *choice) worth(in []bool) (value, effort float64) {
	for k, i := range c.tasks {
		if in[i] {
			value, effort = value+c.problem.Items[k].Value, effort+c.problem.Items[k].Effort
		}
	}
	return value, effort
}

// found is the best choice for a budget that has some tasks in it, nil if nothing sensible
// fits. Mean and spread say where to look, the convolution what stays within it.
func (s *search) found(keep []bool, budget Pence) ([]bool, fit.Solution) {
	if budget < pence(s.j.r.gross(0)) {
		return nil, fit.Solution{}
	}
	p, ok := s.with(keep)
	if !ok {
		return nil, fit.Solution{}
	}
	confidence := s.j.r.Quotes.BudgetConfidence
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

// with is the problem in which some tasks must be chosen; not ok if one of them is no
// candidate.
func (c *choice) with(keep []bool) (p fit.Problem, ok bool) {
	p = c.problem
	if keep == nil {
		return p, true
	}
	p.Items = slices.Clone(p.Items)
	for i, on := range keep {
		if !on {
			continue
		}
		k := slices.Index(c.tasks, i)
		if k < 0 {
			return p, false
		}
		p.Items[k].Must = true
	}
	return p, true
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
func (s *search) cheapest() []bool {
	best, least := s.least()
	if spared := s.sparingWater(); spared != nil {
		if other, cost := spared.least(); cost < least {
			best = other
		}
	}
	if best == nil {
		return s.j.in
	}
	return best
}

// least is that choice and what it costs on average, nil if there is none.
func (c *choice) least() ([]bool, float64) {
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
	return best, least
}
