package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
)

// A question behind an answer, or before it: "about 7 miles. How long does it take?" The
// answer is read without it, and what the desk is about to say anyway is said to come.

// later is a text that asks, whatever else it says, what the desk is about to say anyway, and
// the revision of the enquiry before it was read.
type later struct {
	text string
	rev  int
}

// asksLater is what a text at a question asks of that; its text is empty if it asks nothing of
// the kind. Where there is a price, its own questions answer for it, and times are answered by
// those that are free.
func (t *turn) asksLater(e *Enquiry, q *question, text string) later {
	if t.Reader == nil || isGuest(e.Chat) || t.event.Chat != e.Chat || t.asksForSeveral(text) {
		return later{}
	}
	long := t.speaksOf(t.spelled(text), wording.SayHowLong) && t.lasts(e, text) == ""
	asks := t.heardIn(text).Asks
	switch {
	case !slices.Contains(asks, "price") && !slices.Contains(asks, "time"):
		return later{}
	case !long && (q.id == askQuote || q.id == askBudget || q.id == askSlot || e.answer(askQuote) != ""):
		return later{}
	}
	return later{text, e.Rev}
}

// saysLater is what there is to say, before a question, to somebody who asked for it in the
// words of an answer; empty where they have not, or the question says it.
func (t *turn) saysLater(e *Enquiry, q *question) string {
	asked := t.later
	if asked.text == "" || q.id == askQuote || asked.rev == e.Rev || e.Chat != t.event.Chat {
		return ""
	}
	return t.inAMoment(e, asked.text)
}

// lessAsked is a text without what of it only asks, where it says something else as well:
// what is passed on or about to be said is no part of an answer.
func (t *turn) lessAsked(text string) string {
	var told []string
	for _, s := range sentences(text) {
		head := t.beforeAsked(s)
		switch asked := strings.TrimSpace(s[len(head):]); {
		case asked == "" || !t.onlyAsks(asked):
			told = append(told, s)
		case head != "":
			told = append(told, head)
		}
	}
	if left := strings.TrimRight(strings.TrimSpace(strings.Join(told, " ")), " ,;-–"); left != "" {
		return left
	}
	if t.asksHandover(text) || t.asksForSeveral(text) {
		return "" // "the evening before" is no time they would like
	}
	return text
}

// asksForSeveral tells whether a text asks for money off because there is more than one car:
// "any discount for two cars?" What that is worth only the boss can say.
func (t *turn) asksForSeveral(text string) bool {
	if t.Reader == nil || !t.speaksOf(t.spelled(text), wording.SayDiscount) {
		return false
	}
	return t.heardIn(text).Cars > 1 || t.speaksOf(t.spelled(text), wording.SaySeveralCars)
}

// beforeAsked is what stands before the question in a sentence: "about 7 miles, " of "about 7
// miles, how long does it take?", all of it if it asks nothing.
func (t *turn) beforeAsked(sentence string) string {
	asks, and := t.typed(wording.SayAsks), t.typed(wording.SayAnd)
	for i, r := range sentence {
		if i > 0 && r != ',' && r != '-' && r != '–' {
			continue
		}
		words := strings.Fields(wording.Plain(sentence[i:]))
		for len(words) > 0 && slices.Contains(and, words[0]) {
			words = words[1:]
		}
		if len(words) > 2 && (longestOf(asks, words) > 0 || i > 0 && t.asksForSeveral(sentence[i:])) {
			return sentence[:i]
		}
	}
	if t.isQuestion(strings.TrimSpace(sentence)) || t.asksForSeveral(sentence) {
		return ""
	}
	return sentence
}

// onlyAsks tells whether a sentence asks something, and says nothing that could be an answer.
func (t *turn) onlyAsks(sentence string) bool {
	if t.asksForSeveral(sentence) {
		return true
	}
	if !t.isQuestion(sentence) {
		return false
	}
	if t.asksHandover(sentence) {
		return true
	}
	r := t.heardIn(sentence)
	asks := func(name string) bool { return slices.Contains(r.Asks, name) }
	return (asks("other") || asks("time") || asks("price")) && len(r.When)+len(r.Vehicles) == 0 && r.Budget.Kind == "" && r.Place == (reading.Place{}) &&
		(asks("other") || len(r.Wants)+len(r.Tasks)+len(r.Excludes)+len(r.Hints) == 0)
}

// asksHandover tells whether a text asks to bring the car, or fetch it, at a time that is not
// that of the work: "can I drop it the night before?" Only the boss knows who is there then.
func (t *turn) asksHandover(text string) bool {
	return slices.ContainsFunc(sentences(text), func(s string) bool {
		said := t.spelled(s)
		return t.speaksOf(said, wording.SayHandover) && t.speaksOf(said, wording.SayOutOfHours) && t.isQuestion(strings.TrimSpace(s))
	})
}

// bringsIt takes from such a question that they would bring the car.
func (t *turn) bringsIt(w *reply) {
	if !t.asksHandover(w.text) {
		return
	}
	h := &heard{turn: t, e: w.e, text: w.text, r: t.heardIn(w.text)}
	h.place()
	h.keep()
	t.beside = strings.TrimPrefix(t.understood(h.said)+"\n\n"+t.beside, "\n\n")
}
