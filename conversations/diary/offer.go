package diary

import (
	"slices"
	"time"
)

// Offer picks at most n slots worth showing from all that are free, and returns
// them in order. Among them are the earliest; the first that fits the
// customer's preference; and of those beside other work the one that is driven
// least for. The rest are spread: other days first, mornings and afternoons in
// turn.
func Offer(free []Slot, n int) []Slot {
	c := choice{free: free, n: n}
	c.add(func(Slot) bool { return true })
	if !c.any(func(s Slot) bool { return s.Fits }) {
		c.add(func(s Slot) bool { return s.Fits })
	}
	if !c.any(func(s Slot) bool { return s.Beside }) {
		c.addNear()
	}
	for c.spread() {
	}
	slices.SortFunc(c.chosen, func(a, b Slot) int { return a.Start.Compare(b.Start) })
	return c.chosen
}

// Nearest picks at most n slots as near as can be to a day, given by its midnight,
// and returns them in order. Other halves of days come before more of the same, the
// day itself apart.
func Nearest(free []Slot, to time.Time, n int) []Slot {
	far := func(s Slot) int {
		y, m, d := s.Start.Date()
		days := int(time.Date(y, m, d, 12, 0, 0, 0, time.UTC).Sub(time.Date(to.Year(), to.Month(), to.Day(), 12, 0, 0, 0, time.UTC)).Hours() / 24)
		return max(days, -days)
	}
	near := slices.Clone(free)
	slices.SortStableFunc(near, func(a, b Slot) int { return far(a) - far(b) })
	c := choice{free: near, n: n}
	for c.add(func(s Slot) bool { return far(s) == 0 || !c.any(half(s)) }) {
	}
	for c.add(func(Slot) bool { return true }) {
	}
	slices.SortFunc(c.chosen, func(a, b Slot) int { return a.Start.Compare(b.Start) })
	return c.chosen
}

// choice is an offer in the making.
type choice struct {
	free, chosen []Slot
	n            int
}

// any tells whether something chosen is like that.
func (c *choice) any(like func(Slot) bool) bool { return slices.ContainsFunc(c.chosen, like) }

// add chooses the first slot that is wanted and reports whether there was room
// and one.
func (c *choice) add(wanted func(Slot) bool) bool {
	if len(c.chosen) >= c.n {
		return false
	}
	i := slices.IndexFunc(c.free, func(s Slot) bool { return wanted(s) && !c.any(same(s)) })
	if i < 0 {
		return false
	}
	c.chosen = append(c.chosen, c.free[i])
	return true
}

// addNear chooses the first of the slots beside other work that are driven least
// for.
func (c *choice) addNear() {
	least := time.Duration(-1)
	for _, s := range c.free {
		if s.Beside && (least < 0 || s.Drive < least) && !c.any(half(s)) {
			least = s.Drive
		}
	}
	c.add(func(s Slot) bool { return s.Beside && s.Drive == least && !c.any(half(s)) })
}

// spread chooses one more slot, as unlike those chosen as can be had.
func (c *choice) spread() bool {
	if len(c.chosen) == 0 {
		return false
	}
	last := PartOf(c.chosen[len(c.chosen)-1].Start)
	return c.add(func(s Slot) bool { return !c.any(day(s)) && PartOf(s.Start) != last }) ||
		c.add(func(s Slot) bool { return !c.any(day(s)) }) ||
		c.add(func(s Slot) bool { return !c.any(half(s)) }) ||
		c.add(func(Slot) bool { return true })
}

func same(s Slot) func(Slot) bool {
	return func(o Slot) bool { return o.Start.Equal(s.Start) }
}

func day(s Slot) func(Slot) bool {
	date := s.Start.Format(time.DateOnly)
	return func(o Slot) bool { return o.Start.Format(time.DateOnly) == date }
}

func half(s Slot) func(Slot) bool {
	on := day(s)
	return func(o Slot) bool { return on(o) && PartOf(o.Start) == PartOf(s.Start) }
}
