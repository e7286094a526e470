package conversations

import (
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// People change their minds in the middle: "actually it's the wife's car, a Juke",
// "and the inside too", "could you come to us instead". Such a text answers nothing
// that is asked, but what was answered before.

// rethought takes a text that says something else than what was answered: those
// answers are given anew, what rests on them falls, and what was understood is
// returned in words, if there are any. It is not ok if nothing is said differently.
func (t *turn) rethought(e *Enquiry, text string) (said []string, ok bool) {
	if t.Reader == nil || e.At == askConfirm {
		return nil, false // a yes is at hand, and is to be given to what was read
	}
	if e.priceKnown() && (t.asksIfIn(text) != "" || t.lasts(e, text) != "" || t.asksAdds(e, text) || t.asksOfSide(e, text)) {
		return nil, false // who asks whether it is in, or how long it lasts, has not asked for it
	}
	r := t.heardIn(text)
	if name := t.renamed(e, r, text); name != "" {
		return []string{name}, true
	}
	var changed []string
	if t.anotherIsMeant(e, r, text) {
		changed = append(changed, askVehicle)
	}
	if wants := t.wantsNow(e, r, text); wants != nil {
		r.Wants, r.Tasks, r.ByTask = wants, wants, nil // each takes what it knows
		changed = append(changed, askWants)
	}
	site := map[string]string{"unit": "own", "customer": "theirs"}[r.Place.Whose]
	if was := e.answer(askSite); was != "" && site != "" && site != was {
		changed = append(changed, askSite)
	}
	if b := r.Budget; b.Kind != "" && b.Kind != reading.Least && !isCarNumber(r, text, b.Amount) && budgetOf(e) > 0 && b.Amount != budgetOf(e) && isFigure(strconv.Itoa(int(b.Amount/100))) {
		changed = append(changed, askBudget)
	}
	if len(changed) == 0 {
		return nil, false
	}
	for _, q := range changed {
		t.revise(e, q)
	}
	return t.hearWhat(e, text, r), true
}

// anotherIsMeant tells whether a text names a car that is not the one we have. It
// must be all that is said, or be put as a correction: other people's cars are spoken
// of too.
func (t *turn) anotherIsMeant(e *Enquiry, r reading.Reading, text string) bool {
	v := r.Vehicle()
	if _, answered := e.Answers[askVehicle]; !answered || v == nil || r.Cars > 1 || v.Car == nil && len(v.Ambiguous) == 0 {
		return false
	}
	if t.namesShape(e, *v) { // "transit, filthy" of what was a van before
		return true
	}
	if !r.Corrects && 2*(v.Span.To-v.Span.From) < len(text) {
		return false
	}
	if e.Car == nil {
		return v.Car != nil || len(e.Cars) == 0
	}
	return (v.Car == nil || *v.Car != *e.Car) && !slices.ContainsFunc(v.Ambiguous, func(c pricing.Vehicle) bool { return c == *e.Car })
}

// namesShape tells whether a car is the name of what only the shape was known of: the transit
// of whoever said "van".
func (t *turn) namesShape(e *Enquiry, v reading.Vehicle) bool {
	if e.Car == nil || e.answer(askBody) == "" {
		return false
	}
	cars := v.Ambiguous
	if v.Car != nil {
		cars = []pricing.Vehicle{*v.Car}
	}
	called := t.Reader.Read(e.answer(askVehicle))
	return called.Vehicle() == nil && called.Shape == e.Car.Body && slices.ContainsFunc(cars, func(c pricing.Vehicle) bool { return c.Body == e.Car.Body })
}

// saysOnly tells whether a text says what is wanted and hardly more, so that it is meant
// beside what was said before: "and inside I suppose".
func (t *turn) saysOnly(r reading.Reading, text string) bool {
	const most = 6 // words
	return len(strings.Fields(wording.Plain(text))) <= most && len(t.asksFor(r))+len(r.Excludes)+len(r.Spared) > 0 && len(r.Asks)+len(r.Vehicles)+len(r.When) == 0 && !t.isQuestion(text)
}

// addsWork tells whether a sentence of a text names work and hardly more, put as something
// beside the rest: "ok. and a polish? would be nice".
func (t *turn) addsWork(text string) bool {
	const most = 5 // words
	return slices.ContainsFunc(sentences(text), func(s string) bool {
		words := strings.Fields(t.spelled(s))
		if len(words) < 2 || len(words) > most || longestOf(t.typed(wording.SayAnd), words) == 0 {
			return false
		}
		r := t.heardIn(s)
		return len(t.asksFor(r)) > 0 && len(r.Hints)+len(r.Excludes)+len(r.Asks)+len(r.When)+len(r.Vehicles) == 0 && t.asksIfIn(s) == ""
	})
}

// hasAlready tells whether a text says nothing that we do not have already.
func (t *turn) hasAlready(e *Enquiry, text string) bool {
	if t.Reader == nil || t.beside != "" || t.isQuestion(text) {
		return false
	}
	if _, far := milesSaid(t.asRead(text)); far && e.answer(askMiles) != "" {
		return true // the postcode has told it
	}
	r := t.heardIn(text)
	site := map[string]string{"unit": "own", "customer": "theirs"}[r.Place.Whose]
	v, wants := r.Vehicle(), t.asksFor(r)
	excluded := func(w string) bool { return slices.Contains(e.Answers[askWants], w) }
	if len(r.Asks)+len(r.Spared) > 0 || slices.ContainsFunc(r.Excludes, excluded) || site == "" && v == nil && len(wants) == 0 || site != "" && site != e.answer(askSite) {
		return false
	}
	ours := v == nil || v.Car != nil && e.Car != nil && *v.Car == *e.Car || len(v.Ambiguous) > 0 && slices.Equal(v.Ambiguous, e.Cars)
	return ours && !slices.ContainsFunc(wants, func(w string) bool { return !slices.Contains(e.Answers[askWants], w) })
}

// saysBoth tells whether a text says no more than that it is both sides that are meant.
func (t *turn) saysBoth(text string) bool {
	small := slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayRoughly), t.typed(wording.SayAnd), t.typed(wording.SayNo))
	all, found := usedUp(strings.Fields(t.spelled(text)), func(left []string) (int, bool) {
		if n := longestOf(t.typed(wording.SayBoth), left); n > 0 {
			return n, true
		}
		return longestOf(small, left), false
	})
	return all && found
}

