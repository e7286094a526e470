// Package fit chooses the most worthwhile set of things for a budget whose costs
// are not certain: the mean of the total plus a multiple of its standard
// deviation must stay within the budget. Things may need others, and of some
// only one may be chosen.
//
// The answer is the best there is, found by branch and bound, unless a limit on
// the search is met; then the gap to the best possible is told.
package fit

import (
	"math"
	"math/bits"
	"slices"
)

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
	// Needs are groups of items, by index; of each group one must be chosen.
	Needs [][]int
}

// Problem is what to choose from.
type Problem struct {
	Items []Item
	// Cov is the covariance of the costs, nil if they are certain.
	Cov [][]float64
	// Base is a cost that is always there, BaseVar its variance.
	Base, BaseVar float64
	// Z is how many standard deviations the budget must leave room for.
	Z      float64
	Budget float64
	// Limit is the most nodes to search, 0 for no limit.
	Limit int
}

// Solution is a choice.
type Solution struct {
	// OK is false if not even what must be chosen fits; the rest is then empty.
	OK     bool
	Chosen []bool
	Value  float64
	// Mean and SD are those of the total cost.
	Mean, SD float64
	Nodes    int
	// Gap is by how much the best possible value might exceed Value: 0 unless
	// the limit was met.
	Gap float64
}

