package reading

import "slices"

// A time that is named need not be one that is wanted: "we go away on the 20th",
// "I bought it in March", "interview tomorrow". What stands nearest before it in the
// clause tells.

// clause is how many words before a time are looked at for what it is the time of.
const clause = 8

// ownTime tells whether a time is that of something in somebody's own life, or will
// not do.
func (p *page) ownTime(from, to int) bool {
	if p.notThen(to) {
		return true
	}
	for i := from - 1; i >= 0 && from-i <= clause && !p.cut(i+1) && !p.turns(i); i-- {
		switch {
		case p.has(i, happened, theirs):
			return !p.leadsUp(i, from)
		case p.has(i, hoped):
			return false
		}
	}
	return false
}

// turns tells whether a new thought begins at a word.
func (p *page) turns(i int) bool {
	return slices.Contains([]string{"so", "but", "because", "then"}, p.key(i))
}

// leadsUp tells whether what somebody has on is why the car is wanted by then: "for
// a wedding on the 14th".
func (p *page) leadsUp(i, time int) bool {
	for ; i >= 0 && !p.cut(i+1) && p.has(i, theirs); i-- {
	}
	return i >= 0 && !p.cut(i+1) && i < time && p.before(i+1, 2, forIt) && !p.has(i, happened)
}

// notThen tells whether it is said behind a time that it will not do: "Weds no good".
func (p *page) notThen(to int) bool {
	for i := to; i < len(p.words) && i-to < 3 && !p.cut(i) && !p.turns(i); i++ {
		switch {
		case p.has(i, noUse), p.key(i) == "no" && (p.key(i+1) == "good" || p.key(i+1) == "use"):
			return true
		case p.has(i, hoped):
			return false
		}
	}
	return false
}

// bounded is where a named time begins if what stands before it bounds it from
// afar: "before my in-laws come on Friday", "I can't do a Friday".
func (p *page) bounded(from int) int {
	i := from - 1
	for i >= 0 && (p.key(i) == "on" || p.key(i) == "a" || p.key(i) == "the") && !p.cut(i+1) {
		i--
	}
	for _, m := range p.on(i, cantDo) {
		if m.to == i+1 && !p.cut(i+1) && !p.calledOff() {
			return m.from
		}
	}
	if b := p.key(from - 1); b != "on" && b != "this" && b != "next" {
		return from
	}
	for i := from - 2; i > 0 && from-i <= farthest && p.together(i, from) && !p.words[i+1].comma && !p.has(i, day); i-- {
		if p.key(i) == "before" && !p.words[i].taken {
			return i
		}
	}
	return from
}