// wantsNow is what is wanted after "and the inside too", "without the wheels", "just
// the outside then"; nil if that is as before, or would be nothing.
func (t *turn) wantsNow(e *Enquiry, r reading.Reading, text string) []string {
	have := e.Answers[askWants]
	both := t.saysBoth(text)
	said := t.asksFor(r)
	if slices.Contains(have, string(pricing.SoftTop)) && t.namesRoof(e, text) {
		said = append(said, string(pricing.SoftTop)) // "just the roof, and a wash I suppose" keeps it
	}
	rest := t.ofRest(e, text)                         // "with the leather please"
	if listed := t.inTheList(e, text); listed != "" { // the work itself, without what else a want of that name brings
		said = slices.DeleteFunc(said, func(w string) bool { return t.broughtBy(e, w) == listed })
		rest = append(rest, listed)
	}
	said = append(said, rest...)
	// "Hoover and the hair, not the outside" is about what was to be done of both sides.
	narrows := len(said) > 0 && slices.ContainsFunc(r.Excludes, func(w string) bool { return slices.Contains(have, w) })
	if len(have) == 0 || !r.Amends && !t.addsWork(text) && !t.saysOnly(r, text) && !both && !narrows && len(rest) == 0 {
		return nil
	}
	if both {
		said = append(said, "exterior", "interior")
	}
	var now []string
	if in, out := t.changedFor(text); len(in) > 0 {
		now = slices.DeleteFunc(slices.Clone(have), func(w string) bool { return slices.Contains(out, w) })
		said = slices.DeleteFunc(in, func(w string) bool { return slices.Contains(out, w) })
	} else if !r.Instead || len(said) == 0 || t.swapsLine(text) {
		now = slices.Clone(have)
	}
	for _, w := range said {
		if !slices.Contains(now, w) {
			now = append(now, w)
		}
	}
	now = slices.DeleteFunc(now, func(w string) bool { return slices.Contains(r.Excludes, w) || slices.Contains(r.Spared, w) })
	same := len(now) == len(have) && !slices.ContainsFunc(now, func(w string) bool { return !slices.Contains(have, w) })
	if same || len(now) == 0 {
		return nil
	}
	return now
}

