package reading

import (
	"maps"
	"slices"
)

// The names of questions that the code knows more about than their phrases.
const (
	askTime  = "time"
	askSlots = "slots" // asks for a time unless one is named
	askOther = "other"
)

// asks reads what is asked apart from the work. A question of which nothing else
// was understood is "other".
func (p *page) asks(out *Reading) {
	found := map[string]bool{}
	for _, m := range p.of(anAsk) {
		if p.free(m) && !p.engaged(m, out) {
			found[m.name] = true
		}
	}
	if found[askSlots] && len(out.When) == 0 {
		found[askTime] = true
	}
	delete(found, askSlots)
	if p.rings() {
		found["human"] = true
	}
	if p.calledOff() {
		found["cancel"] = true
	}
	if p.priceGuessed() {
		found["price"] = true
	}
	if p.reachAsked(out) {
		found[askOther] = true
	}
	if len(found) == 0 && (slices.ContainsFunc(p.of(question), p.unanswered) || p.anyOpen()) {
		found[askOther] = true
	}
	if len(found) > 0 {
		out.Asks = slices.Sorted(maps.Keys(found))
	}
}

// engaged tells whether words name what somebody has on at an hour, who says when they would
// come: "I have the hairdresser at 2".
func (p *page) engaged(m mark, out *Reading) bool {
	return m.name == askOther && len(out.When) > 0 && p.has(m.from, theirs) && p.key(m.to) == "at"
}

// calledOff tells whether a time agreed will not do any more: "I can't do Monday
// now". That alone without a "now" or "sorry" only says when somebody is free.
func (p *page) calledOff() bool {
	return slices.ContainsFunc(p.of(cantDo), func(m mark) bool {
		return p.after(m.to-1, 1, day) && (p.after(m.to, 3, anyMore) || p.before(m.from, 6, anyMore))
	})
}

// priceGuessed tells whether a price is put to us to be confirmed: "is it 30 for a
// wash".
func (p *page) priceGuessed() bool {
	return slices.ContainsFunc(p.of(notMine), func(m mark) bool {
		i := m.to
		if p.key(i) == "£" {
			i++
		}
		pounds, _, to := p.amount(i)
		return p.key(m.from) == "is" && pounds > 0 && !p.cut(i) && (p.key(to) == "for" || p.has(to, currency) || p.key(m.to) == "£")
	})
}

// rings tells whether a call is asked for: a word for one, and a number.
func (p *page) rings() bool {
	return slices.ContainsFunc(p.of(ring), func(m mark) bool {
		i := m.to
		for i < len(p.words) && i-m.to < 3 && (p.key(i) == "me" || p.key(i) == "us" || p.key(i) == "on" || p.key(i) == "back") {
			i++
		}
		k := p.key(i)
		return p.together(m.from, i) && len(k) >= 5 && isNumber(k) && k[0] == '0' && p.key(m.from-1) != "my"
	})
}

// reachAsked tells whether it is asked how far we go, with no postcode that would
// make it a place.
func (p *page) reachAsked(out *Reading) bool {
	return out.Place.Whose == "" && slices.ContainsFunc(p.of(reaches), func(m mark) bool {
		return m.to-m.from > 2 && (p.key(m.to-1) == "cover" || p.key(m.to-1) == "to" || p.key(m.to-1) == "as") && p.unanswered(m)
	})
}

// anyOpen tells whether a sentence with a question mark stands in the text of
// which nothing was understood.
func (p *page) anyOpen() bool {
	for i := range p.words {
		if p.words[i].asked && p.isOpen(i) {
			return true
		}
	}
	return false
}

// isOpen tells whether the sentence that ends with a word has some words, and
// none that was understood.
func (p *page) isOpen(last int) bool {
	i := last
	for ; i >= 0 && p.together(i, last); i-- {
		if p.understood(i) || p.has(i, request, where, carry) {
			return false
		}
	}
	return last-i >= 4
}

// understood tells whether a word says something that is asked or told.
func (p *page) understood(i int) bool {
	return p.words[i].taken && !p.words[i].car ||
		p.has(i, aWork, aPart, aBit, aHint, anAsk, toUnit, toThem, fix, surface, tapYes, tapNo, socketYes, socketNo, most, least) || isNumber(p.key(i)) && len(p.key(i)) < 4
}

// unanswered tells whether nothing was understood in the sentence of a question.
func (p *page) unanswered(q mark) bool {
	if q.to-q.from == 1 && !p.cut(q.from) {
		return false // "that is why" is no question
	}
	if p.key(q.from-1) == "or" {
		return false // "can you polish them or do i need new" is one
	}
	for i := q.from; i < len(p.words) && p.together(q.from, i); i++ {
		if p.understood(i) {
			return false
		}
	}
	return true
}