// Solve finds the choice with the highest value, and among equal ones the least
// effort. It panics if there are more than [MostItems] items.
func Solve(p Problem) Solution {
	if len(p.Items) > MostItems {
		panic("fit: too many items")
	}
	s := newSearch(p)
	s.walk(0)
	out := Solution{Nodes: s.nodes}
	if !s.found {
		return out
	}
	out.OK, out.Value, out.Chosen = true, s.value, make([]bool, len(p.Items))
	for k, i := range s.order {
		out.Chosen[i] = s.best&(1<<k) != 0
	}
	out.Mean, out.SD = p.Total(out.Chosen)
	if s.stopped {
		out.Gap = math.Max(0, s.open-s.value)
	}
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

// Fits tells whether a choice stays within the budget.
func (p Problem) Fits(chosen []bool) bool {
	mean, sd := p.Total(chosen)
	return mean+p.Z*sd <= p.Budget+slack
}

// search is one run. Items are renumbered so that what is needed comes first.
type search struct {
	p      Problem
	order  []int // new number to old
	items  []Item
	cov    [][]float64
	needs  [][]uint64
	family []uint64 // the others of an item's family
	// dense is new numbers by falling value for money, for the bound.
	dense []int
	// growing: no covariance is negative, so the spread only grows with every
	// item, and what does not fit now never will.
	growing bool

	in, out       uint64
	mean, varr, v float64
	effort        float64
	nodes         int

	found, stopped     bool
	best               uint64
	value, least, open float64
}

func newSearch(p Problem) *search {
	s := &search{p: p, growing: true, mean: p.Base, varr: p.BaseVar}
	s.order = sorted(p.Items)
	n := len(p.Items)
	number := make([]int, n)
	for k, i := range s.order {
		number[i] = k
	}
	s.items, s.needs, s.family = make([]Item, n), make([][]uint64, n), make([]uint64, n)
	s.cov = make([][]float64, n)
	for k, i := range s.order {
		s.items[k] = p.Items[i]
		s.cov[k] = make([]float64, n)
		for l, j := range s.order {
			if p.Cov != nil {
				s.cov[k][l] = p.Cov[i][j]
				s.growing = s.growing && p.Cov[i][j] >= -1e-9
			}
			if f := p.Items[i].Family; f != 0 && f == p.Items[j].Family && i != j {
				s.family[k] |= 1 << l
			}
		}
		for _, group := range p.Items[i].Needs {
			var mask uint64
			for _, j := range group {
				mask |= 1 << number[j]
			}
			s.needs[k] = append(s.needs[k], mask)
		}
		s.dense = append(s.dense, k)
	}
	slices.SortStableFunc(s.dense, func(a, b int) int {
		x, y := density(s.items[a]), density(s.items[b])
		switch {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	return s
}

func density(i Item) float64 {
	if i.Cost <= 0 {
		return math.Inf(1)
	}
	return i.Value / i.Cost
}

// sorted orders items so that needed ones come first, and otherwise those that
// give most for their money. Needs that go round in a circle are cut somewhere.
func sorted(items []Item) []int {
	by := make([]int, len(items))
	for i := range by {
		by[i] = i
	}
	slices.SortStableFunc(by, func(a, b int) int {
		switch x, y := density(items[a]), density(items[b]); {
		case items[a].Must != items[b].Must:
			return map[bool]int{true: -1, false: 1}[items[a].Must]
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	var out []int
	seen := make([]bool, len(items))
	var place func(i int)
	place = func(i int) {
		if seen[i] {
			return
		}
		seen[i] = true
		for _, group := range items[i].Needs {
			for _, j := range group {
				place(j)
			}
		}
		out = append(out, i)
	}
	for _, i := range by {
		place(i)
	}
	return out
}

// walk decides item k and all behind it.
func (s *search) walk(k int) {
	if s.stopped {
		return
	}
	s.nodes++
	bound := s.bound(k)
	if s.found && (bound < s.value-slack || bound <= s.value+slack && s.hopeless()) {
		return
	}
	if s.p.Limit > 0 && s.nodes > s.p.Limit {
		s.stopped = true
		s.open = math.Max(s.open, bound)
		return
	}
	if k == len(s.items) {
		s.leaf()
		return
	}
	if s.allowed(k) {
		s.take(k)
		if s.possible() {
			s.walk(k + 1)
		}
		s.drop(k)
	}
	if s.stopped {
		s.open = math.Max(s.open, bound)
		return
	}
	if !s.items[k].Must {
		s.out |= 1 << k
		s.walk(k + 1)
		s.out &^= 1 << k
	}
}

// hopeless tells, where the value can at most be equalled, whether the effort
// cannot become less.
func (s *search) hopeless() bool { return s.effort >= s.least-slack }

// allowed tells whether item k may be chosen after what was chosen before it.
func (s *search) allowed(k int) bool {
	if s.family[k]&s.in != 0 {
		return false
	}
	for _, group := range s.needs[k] {
		if group&s.in == 0 {
			return false
		}
	}
	return true
}

func (s *search) take(k int) {
	s.varr += s.cov[k][k]
	for m := s.in; m != 0; m &= m - 1 {
		s.varr += 2 * s.cov[k][bits.TrailingZeros64(m)]
	}
	s.in |= 1 << k
	s.mean += s.items[k].Cost
	s.v += s.items[k].Value
	s.effort += s.items[k].Effort
}

func (s *search) drop(k int) {
	s.in &^= 1 << k
	s.varr -= s.cov[k][k]
	for m := s.in; m != 0; m &= m - 1 {
		s.varr -= 2 * s.cov[k][bits.TrailingZeros64(m)]
	}
	s.mean -= s.items[k].Cost
	s.v -= s.items[k].Value
	s.effort -= s.items[k].Effort
}

// room is what the budget leaves for the mean of further items.
func (s *search) room() float64 {
	left := s.p.Budget - s.mean
	if s.growing {
		left -= s.p.Z * math.Sqrt(math.Max(0, s.varr))
	}
	return left
}

// possible tells whether what is chosen can still fit.
func (s *search) possible() bool { return s.room() >= -slack }

// leaf keeps a full choice if it fits and is better.
func (s *search) leaf() {
	if s.mean+s.p.Z*math.Sqrt(math.Max(0, s.varr)) > s.p.Budget+slack {
		return
	}
	better := !s.found || s.v > s.value+slack || s.v > s.value-slack && s.effort < s.least-slack
	if better {
		s.found, s.best, s.value, s.least = true, s.in, s.v, s.effort
	}
}

// bound is the most value that can still be reached: what fits of the undecided
// items in parts, best value for money first. Items whose family is taken or
// whose needs are gone do not count.
func (s *search) bound(k int) float64 {
	v, room := s.v, s.room()
	for _, i := range s.dense {
		it := &s.items[i]
		if i < k || it.Value <= 0 || s.family[i]&s.in != 0 || s.lost(i) {
			continue
		}
		if it.Cost >= room {
			if it.Cost > 0 {
				v += it.Value * math.Max(0, room) / it.Cost
			}
			return v
		}
		room -= it.Cost
		v += it.Value
	}
	return v
}

// lost tells whether something item i needs was decided against.
func (s *search) lost(i int) bool {
	for _, group := range s.needs[i] {
		if group&^s.out == 0 {
			return true
		}
	}
	return false
}