// changedFor is the work that is wanted in the place of other work, "the sealant instead of
// the wax", and that other work. The rest stays as it was.
func (t *turn) changedFor(text string) (in, out []string) {
	into, outOf, ok := t.swapSaid(text)
	if !ok {
		return nil, nil
	}
	if out = t.asksFor(t.Reader.Read(strings.Join(outOf, " "))); len(out) == 0 {
		return nil, nil
	}
	return t.asksFor(t.Reader.Read(strings.Join(into, " "))), out
}

// swapsLine tells whether a text wants something in the place of a line of the list, and not
// of all that was asked for: "the rain glass instead of the tar and bits".
func (t *turn) swapsLine(text string) bool {
	_, outOf, ok := t.swapSaid(text)
	return ok && len(t.called(outOf)) > 0
}

// namesRoof tells whether a text speaks of the roof of a car that has a soft one, and not
// to leave it out.
func (t *turn) namesRoof(e *Enquiry, text string) bool {
	if e.Car == nil || e.Car.SoftTopArea() == 0 {
		return false
	}
	_, ok := pick(prompt{options: []option{t.choose(string(pricing.SoftTop), wording.LabelSoftTop)}}, text, t.typed(wording.SayWithout)...)
	return ok
}

// withoutSeen takes out what was heard of something that is now said not to be there, or
// to be left: "actually no tar", "leave the mould". It returns the words for it.
func (t *turn) withoutSeen(e *Enquiry, text string) (words []string) {
	if t.Reader == nil || e.At == askConfirm {
		return nil
	}
	r := t.heardIn(text)
	for _, d := range r.Denied {
		if slices.ContainsFunc(r.Hints, func(h reading.Hint) bool { return h.Evidence == d.Evidence }) {
			continue
		}
		seen, rev := t.Reader.Seen(d.Evidence), e.Rev
		for a, g := range seen.Grades {
			q := askCond + string(a)
			if slices.Contains(e.Answers[askHeard], q) && e.answer(q) == strconv.Itoa(int(g)) {
				e.Minds = slices.DeleteFunc(e.Minds, func(m pricing.Area) bool { return m == a })
				t.revise(e, q)
			}
		}
		if told := slices.DeleteFunc(slices.Clone(e.Told), func(f string) bool { return slices.Contains(seen.Flags, f) }); len(told) < len(e.Told) {
			t.revise(e, askHazards) // it is asked again: a slip must not hide what hurts
			e.Told = told
		}
		// The piece of work of that name, and the part asked for because of it; the sides of
		// the car are asked for in their own right.
		left := slices.DeleteFunc(slices.Clone(e.Answers[askWants]), func(w string) bool {
			return w == d.Evidence || slices.Contains(seen.Wants, w) && slices.ContainsFunc(rareWants, func(n named) bool { return n.key == w })
		})
		if len(left) < len(e.Answers[askWants]) {
			t.revise(e, askWants)
			if len(left) > 0 { // or else it is asked again what there is to do
				e.Answers[askWants], e.Trail = left, append(e.Trail, askWants)
			}
		}
		if w := text[d.Span.From:d.Span.To]; e.Rev > rev && !slices.Contains(words, w) {
			words = append(words, w)
		}
	}
	return words
}
