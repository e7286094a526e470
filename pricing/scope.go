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
// only for single jobs on an area nobody has looked at.
const luck = 0.4

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
