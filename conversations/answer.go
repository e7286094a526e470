package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
)

// pressed takes a choice of the question on the table.
func (t *turn) pressed(e *Enquiry, q *question, choice string, w bot.Tap) {
	defer t.keepsWas(e)()
	p := q.ask(t, e)
	if q.id == askWants && choice == choiceBoth {
		e.Pending = append(e.Pending, "exterior", "interior")
		choice = choiceDone
	}
	if q.several && choice != choiceDone {
		t.tick(e, q, p, choice, w)
		return
	}
	if t.said(e, q, p, choice) {
		return
	}
	for _, o := range p.options {
		if o.key != choice {
			continue
		}
		answer := []string{choice}
		if q.several {
			if len(e.Pending) == 0 && !q.orNone {
				t.put(e, t.word(wording.AskWantsNone, wording.Facts{}))
				return
			}
			answer = inOrder(p, e.Pending)
			if len(answer) == 0 {
				answer = []string{choiceDone} // none of them
			}
		}
		t.takeOff(w)
		t.accept(e, q, answer, echo(labels(p, answer)))
		return
	}
	if q.valid != nil && q.valid(choice) {
		t.takeOff(w)
		t.accept(e, q, []string{choice}, "")
		return
	}
	t.put(e, t.word(wording.NotFollowed, wording.Facts{}))
}

// said answers a choice that only wants something explained. The question stays,
// with its buttons under the explanation.
func (t *turn) said(e *Enquiry, q *question, p prompt, choice string) bool {
	if q.aside == nil {
		return false
	}
	words, ok := q.aside(t, e, choice)
	if ok {
		t.say(bot.Message{Chat: e.Chat, Text: words, Choices: t.keyboard(e, q, p), Kind: "aside"})
	}
	return ok
}

// tick chooses or unchooses one of several and shows it on the buttons.
func (t *turn) tick(e *Enquiry, q *question, p prompt, choice string, w bot.Tap) {
	if len(choice) < 2 {
		return
	}
	key := choice[1:]
	e.Pending = slices.DeleteFunc(e.Pending, func(k string) bool { return k == key })
	if choice[0] == '+' && slices.ContainsFunc(p.options, func(o option) bool { return o.key == key }) {
		e.Pending = append(e.Pending, key)
	}
	if w.Message == 0 {
		t.put(e, "")
		return
	}
	// What can be chosen may depend on what is ticked.
	t.say(bot.Message{Chat: e.Chat, Edit: w.Message, Choices: t.keyboard(e, q, q.ask(t, e)), Kind: "ticks"})
}

// included are the keys that a text does not speak of to leave them out: "outside,
// not the inside", with what it asks for by name beside them.
func (t *turn) included(q *question, keys []string, text string) []string {
	if t.Reader == nil || len(keys) == 0 || text == "" {
		return keys
	}
	r := t.heardIn(text)
	keys = slices.DeleteFunc(keys, func(k string) bool { return slices.Contains(r.Excludes, k) })
	if q.id != askWants {
		return keys
	}
	said := t.asksFor(r)
	if len(said) == 0 { // "hair everywhere and the outside is filthy" means both sides
		for _, w := range (&heard{turn: t, text: text, r: r}).complainedOf() {
			if !slices.Contains(keys, w) {
				keys = append(keys, w)
			}
		}
	}
	keys = slices.DeleteFunc(keys, func(k string) bool { return slices.Contains(r.Wants, k) && !slices.Contains(said, k) })
	for _, w := range said { // "and a machine polish", which stands on no button
		rare := slices.ContainsFunc(rareWants, func(n named) bool { return n.key == w })
		if rare && !slices.Contains(r.ByTask, w) && !slices.Contains(keys, w) {
			keys = append(keys, w)
		}
	}
	return append(keys, t.named(r)...)
}

// accept remembers an answer, lets it take effect and asks what comes next.
func (t *turn) accept(e *Enquiry, q *question, answer []string, echo string) {
	t.acceptText(e, q, answer, echo, "")
}

// acceptText is accept for an answer that was written: what else stands in the text
// is taken too.
func (t *turn) acceptText(e *Enquiry, q *question, answer []string, echo, text string) {
	lead := t.takeIn(e, q, answer, echo)
	t.put(e, joinLines(lead, t.hearRest(e, q, text)))
}

