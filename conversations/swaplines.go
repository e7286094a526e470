package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// Under a price people swap lines of its list, or add one: "dash needs doing, can u swap it
// for the wheels", "can you do the dash as well for 100". What they want out stays out, and
// what they want in counts as named; the figure, if there is one, is fitted to that.

// asksWhatIsOut tells whether a text asks what the price leaves out.
func (t *turn) asksWhatIsOut(e *Enquiry, text string) bool {
	return e.priceKnown() && t.speaksOf(t.spelled(text), wording.SayWhatsOut)
}

// whatIsOut is all of what the price leaves out.
func (t *turn) whatIsOut(e *Enquiry) string {
	f := t.quoteFacts(e)
	if f.Out = t.ofVan(e, e.Quote.Out); len(f.Out) == 0 {
		return t.word(wording.PriceIsThat, f)
	}
	return strings.TrimSpace(t.word(wording.QuoteLeftOut, f))
}

// swapMeant is the work a text puts in and takes out of the price on the table, each by the
// lines of the list or the parts of the car it names.
func (t *turn) swapMeant(e *Enquiry, text string) (in, out []string) {
	said := strings.Fields(wording.Plain(text))
	swaps := slices.ContainsFunc(said, func(w string) bool { return longestOf(t.typed(wording.SaySwap), []string{w}) > 0 })
	all := t.pieces(text, true)
	if swaps { // what is in goes out, whichever stands first: "swap the wheels for the dash"
		all = t.swapPieces(text)
	}
	for _, p := range all {
		named := t.called(p.words)
		has := t.namedAmong(e.Quote.Tasks, named)
		switch {
		case len(named) == 0:
		case slices.ContainsFunc(named, func(w string) bool { return w == "exterior" || w == "polish" && p.out }):
			return nil, nil // a whole side is asked for otherwise
		case (p.out || swaps) && len(has) > 0:
			if also, ok := t.hangingOn(e.Quote.Tasks, has); ok && !t.isPartOf(p.words, has) {
				out = append(out, slices.Concat(has, also)...)
			}
		case !p.out && len(has) == 0:
			if id := t.nearestOf(e, named); id != "" && !slices.Contains(in, id) {
				in = append(in, id)
			}
		}
	}
	return in, out
}

// swapPieces are the pieces of a text that swaps some work for other.
func (t *turn) swapPieces(text string) (all []piece) {
	between := slices.Concat(t.typed(wording.SaySwap), t.typed(wording.SaySwapFor))
	for _, s := range sentenceEnds.Split(text, -1) {
		var some []string
		for words := strings.Fields(wording.Plain(s)); len(words) > 0; {
			if n := longestOf(between, words); n > 0 {
				all, some, words = append(all, piece{words: some}), nil, words[n:]
				continue
			}
			some, words = append(some, words[0]), words[1:]
		}
		all = append(all, piece{words: some})
	}
	return slices.DeleteFunc(all, func(p piece) bool { return len(p.words) == 0 })
}

// namedAmong is the work among some that any of some names is that of.
func (t *turn) namedAmong(among, names []string) (ids []string) {
	for _, w := range names {
		for _, id := range t.namedOf(among, w) {
			if !slices.Contains(ids, id) {
				ids = append(ids, id)
			}
		}
	}
	return ids
}

// nearestOf is, of the work that the price leaves out, the nearest that some names are those
// of; empty if it leaves none of that out.
func (t *turn) nearestOf(e *Enquiry, names []string) string {
	fitted, err := t.fit(t.priced(e))
	if err != nil {
		return "" // the price itself has said so
	}
	for _, l := range t.nearest(fitted.Quote.Out, fitted.Missed...) {
		if len(t.namedAmong([]string{l.Task}, names)) > 0 && (l.Adds > 0 || l.Reckoned) {
			return l.Task
		}
	}
	if len(names) == 1 { // nobody has told of it yet, and it is asked after now
		return names[0]
	}
	return ""
}

// namesLines tells whether a text swaps or adds lines of the price.
func (t *turn) namesLines(e *Enquiry, text string) bool {
	if !e.priceKnown() || t.asksIfIn(text) != "" {
		return false
	}
	if in, out := t.swapMeant(e, text); len(in) > 0 && len(out) > 0 {
		return true
	}
	return t.lineAdded(e, text) != nil
}

// swapsLines takes a text that swaps lines of the price, and reports whether it was one.
func (t *turn) swapsLines(e *Enquiry, text string) bool {
	if !e.priceKnown() || t.asksIfIn(text) != "" {
		return false
	}
	in, out := t.swapMeant(e, text)
	return len(in) > 0 && len(out) > 0 && t.changesLines(e, text, in, out)
}

