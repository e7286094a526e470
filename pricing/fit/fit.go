// Package fit chooses the most worthwhile set of things for a budget whose costs
// are not certain. Things may need others, and of some only one may be chosen.
//
// A choice stays within the budget if the mean of its cost plus a multiple of its
// standard deviation does. With [Problem.Holds], a smaller multiple is enough,
// and Holds has the last word.
//
// The answer is the best there is, found by branch and bound, unless a limit on
// the search is met; then the gap to the best possible is told.
package fit

import "math"

// MostItems is how many items a [Problem] may have.
const MostItems = 64

// Item is one thing that can be chosen.
type Item struct {
	// Value is what it is worth, 0 or more.
	Value float64
	// Cost is its mean cost, 0 or more.
	Cost float64
	// Effort breaks ties between equal values: less is better.
	Effort float64
	// Must be chosen.
	Must bool
	// Family, if not 0: at most one item of a family is chosen.
	Family int
	// Needs are groups of items, by index; of each group one must be chosen. They
	// may go round in a circle: then there is none of it without the others.
	Needs [][]int
}

// Problem is what to choose from.
type Problem struct {
	Items []Item
	// Cov is the covariance of the costs, nil if they are certain.
	Cov [][]float64
	// Base is a cost that is always there, BaseVar its variance.
	Base, BaseVar float64
	// Z is how many standard deviations the budget must leave room for, 0 or more.
	Z      float64
	Budget float64
	// Holds, if not nil, tells whether a choice, one bit for each item, stays
	// within the budget. What does not hold must not hold with more in it.
	Holds func(chosen uint64) bool
	// ZHolds takes the place of Z where Holds decides; 0 or more. The larger it is, the fewer
	// choices Holds is asked about; those it would cut off do not count as fitting.
	ZHolds float64
	// ZSure, if not 0, is the multiple that is more than enough: Holds is not asked
	// about a choice that leaves room for it.
	ZSure float64
	// Limit is the most nodes to search, 0 for no limit. A call of Holds counts
	// as [HoldsNodes].
	Limit int
}

// HoldsNodes is how many nodes a call of [Problem.Holds] counts for: it takes
// about as long as so many.
const HoldsNodes = 50

// Solution is a choice.
type Solution struct {
	// OK is false if not even what must be chosen fits; the rest is then empty.
	OK     bool
	Chosen []bool
	Value  float64
	// Mean and SD are those of the total cost.
	Mean, SD float64
	// Nodes is how much was searched, Asked how often Holds was called.
	Nodes, Asked int
	// Gap is by how much the best possible value might exceed Value: 0 unless
	// the limit was met.
	Gap float64
}

// guessNodes bounds the first look, which only has to find something good.
const guessNodes = 1000

// Solve finds the choice with the highest value, and among equal ones the least
// effort. It panics if there are more than [MostItems] items.
func Solve(p Problem) Solution {
	if len(p.Items) > MostItems {
		panic("fit: too many items")
	}
	s := newSearch(p)
	s.limit = math.MaxInt
	if p.Limit > 0 {
		s.limit = p.Limit
	}
	if p.Holds != nil {
		// Something good to start with, by mean and spread as they are usual.
		whole := s.limit
		s.limit = min(whole, guessNodes)
		s.walk(0)
		s.stopped, s.open, s.limit, s.z = false, 0, whole, p.ZHolds
	}
	s.walk(0)
	return s.solution()
}

func (s *search) solution() Solution {
	out := Solution{Nodes: s.nodes, Asked: s.asked}
	if s.stopped {
		out.Gap = math.Max(0, s.open-s.value)
	}
	if !s.found {
		return out
	}
	out.OK, out.Value, out.Chosen = true, s.value, make([]bool, len(s.items))
	for i := range out.Chosen {
		out.Chosen[i] = s.best&(1<<i) != 0
	}
	out.Mean, out.SD = s.p.Total(out.Chosen)
	return out
}

// Total is mean and standard deviation of a choice's cost.
func (p Problem) Total(chosen []bool) (mean, sd float64) {
	mean, v := p.Base, p.BaseVar
	for i, on := range chosen {
		if !on {
			continue
		}
		mean += p.Items[i].Cost
		for k, other := range chosen {
			if other && p.Cov != nil {
				v += p.Cov[i][k]
			}
		}
	}
	return mean, math.Sqrt(math.Max(0, v))
}

// slack forgives what floating point leaves of a sum that fits exactly.
const slack = 1e-7

// Fits tells whether a choice stays within the budget by its mean and spread.
func (p Problem) Fits(chosen []bool) bool {
	mean, sd := p.Total(chosen)
	return mean+p.Z*sd <= p.Budget+slack
}
