package conversations

import (
	"slices"
	"strconv"
	"strings"
	"time"

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

// longAway is after how long somebody who comes back is greeted.
const longAway = 3 * 24 * time.Hour

// answered takes typed words as the answer to the question on the table.
func (t *turn) answered(e *Enquiry, text string) {
	if t.namesGiven(e, text) {
		return
	}
	q := t.find(e.At)
	if q == nil {
		q = t.next(e)
	}
	if q == nil {
		return
	}
	e.At = q.id
	defer t.keepsWas(e)()
	p := q.ask(t, e)
	text = sign(text)
	if t.answeredFirst(e, q, p, text) {
		return
	}
	more := text // what may say more than the answer
	if _, ok := bare(p, text); ok {
		more = ""
	} else {
		t.asksBeside(e, text)
		if text = t.apart(e, q, text); text == "" {
			t.put(e, "")
			return
		}
		more = text
		if rest, some := t.ofPlaces(text); some && t.beside == "" && q.id != askVehicle && q.id != askMiles && q.id != askSite && q.id != askAddress && t.notes(e, text) {
			if text, more = rest, rest; text == "" {
				t.put(e, t.word(wording.NotedDown, wording.Facts{}))
				return
			}
		}
	}
	if q.id == askVehicle && t.namesNone(text) && t.leadsOn(e, q, p, text) {
		return
	}
	if more != "" && (t.atPrice(e, q, p, text) || t.postcodeBeside(e, q, text)) {
		return
	}
	if q.id == askVehicle && t.noCar(text) {
		said := t.understood(t.hear(e, text))
		if said != "" || !t.aside(e, text) {
			t.put(e, said)
		}
		return
	}
	if q.several {
		done := p.options[len(p.options)-1] // every question of several ends with it
		if (t.meant(wording.Plain(text), done) || more != "" && t.allOf(text, done.typed)) && (len(e.Pending) > 0 || q.orNone) {
			keys := inOrder(p, e.Pending)
			if len(keys) == 0 {
				keys = []string{choiceDone}
			}
			t.accept(e, q, keys, echo(labels(p, keys)))
			return
		}
		if keys := t.included(q, pickSeveral(p, text), more); len(keys) > 0 {
			e.Pending = keys // so that what is not offered has its words too
			t.acceptText(e, q, keys, echo(labels(q.ask(t, e), keys)), more)
			return
		}
	} else if o, ok := t.pick(p, text); ok && more != "" && q.id == askQuote && t.saysHowMuch(e, q, o, text) {
		return
	} else if ok && !(q.id == askSlot && more != "" && (isSlot(o.key) || o.key == choiceOther && t.tellsWhen(text))) {
		if t.said(e, q, p, o.key) {
			return
		}
		if q.id == askConfirm && more != "" && !t.allOf(more, o.typed) {
			t.notes(e, more) // "yes, as long as the wax is in": the owner says yes to that, or not
		}
		t.acceptText(e, q, []string{o.key}, echo([]string{o.label}), more)
		return
	} else if o, ok := t.meansOne(q, p, text); ok {
		t.acceptText(e, q, []string{o.key}, echo([]string{o.label}), "")
		return
	}
	if g, words := t.comesNearest(q, text); g > 0 {
		t.notes(e, text)
		t.acceptText(e, q, []string{strconv.Itoa(int(g))}, words, text)
		return
	}
	if q.read != nil {
		if answer, ok := q.read(t, e, text); ok {
			echoed := ""
			if q.id == askQuote && t.agreesTo(e, answer, text) {
				answer = []string{choiceDone}
			}
			if len(p.options) > 0 && q.id != askSlot { // a time is said in other words
				if q.several {
					e.Pending = answer
				}
				echoed = echo(labels(q.ask(t, e), answer))
			}
			t.acceptText(e, q, answer, echoed, text)
			return
		}
	}
	if said, ok := t.milesAgain(e, q, text); ok {
		t.put(e, said)
		return
	}
	if t.anotherTime(e, text) {
		return
	}
	if words := t.withoutSeen(e, text); len(words) > 0 {
		t.put(e, t.word(wording.TakenOut, wording.Facts{Items: words}))
		return
	}
	said, ok := t.rethought(e, text)
	if !ok && !t.asksOfSeen(text) {
		said = t.hear(e, text)
	}
	if q.id == askQuote && (t.onlyTimes(text) || t.allOf(text, t.typed(wording.SayGoOn))) && len(p.options) > 0 && p.options[0].key == choiceDone {
		// Who names a day at the price, or only says that it sounds good, goes on with it.
		t.acceptText(e, q, []string{choiceDone}, t.understood(said), "")
		return
	}
	if ok || len(said) > 0 {
		if ok || q.id != askQuote || !t.onlyTimes(text) { // a time alone leaves what was put as it was
			e.At = ""
		}
		lead := t.understood(said)
		if next := t.next(e); !ok && next != nil && next.id == q.id && strings.HasPrefix(q.id, askCond) {
			lead += " " + t.word(wording.WhichIsNearest, wording.Facts{})
		}
		t.put(e, lead)
		return
	}
	if t.leadsOn(e, q, p, text) || t.aside(e, text) {
		return
	}
	if words := t.wholeCosts(e, text); words != "" && t.hasAlready(e, text) {
		t.notes(e, text) // asked for, and not in the price: the owner reads it
		t.put(e, words)
		return
	}
	if t.hasAlready(e, text) {
		t.put(e, t.word(wording.HaveThat, wording.Facts{}))
		return
	}
	if !e.Touched.IsZero() && t.now.Sub(e.Touched) > longAway {
		// "Sorry, been away" is no answer, but no riddle either.
		c := t.chat(e.Chat)
		t.put(e, t.word(wording.HelloAgain, wording.Facts{Name: c.Name, Car: carName(e)}))
		return
	}
	t.put(e, t.word(t.unfollowed(e, q, text), wording.Facts{}))
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
	keys = slices.DeleteFunc(keys, func(k string) bool { return slices.Contains(r.Wants, k) && !slices.Contains(said, k) })
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
	e.Answers[q.id] = answer
	e.Trail = append(e.Trail, q.id)
	e.Unsure = slices.DeleteFunc(e.Unsure, func(id string) bool { return id == q.id })
	e.Pending = nil
	e.Rev++
	e.At = ""
	if q.took != nil {
		if words := q.took(t, e); words != "" {
			return words
		}
	}
	return echo
}

// back takes the last answer back and asks it again.
func (t *turn) back(e *Enquiry) {
	if len(e.Trail) == 0 {
		t.put(e, t.word(wording.BackAtStart, wording.Facts{}))
		return
	}
	words := ""
	if t.takeBack(e) == askHeard {
		words = t.word(wording.Unheard, wording.Facts{})
	}
	t.put(e, words)
}

// takeBack takes the last answer back, with what followed from it, and returns
// its question.
func (t *turn) takeBack(e *Enquiry) string {
	last := e.Trail[len(e.Trail)-1]
	e.Trail = e.Trail[:len(e.Trail)-1]
	e.Pending = nil
	e.At = ""
	e.Spoken = 0
	e.Rev++
	if last == askHeard {
		t.unhear(e)
		return last
	}
	delete(e.Answers, last)
	if q := t.find(last); q != nil && q.undo != nil {
		q.undo(t, e)
	}
	return last
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
	return len(r.When) > 0 && len(r.Wants)+len(r.Excludes)+len(r.Tasks)+len(r.Hints)+len(r.Asks)+len(r.Vehicles) == 0 && r.Budget.Kind == "" && r.Place == (reading.Place{})
}

// meant tells whether the words are one of the ways of saying an option.
func (t *turn) meant(said string, o option) bool {
	return slices.ContainsFunc(o.typed, func(w string) bool { return wording.Plain(w) == said })
}
