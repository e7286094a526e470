package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// How long what is put on lasts, for whoever asks: from the rules, wherever they ask it.

// asksLasting tells whether a text asks how long something lasts: "how long does it keep",
// "will it last six months".
func (t *turn) asksLasting(text string) bool {
	said := t.spelled(text)
	if !t.speaksOf(said, wording.SayLasts) {
		return false
	}
	return t.speaksOf(said, wording.SayHowLong) || slices.ContainsFunc(sentences(text), func(s string) bool {
		return t.isQuestion(strings.TrimSpace(s)) && t.speaksOf(t.spelled(s), wording.SayLasts) && t.speaksOf(t.spelled(s), wording.SayHowManyMonths)
	})
}

// lasts says how long what is put on lasts, for whoever asks that of the price: of what
// they name, and else of all that wears off. Before there is a price it is of what they
// want put on. Empty if nothing is, or they ask nothing of the kind.
func (t *turn) lasts(e *Enquiry, text string) string {
	if t.Reader == nil || !t.asksLasting(text) {
		return ""
	}
	var on, all []string
	if e.priceKnown() {
		on = e.Quote.Tasks
	} else {
		r := t.heardIn(text)
		on = slices.Concat(e.Answers[askWants], t.asksFor(r), r.Tasks)
	}
	for _, id := range on {
		if _, wears := t.Rules.Protection(id); wears {
			if task, ok := t.Rules.Task(id); ok && !slices.Contains(all, task.Words) {
				all = append(all, task.Words)
			}
		}
	}
	if named := t.naming(t.spelled(text), all); len(named) > 0 {
		all = named
	}
	return strings.Join(all, ". ")
}

// itLasts answers that, and passes on what is asked in the same breath and will not be said
// anyway.
func (t *turn) itLasts(e *Enquiry, text string) string {
	said := t.word(wording.LastsLater, wording.Facts{})
	if lasts := t.lasts(e, text); lasts != "" {
		said = t.word(wording.ItLasts, wording.Facts{Text: lasts})
	}
	for _, s := range sentences(strings.ReplaceAll(text, ", ", ". ")) {
		s = strings.TrimSpace(s)
		if t.isQuestion(s) && !t.asksLasting(s) && !t.speaksOf(t.spelled(s), wording.SayHowLong) && !t.asksWhatComes(s) {
			t.tellBoss(wording.OwnerAsks, e, text, pressAnswer)
			return said + " " + t.word(wording.AskedToo, wording.Facts{})
		}
	}
	return said
}
