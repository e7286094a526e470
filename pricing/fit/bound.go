package fit

import (
	"cmp"
	"math/bits"
	"slices"
)

// step is value to be had for a cost, as long as one of its items is undecided.
// An item without a family is one step. A family is a stair of them: the upper
// hull of value over cost, as of its items only one can be had, and parts of two
// are worth no more than the line between them.
type step struct {
	value, cost float64
	items       uint64
	family      uint64
}

// stairs makes the steps of everything, the most value for money first.
func (s *search) stairs() {
	var done uint64
	for k := range s.items {
		if done&(1<<k) != 0 {
			continue
		}
		all := s.family[k] | 1<<k
		done |= all
		s.stair(all)
	}
	slices.SortStableFunc(s.steps, func(a, b step) int {
		return cmp.Compare(density(b.value, b.cost), density(a.value, a.cost))
	})
	s.from = make([]int, len(s.items)+1)
	for k := range s.from {
		late := func(st step) bool { return st.items>>k != 0 }
		s.from[k] = slices.IndexFunc(s.steps, late)
		if s.from[k] < 0 {
			s.from[k] = len(s.steps)
		}
	}
}

// stair adds the steps of one family, from nothing to its most valuable item.
func (s *search) stair(all uint64) {
	value, cost := 0.0, 0.0
	for {
		best, at := -1.0, 0
		var above uint64
		for m := all; m != 0; m &= m - 1 {
			k := bits.TrailingZeros64(m)
			if v := s.items[k].Value; v > value {
				above |= 1 << k
				if d := density(v-value, s.items[k].Cost-cost); d >= best {
					best, at = d, k
				}
			}
		}
		if above == 0 {
			return
		}
		s.steps = append(s.steps, step{s.items[at].Value - value, max(0, s.items[at].Cost-cost), above, all})
		value, cost = s.items[at].Value, max(cost, s.items[at].Cost)
	}
}

// room is what the budget leaves for further items.
func (s *search) room() float64 {
	left := s.p.Budget - s.sum.mean
	if s.growing {
		left -= s.z * s.sum.sd
	}
	return left
}

// bound is the most value that can still be reached: what fits of the undecided
// items in parts, best value for money first. Items whose family is taken or
// whose needs are gone do not count. Where it is more than enough, it is any figure
// that is.
func (s *search) bound(k int, enough float64) float64 {
	v, room := s.sum.value, max(0, s.room())
	open := ^s.out &^ (1<<k - 1)
	for i := s.from[k]; i < len(s.steps) && v <= enough; i++ {
		st := &s.steps[i]
		if st.items&open == 0 || st.family&s.in != 0 {
			continue
		}
		if st.cost >= room {
			if st.cost > 0 {
				v += st.value * room / st.cost
			}
			return v
		}
		room -= st.cost
		v += st.value
	}
	return v
}
