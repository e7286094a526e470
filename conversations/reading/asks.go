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
		if p.free(m) {
			found[m.name] = true
		}
	}
	if found[askSlots] && len(out.When) == 0 {
		found[askTime] = true
	}
	delete(found, askSlots)
	if len(found) == 0 && slices.ContainsFunc(p.of(question), p.unanswered) {
		found[askOther] = true
	}
	if len(found) > 0 {
		out.Asks = slices.Sorted(maps.Keys(found))
	}
}

// unanswered tells whether nothing was understood in the sentence of a question.
func (p *page) unanswered(q mark) bool {
	if q.to-q.from == 1 && !p.cut(q.from) {
		return false // "that is why" is no question
	}
	for i := q.from; i < len(p.words) && p.together(q.from, i); i++ {
		if p.words[i].taken && !p.words[i].car || p.has(i, aWork, aPart, aBit, aHint, anAsk, toUnit, toThem, fix) {
			return false
		}
	}
	return true
}

// cars reads how many cars are meant, by a phrase or by the cars named.
func (p *page) cars(out *Reading) {
	for _, m := range p.of(howMany) {
		out.Cars = max(out.Cars, number(m.name))
	}
	if n := len(out.Vehicles); n > 1 && !p.either(out.Vehicles) {
		out.Cars = max(out.Cars, n)
	}
}

// either tells whether two cars are named because somebody does not know which
// it is: "fiesta or fusion".
func (p *page) either(cars []Vehicle) bool {
	for i := 1; i < len(cars); i++ {
		between := p.text[cars[i-1].Span.To:cars[i].Span.From]
		if slices.Contains(words(between), "or") && len(words(between)) < 4 {
			return true
		}
	}
	return false
}
