package conversations

import (
	"encoding/json"
	"maps"
	"slices"

	"example.org/dryhand/pricing"
)

// Worked is what has been reckoned for one event, so that it is reckoned once: one
// step asks for the same price in several places, and is taken again where it missed a
// document or somebody else was quicker. The zero Worked is ready. It is not for use by
// two at once, and nothing is ever forgotten in it.
type Worked struct {
	layered map[layerOver]*pricing.Rules
	fits    map[reckoning]pricing.Fitted
	nexts   map[reckoning]pricing.Next
}

// reckoning is what is reckoned: an enquiry, as JSON, by some rules.
type reckoning struct {
	by *pricing.Rules
	of string
}

// layerOver are the rules of a file and the document of what is set over them.
type layerOver struct {
	file *pricing.Rules
	doc  string
}

// under are rules with a layer over them, which is in a document.
func (w *Worked) under(file *pricing.Rules, l pricing.Layer, doc []byte) *pricing.Rules {
	key := layerOver{file, string(doc)}
	r, ok := w.layered[key]
	if !ok {
		r = file.Under(l)
		put(&w.layered, key, r)
	}
	return r
}

// fit is [pricing.Rules.Fit] by the rules of the turn.
func (t *turn) fit(e pricing.Enquiry) (pricing.Fitted, error) {
	f, err := reckoned(&t.Worked.fits, t.Rules, e, t.Rules.Fit)
	f.Quote, f.Further = own(f.Quote), slices.Clone(f.Further)
	f.Missed = slices.Clone(f.Missed)
	return f, err
}

// quoted is [pricing.Rules.Quote] by the rules of the turn: a fit without a figure.
func (t *turn) quoted(e pricing.Enquiry) (pricing.Quote, error) {
	e.Budget = 0
	f, err := t.fit(e)
	return f.Quote, err
}

// nextQuestions is [pricing.Rules.NextQuestions] by the rules of the turn.
func (t *turn) nextQuestions(e pricing.Enquiry) (pricing.Next, error) {
	n, err := reckoned(&t.Worked.nexts, t.Rules, e, t.Rules.NextQuestions)
	n.Ask = slices.Clone(n.Ask)
	return n, err
}

// reckoned is what work makes of an enquiry, worked out if it has not been yet.
func reckoned[T any](known *map[reckoning]T, by *pricing.Rules, e pricing.Enquiry, work func(pricing.Enquiry) (T, error)) (T, error) {
	body, err := json.Marshal(e)
	if err != nil { // what cannot be told apart is worked out each time
		return work(e)
	}
	key := reckoning{by, string(body)}
	if v, ok := (*known)[key]; ok {
		return v, nil
	}
	v, err := work(e)
	if err == nil {
		put(known, key, v)
	}
	return v, err
}

func put[K comparable, V any](m *map[K]V, key K, v V) {
	if *m == nil {
		*m = map[K]V{}
	}
	(*m)[key] = v
}

// own is a quote whose lists are the caller's own to change.
func own(q pricing.Quote) pricing.Quote {
	q.In, q.Out, q.WontComeOut, q.Refer = slices.Clone(q.In), slices.Clone(q.Out), slices.Clone(q.WontComeOut), slices.Clone(q.Refer)
	q.Because, q.Notes, q.Grades = slices.Clone(q.Because), slices.Clone(q.Notes), maps.Clone(q.Grades)
	return q
}