// takeIn remembers an answer and lets it take effect. It returns the words for it.
func (t *turn) takeIn(e *Enquiry, q *question, answer []string, echo string) string {
	if q.id == askQuote && e.Meant != nil && slices.Equal(e.Meant.Answers[askBudget], answer) {
		e.restore(*e.Meant)
	}
	e.Meant = nil
	e.Answers[q.id] = answer
	e.Trail = append(e.Trail, q.id)
	e.Unsure = slices.DeleteFunc(e.Unsure, func(id string) bool { return id == q.id })
	e.Pending = nil
	e.Sum = ""
	e.Rev++
	e.At = ""
	if q.took != nil {
		if words := q.took(t, e); words != "" {
			return words
		}
	}
	if e.Stage == Booked {
		return "" // which has been said
	}
	return echo
}

// back takes the last answer back and asks it again.
func (t *turn) back(e *Enquiry) {
	if e.Meant != nil && e.At == askQuote { // the change that did not fit has been made by nobody
		e.Sum, e.Meant = "", nil
		e.Rev++
		t.put(e, t.word(wording.AsItWas, wording.Facts{}))
		return
	}
	if t.leavesIt(e) {
		t.put(e, "")
		return
	}
	if len(e.Trail) == 0 {
		t.put(e, t.word(wording.BackAtStart, wording.Facts{}))
		return
	}
	if e.Spread && e.Stage == Asking && e.At == askSlot {
		e.Spread = false
		e.Rev++
		t.put(e, "")
		return
	}
	words := ""
	if last, said := t.takeBack(e); last == askHeard {
		words = t.word(wording.Unheard, wording.Facts{Text: said})
	}
	t.put(e, words)
}

// takeBack takes the last answer back, with what followed from it, and returns its
// question. Of what was understood of a text it returns how we had put it back, too.
func (t *turn) takeBack(e *Enquiry) (last, said string) {
	last = e.Trail[len(e.Trail)-1]
	e.Trail = e.Trail[:len(e.Trail)-1]
	e.Pending = nil
	e.At = ""
	e.Spoken, e.Spread = 0, false
	e.Rev++
	if last == askHeard {
		return last, t.unhear(e)
	}
	delete(e.Answers, last)
	if q := t.find(last); q != nil && q.undo != nil {
		q.undo(t, e)
	}
	return last, ""
}

// pick is the option that a text means: as it is written, as it is spelled, or with
// nothing but small words beside it.
func (t *turn) pick(p prompt, text string) (option, bool) {
	if !slices.ContainsFunc(p.options, func(o option) bool { return o.key == choiceUnsure || o.key == choiceUnknown }) {
		text = t.lessDoubt(text) // the "sure" of "not sure" is no yes
	}
	no := t.typed(wording.SayWithout)
	if o, ok := pick(p, text, no...); ok && text != "" {
		return o, true
	}
	if o, ok := pick(p, t.spelled(text), no...); ok {
		return o, true
	}
	return t.allOfOne(p, text)
}

// spelled is a text as it is spelled when it is not thumbed in a hurry.
func (t *turn) spelled(text string) string {
	if t.Reader == nil {
		return wording.Plain(text)
	}
	return t.Reader.Spelled(text)
}

// allOf tells whether a text is one of some phrases, or several, with nothing but small
// and friendly words beside them: "nah nothing like that mate".
func (t *turn) allOf(text string, phrases []string) bool {
	return t.madeOf(strings.Fields(t.spelled(text)), phrases)
}

// madeOf is [turn.allOf] of words.
func (t *turn) madeOf(words, phrases []string) bool {
	friendly, small := t.typed(wording.SayPleased), slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayRoughly))
	_, found := usedUp(words, func(left []string) (int, bool) {
		n, kind := longestOf(phrases, left), longestOf(friendly, left)
		if n > 0 && n >= kind {
			return n, true
		}
		if kind > 0 { // the "no" of "no worries" is none
			return kind, false
		}
		if slices.Contains(small, left[0]) {
			return 1, false
		}
		return 0, false
	})
	return found
}

// onlyTimes tells whether a text names a time and says nothing of the work or the price.
func (t *turn) onlyTimes(text string) bool {
	if t.Reader == nil {
		return false
	}
	r := t.heardIn(text)
	return len(r.When) > 0 && len(r.Wants)+len(r.Excludes)+len(r.Tasks)+len(r.Hints)+len(r.Asks)+len(r.Vehicles)+len(r.PlayedDown) == 0 && r.Budget.Kind == "" && r.Place == (reading.Place{})
}

// meant tells whether the words are one of the ways of saying an option.
func (t *turn) meant(said string, o option) bool {
	return slices.ContainsFunc(o.typed, func(w string) bool { return wording.Plain(w) == said })
}
