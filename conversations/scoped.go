package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// scoped is what was asked for as far as the price has it, with what of it was left out:
// nobody is to read a promise in a summary that the money did not reach.
func (t *turn) scoped(e *Enquiry) string {
	q := e.Quote
	if q == nil || len(q.Tasks) == 0 || q.NeedSee != "" || q.Refused != "" {
		return t.wanted(e)
	}
	p := putWants(t, e)
	var kept, left []string
	for _, key := range inOrder(p, e.Answers[askWants]) {
		label := labels(p, []string{key})
		if t.holdsWant(q.Tasks, key) {
			kept = append(kept, label...)
		} else {
			left = append(left, label...)
		}
	}
	if len(left) == 0 {
		return t.wanted(e)
	}
	if len(kept) == 0 { // then what is in it says so itself
		const most = 2
		kept = short(q.Main[:min(most, len(q.Main))])
	}
	return t.word(wording.ScopeWithout, wording.Facts{Text: firstUpper(strings.Join(kept, ", ")), Items: short(left)})
}

// holdsWant tells whether some of the work that is agreed answers a want.
func (t *turn) holdsWant(tasks []string, want string) bool {
	named, isTask := t.Rules.Task(want)
	return slices.ContainsFunc(tasks, func(id string) bool {
		task, ok := t.Rules.Task(id)
		switch {
		case !ok || task.Always:
			return false
		case id == want || task.Applies == want || len(task.For[want]) > 0:
			return true
		}
		return isTask && named.Family != "" && named.Family == task.Family && task.Level >= named.Level
	})
}

// asksWhatIsIn tells whether a text asks if something is part of the price that has been
// named: "does that include the boot?"
func (t *turn) asksWhatIsIn(e *Enquiry, text string) bool {
	return t.whatIsIn(e, text) != ""
}

// whatIsIn answers that with the lines of the price that name it; empty if none does, for
// then nobody but the boss knows.
func (t *turn) whatIsIn(e *Enquiry, text string) string {
	q := e.Quote
	if q == nil || q.NeedSee != "" || q.Refused != "" || e.At != askQuote && e.answer(askQuote) == "" || !t.isQuestion(text) {
		return ""
	}
	about := ""
	for _, sentence := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("?!.\n", r) }) {
		if t.speaksOf(wording.Plain(sentence), wording.SayIncludes) {
			about = wording.Plain(sentence)
		}
	}
	const least = 4 // letters of a word that can be looked for
	small := slices.Concat(t.typed(wording.SayIncludes), t.typed(wording.SayBeside), t.typed(wording.SayAsks), t.typed(wording.SayAnd))
	naming := func(lines []string) (found []string) {
		for _, line := range lines {
			named := " " + wording.Plain(line) + " "
			if slices.ContainsFunc(strings.Fields(about), func(w string) bool {
				return len(w) >= least && !slices.Contains(small, w) && strings.Contains(named, " "+w)
			}) {
				found = append(found, line)
			}
		}
		return found
	}
	if in := naming(q.In); len(in) > 0 {
		return t.word(wording.ItIsIn, wording.Facts{Items: in})
	}
	if out := naming(q.Out); len(out) > 0 {
		return t.word(wording.ItIsNotIn, wording.Facts{Items: out})
	}
	return ""
}