// lineAdded are the lines that a text wants in the price besides: "the dash as well please".
func (t *turn) lineAdded(e *Enquiry, text string) []string {
	said := wording.Plain(text)
	r := t.heardIn(text)
	adds := t.speaksOf(said, wording.SayAsWell) || longestOf(t.typed(wording.SayAddWork), strings.Fields(said)) > 0 || r.Amends || t.speaksOf(said, wording.SayCanYouDo)
	if !adds || len(r.When)+len(r.Hints) > 0 || t.asksIfIn(text) != "" || t.asksAdds(e, text) {
		return nil
	}
	side := func(w string) bool { return slices.Contains(formWants, w) && !e.has(askWants, w) }
	if slices.ContainsFunc(t.asksFor(r), side) {
		return nil // more is asked for than a line
	}
	var in []string
	for _, p := range t.pieces(text, true) {
		if ids := t.linesCalled(p.words); len(ids) > 0 && !p.out && len(t.namedAmong(e.Quote.Tasks, ids)) == 0 {
			if id := t.nearestOf(e, ids); id != "" {
				in = append(in, id)
			}
		}
	}
	return in
}

// addsLine takes a text that wants lines of the list in besides.
func (t *turn) addsLine(e *Enquiry, text string) bool {
	if !e.priceKnown() {
		return false
	}
	in := t.lineAdded(e, text)
	return len(in) > 0 && t.changesLines(e, text, in, nil)
}

// changesLines puts work into the price and takes other out, and says what has become of it:
// a figure may not reach what is to be in. It reports whether that can be done.
func (t *turn) changesLines(e *Enquiry, text string, in, out []string) bool {
	was, stood := rested(e), e.Quote
	spared := out
	for _, id := range out { // nor another level of it
		spared = slices.Concat(spared, t.levelsOf(id))
	}
	kept := func(id string) bool { return slices.Contains(in, id) }
	e.Spared = slices.DeleteFunc(slices.Concat(e.Spared, spared), kept)
	gone := func(id string) bool { return slices.Contains(spared, id) && !kept(id) }
	e.Answers[askWants] = slices.Concat(slices.DeleteFunc(slices.Clone(e.Answers[askWants]), gone), in)
	e.Named = slices.DeleteFunc(slices.Clone(e.Named), gone)
	if figure, some := readQuote(t, e, text); some && e.answer(askBudget) != figure[0] {
		t.retract(e, askBudget)
		e.Answers[askBudget], e.Trail = figure, append(e.Trail, askBudget)
	}
	t.retract(e, askQuote)
	if !t.quote(e) {
		return true
	}
	if slices.ContainsFunc(e.Quote.Tasks, gone) || !slices.ContainsFunc(e.Quote.Tasks, t.isWork) {
		e.restore(was) // the rest cannot be done without it: the boss's to say
		t.quote(e)
		return false
	}
	e.Rev++
	if drops := t.dropsAsked(e, was, stood, in); drops != "" {
		t.put(e, drops)
		return true
	}
	e.At = ""
	said := t.stretches(e, in)
	if e.Sum != "" && len(out) > 0 {
		said += " " + t.word(wording.SwapOnTop, wording.Facts{})
	}
	moved := t.priceMoved(&Reopened{Likely: stood.Likely, High: stood.High, In: stood.In}, e.Quote)
	t.put(e, joinLines(said, moved))
	return true
}

// staysIn takes a text that wants something out of the price that cannot be left out by
// itself: that is said, and the boss reads it. It reports whether it was one.
func (t *turn) staysIn(e *Enquiry, text string) bool {
	if !e.priceKnown() || !t.speaksOf(wording.Plain(text), wording.SayLeavesOut) || len(t.heardIn(text).When) > 0 {
		return false
	}
	for _, p := range t.pieces(text, true) {
		named := t.namedAmong(e.Quote.Tasks, t.linesCalled(p.words))
		asked := slices.ContainsFunc(named, func(id string) bool { return e.has(askWants, id) })
		if !p.out || len(named) == 0 || asked {
			continue
		}
		t.keepsNote(e, text)
		e.Rev++
		t.put(e, t.word(wording.SpareStays, wording.Facts{Text: strings.Join(t.bare(p.words), " ")}))
		return true
	}
	return false
}

// levelsOf are all levels of a piece of work.
func (t *turn) levelsOf(id string) (ids []string) {
	task, _ := t.Rules.Task(id)
	for _, x := range t.Rules.Order() {
		if o, _ := t.Rules.Task(x); task.Family != "" && o.Family == task.Family {
			ids = append(ids, x)
		}
	}
	return ids
}
