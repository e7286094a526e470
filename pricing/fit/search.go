package fit

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// search is one run. Items are renumbered so that what is needed comes first;
// sets of items are bits by new number.
type search struct {
	p      Problem
	order  []int // new number to old
	items  []Item
	needs  [][]uint64
	users  []uint64 // who needs an item
	family []uint64 // the others of an item's family
	steps  []step
	from   []int   // by item: the first step that still has an item as late as that
	z      float64 // how many standard deviations to leave room for
	limit  int
	// growing: no covariance is negative, so the spread only grows with every
	// item, and what does not fit now never will.
	growing bool

	in, out        uint64 // out are also those that need what is out
	chosen         uint64 // what is in, by old number
	sum            sum
	nodes, asked   int
	found, stopped bool
	best           uint64
	value, least   float64
	open           float64 // the highest bound of what was not looked at
}

// sum is what the chosen come to.
type sum struct {
	mean, variance, sd float64
	value, effort      float64
}

func newSearch(p Problem) *search {
	s := &search{p: p, growing: true, z: p.Z}
	s.sum = sum{mean: p.Base, variance: p.BaseVar, sd: math.Sqrt(p.BaseVar)}
	s.order = sorted(p.Items)
	n := len(p.Items)
	number := make([]int, n)
	for k, i := range s.order {
		number[i] = k
	}
	s.items, s.needs, s.users, s.family = make([]Item, n), make([][]uint64, n), make([]uint64, n), make([]uint64, n)
	families := map[int]uint64{}
	for k, i := range s.order {
		s.items[k] = p.Items[i]
		if f := p.Items[i].Family; f != 0 {
			families[f] |= 1 << k
		}
		for _, group := range p.Items[i].Needs {
			var mask uint64
			for _, j := range group {
				mask |= 1 << number[j]
				s.users[number[j]] |= 1 << k
			}
			s.needs[k] = append(s.needs[k], mask)
		}
	}
	for k := range s.items {
		s.family[k] = families[s.items[k].Family] &^ (1 << k)
	}
	for _, row := range p.Cov {
		s.growing = s.growing && slices.Min(row) >= -1e-9
	}
	s.stairs()
	return s
}

func density(value, cost float64) float64 {
	if cost <= 0 {
		return math.Inf(1)
	}
	return value / cost
}

// sorted orders items so that needed ones come first, and otherwise those that
// give most for their money. Where needs go round in a circle, one of it has to come first.
func sorted(items []Item) []int {
	by := make([]int, len(items))
	for i := range by {
		by[i] = i
	}
	slices.SortStableFunc(by, func(a, b int) int {
		x, y := &items[a], &items[b]
		switch {
		case x.Must && !y.Must:
			return -1
		case y.Must && !x.Must:
			return 1
		}
		return cmp.Compare(density(y.Value, y.Cost), density(x.Value, x.Cost))
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
	if s.found {
		bound := s.bound(k, s.value+slack)
		if bound < s.value-slack || bound <= s.value+slack && s.sum.effort >= s.least-slack {
			return
		}
	}
	if s.nodes+HoldsNodes*s.asked > s.limit {
		s.stopped = true
	}
	if k == len(s.items) && !s.stopped {
		s.leaf()
		return
	}
	if !s.stopped && s.allowed(k) {
		was := s.sum
		s.take(k)
		if s.possible() {
			s.walk(k + 1)
		}
		s.in, s.chosen, s.sum = s.in&^(1<<k), s.chosen&^(1<<s.order[k]), was
	}
	if s.stopped {
		s.open = max(s.open, s.bound(k, math.Inf(1)))
		return
	}
	if !s.items[k].Must {
		was := s.out
		s.leave(k)
		if s.in&s.out == 0 { // else something chosen cannot do without it
			s.walk(k + 1)
		}
		s.out = was
	}
}

// allowed tells whether item k may be chosen after what was chosen before it. Of
// no value itself, it has to be of use to another.
func (s *search) allowed(k int) bool {
	if s.family[k]&s.in != 0 || s.out&(1<<k) != 0 {
		return false
	}
	it := &s.items[k]
	if it.Value <= 0 && !it.Must && s.users[k]&^s.out == 0 {
		return false
	}
	for _, group := range s.needs[k] {
		// What is still open of it comes later only where needs go in a circle.
		if group&^s.out == 0 {
			return false
		}
	}
	return true
}

// leave decides against an item, and so against all that cannot do without it.
func (s *search) leave(k int) {
	s.out |= 1 << k
	for m := s.users[k] &^ s.out; m != 0; m &= m - 1 {
		i := bits.TrailingZeros64(m)
		for _, group := range s.needs[i] {
			if group&^s.out == 0 {
				s.leave(i)
				break
			}
		}
	}
}

func (s *search) take(k int) {
	i := s.order[k]
	if s.p.Cov != nil {
		row := s.p.Cov[i]
		v := row[i]
		for m := s.chosen; m != 0; m &= m - 1 {
			v += 2 * row[bits.TrailingZeros64(m)]
		}
		s.sum.variance += v
		s.sum.sd = math.Sqrt(max(0, s.sum.variance))
	}
	s.in, s.chosen = s.in|1<<k, s.chosen|1<<i
	it := &s.items[k]
	s.sum.mean += it.Cost
	s.sum.value += it.Value
	s.sum.effort += it.Effort
}

// near is how many standard deviations before the budget it becomes worth
// asking whether what is chosen so far holds.
const near = 0.25

// possible tells whether what is chosen can still fit.
func (s *search) possible() bool {
	if s.room() < -slack {
		return false
	}
	return s.p.Holds == nil || s.sum.mean+(s.p.Z-near)*s.sum.sd <= s.p.Budget || s.holds()
}

func (s *search) holds() bool {
	if s.p.ZSure > 0 && s.sum.mean+s.p.ZSure*s.sum.sd <= s.p.Budget {
		return true
	}
	s.asked++
	return s.p.Holds(s.chosen)
}

// leaf keeps a full choice if it is better and fits.
func (s *search) leaf() {
	if s.found && (s.sum.value < s.value-slack || s.sum.value <= s.value+slack && s.sum.effort >= s.least-slack) {
		return
	}
	if s.sum.mean+s.z*s.sum.sd > s.p.Budget+slack || s.p.Holds != nil && !s.holds() {
		return
	}
	s.found, s.best, s.value, s.least = true, s.chosen, s.sum.value, s.sum.effort
}
