package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// One piece of work in the place of another at the price, said or asked: "can it do the smell
// instead of the glass and stay at 120".

// swapSaid are the words for what is to be done and for what is to be left for it.
func (t *turn) swapSaid(text string) (into, outOf []string, ok bool) {
	words := strings.Fields(wording.Plain(text))
	for i := range words {
		if n := longestOf(t.typed(wording.SayInsteadOf), words[i:]); n > 0 && i > 0 {
			return words[:i], t.untilMore(words[i+n:]), true
		}
		n := longestOf(t.typed(wording.SaySwap), words[i:])
		if n == 0 {
			continue
		}
		rest := words[i+n:]
		if at := slices.IndexFunc(rest, func(w string) bool { return slices.Contains(t.typed(wording.SaySwapFor), w) }); at > 0 {
			return t.untilMore(rest[at+1:]), rest[:at], true
		}
	}
	return nil, nil, false
}

// untilMore are the first of some words, up to where something else is said.
func (t *turn) untilMore(words []string) []string {
	end := slices.IndexFunc(words, func(w string) bool {
		return slices.Contains(t.typed(wording.SaySwapEnds), w) || strings.ContainsAny(w, "0123456789")
	})
	if end < 0 {
		return words
	}
	return words[:end]
}

// swapping is a swap that the rules have words for: what is to be left, the wants that come to
// those there are, and the areas within the inside, with how bad they are said to be.
type swapping struct {
	leave sparing
	wants []string
	areas map[pricing.Area]pricing.Grade
}

// swapIn is the swap a text at the price says or asks for; not ok if it is none, or one of
// whole sides, which are asked for by themselves.
func (t *turn) swapIn(e *Enquiry, text string) (s swapping, ok bool) {
	if t.Reader == nil || e.Quote == nil || e.Quote.NeedSee != "" || e.Quote.Refused != "" {
		return s, false
	}
	into, outOf, ok := t.swapSaid(text)
	if !ok {
		return s, false
	}
	inPrice := func(words []string) bool { return len(t.namedAmong(e.Quote.Tasks, t.called(words))) > 0 }
	if inPrice(into) && !inPrice(outOf) { // "swap the dash for the wheels" is said either way round
		into, outOf = outOf, into
	}
	if s.leave, ok = t.workSpared(e, outOf); !ok {
		return s, false
	}
	r := t.Reader.Read(t.asRead(strings.Join(into, " ")))
	s.areas = map[pricing.Area]pricing.Grade{}
	for _, a := range t.finer(r) {
		s.areas[pricing.Area(a)] = max(r.Grades[pricing.Area(a)], pricing.Fair)
	}
	if len(s.areas) == 0 {
		s.wants = slices.DeleteFunc(t.asksFor(r), t.wholeSide)
		if id := t.nearestOf(e, t.linesCalled(into)); id != "" { // by the list's own words
			s.wants = []string{id}
		}
	}
	inside := len(s.areas) == 0 || e.has(askWants, "interior")
	return s, inside && len(s.wants)+len(s.areas) > 0
}

// asksSwap tells whether a text at the price is a swap.
func (t *turn) asksSwap(e *Enquiry, text string) bool {
	if e.At != askQuote {
		return false
	}
	_, ok := t.swapIn(e, text)
	return ok
}

// swapsWork takes such a swap at the price, with the figure named in it, and reports whether
// the text was one.
func (t *turn) swapsWork(e *Enquiry, text string) bool {
	s, ok := t.swapIn(e, text)
	if !ok {
		return false
	}
	was, stood := rested(e), e.Quote
	figure, some := readQuote(t, e, text)
	h := &heard{turn: t, e: e, text: text}
	if len(s.wants) > 0 {
		now := slices.Clone(e.Answers[askWants])
		for _, w := range s.wants {
			if !slices.Contains(now, w) {
				now = append(now, w)
			}
		}
		t.revise(e, askWants)
		h.fill(askWants, now...)
	}
	for a, g := range s.areas {
		h.tellsState(a, g)
	}
	for _, id := range s.leave.tasks {
		if !slices.Contains(e.Spared, id) {
			e.Spared = append(e.Spared, id)
			h.filled = append(h.filled, heardSpared+id)
		}
	}
	if some && e.answer(askBudget) != figure[0] {
		t.retract(e, askBudget)
		e.Answers[askBudget], e.Trail = figure, append(e.Trail, askBudget)
	}
	t.retract(e, askQuote)
	e.Rev++
	e.At = ""
	if !t.quote(e) {
		return true
	}
	if drops := t.dropsAsked(e, was, stood, s.wants); drops != "" {
		e.At = askQuote
		t.put(e, drops)
		return true
	}
	in := t.swappedIn(e, s)
	h.said = append(short(t.labelled(e, in)), h.word(wording.SaidWithout, wording.Facts{Text: s.leave.words}))
	h.keep()
	t.put(e, joinLines(t.stretches(e, in), t.understood(h.said)))
	return true
}

// tellsState takes how bad an area is that somebody names, where they have not said so.
func (h *heard) tellsState(a pricing.Area, g pricing.Grade) {
	q := askCond + string(a)
	if h.gradeOf(h.e, a) <= pricing.Light {
		h.forget(h.e, q)
		delete(h.e.Answers, q)
		h.fill(q, string(rune('0'+g)))
	}
	if !slices.Contains(h.e.Named, string(a)) {
		h.e.Named = append(h.e.Named, string(a))
		h.filled = append(h.filled, heardName+string(a))
	}
}

// swappedIn are the pieces of work that a swap asks for, by what the whole price would have.
func (t *turn) swappedIn(e *Enquiry, s swapping) (ids []string) {
	for _, w := range s.wants {
		ids = append(ids, t.broughtBy(e, w))
	}
	all, err := t.quoted(t.priced(e))
	if err != nil {
		return ids
	}
	for _, l := range all.In {
		if task, ok := t.Rules.Task(l.Task); ok && s.areas[task.Area] > 0 {
			ids = append(ids, l.Task)
		}
	}
	return ids
}
