package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
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

// lasts says how long what is put on lasts, for whoever asks that: of what they name, and
// else of all that wears off in the price, or that they want put on before there is one.
// Empty if that is nothing, or they ask nothing of the kind.
func (t *turn) lasts(e *Enquiry, text string) string {
	if t.Reader == nil || !t.asksLasting(text) {
		return ""
	}
	on := e.Answers[askWants]
	if e.priceKnown() {
		on = e.Quote.Tasks
	} else {
		r := t.heardIn(text)
		on = slices.Concat(on, t.asksFor(r), r.Tasks)
	}
	said := " " + t.spelled(text) + " "
	named := func(p pricing.Protection) bool { // "paint sealant", or the sealant
		words := strings.Fields(wording.Plain(p.Words))
		return len(words) > 0 && strings.Contains(said, " "+words[len(words)-1]+" ")
	}
	var own, ours, theirs []string // of the price, those of it that are named, those named besides
	for _, p := range t.Rules.Protections() {
		task, ok := t.Rules.Task(p.ID)
		if !ok {
			continue
		}
		switch in := slices.Contains(on, p.ID); {
		case in && named(p):
			ours = append(ours, task.Words)
		case named(p):
			theirs = append(theirs, task.Words)
		case in:
			own = append(own, task.Words)
		}
	}
	for _, lines := range [][]string{ours, theirs} {
		if len(lines) > 0 {
			return strings.Join(lines, ". ")
		}
	}
	return strings.Join(own, ". ")
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
