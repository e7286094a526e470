package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// "Same again in June?" after a job is the same car, place and work once more, and the month
// is the wish for the day: only what may have changed is asked.

// sameAgain takes a text that asks for what was done last, and reports whether it was one.
// Who names another car or work asks for that.
func (t *turn) sameAgain(c *Chat, text string) bool {
	said := wording.Plain(text)
	if t.Reader == nil || !t.speaksOf(said, wording.SaySameAgain) || t.speaksOf(said, wording.SayNotAgain) {
		return false
	}
	last := t.lastOf(c, text)
	if last == nil {
		return false
	}
	other := func(want string) bool { return !slices.Contains(last.Answers[askWants], want) }
	if r := t.heardIn(text); len(r.Hints)+len(r.Tasks) > 0 || slices.ContainsFunc(r.Wants, other) {
		return false
	}
	next := t.begin(c)
	next.First = opening(text, leastState)
	next.Car, next.Place, next.Address, next.Renews = last.Car, last.Place, last.Address, renewsAsks
	comesAgain(last, next)
	next.Answers[askWants] = slices.Clone(last.Answers[askWants])
	next.Named = slices.Clone(last.Named)
	for _, of := range last.Named { // what is there whenever they come: the dog's hair
		if a, ok := last.Answers[askCond+of]; ok {
			next.Answers[askCond+of] = slices.Clone(a)
		}
	}
	if budgetOf(last) > 0 { // for the same money, too
		next.Answers[askBudget] = slices.Clone(last.Answers[askBudget])
	}
	next.Trail = []string{askWants}
	t.asksBeside(next, t.besideAgain(text))
	lead := t.word(wording.SameAgain, wording.Facts{Car: carName(last), Text: t.wanted(next) + ". " + t.whereTo(next)})
	heard := t.understood(t.hear(next, text))
	if after := t.afterAgain(text); heard == "" && t.suits(next, after) {
		heard = t.understood([]string{after})
	}
	if heard != "" {
		lead += "\n\n" + heard
	}
	t.put(next, lead)
	return true
}

// lastOf is the last job done for a customer, of the car that a text names if it names one;
// nil if there was none.
func (t *turn) lastOf(c *Chat, text string) (last *Enquiry) {
	r := t.heardIn(text)
	v := r.Vehicle()
	for _, e := range t.jobs(c) {
		named := e.Car != nil && (v == nil || v.Car != nil && *v.Car == *e.Car || slices.Contains(v.Ambiguous, *e.Car))
		if named && len(e.Answers[askWants]) > 0 {
			last = e
		}
	}
	return last
}

// afterAgain is what stands behind the words for the same again: "in June", of "lovely job,
// same again in June?".
func (t *turn) afterAgain(text string) string {
	words := strings.Fields(wording.Plain(text))
	for i := range words {
		if n := longestOf(t.typed(wording.SaySameAgain), words[i:]); n > 0 {
			return strings.Join(words[i+n:], " ")
		}
	}
	return ""
}

// besideAgain is a text without the sentence that asks for the same again.
func (t *turn) besideAgain(text string) (rest string) {
	for _, s := range strings.SplitAfter(strings.NewReplacer("? ", "?\n", ". ", ".\n", "! ", "!\n").Replace(text), "\n") {
		if !t.speaksOf(wording.Plain(s), wording.SaySameAgain) {
			rest += s
		}
	}
	return rest
}
