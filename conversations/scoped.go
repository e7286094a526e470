package conversations

import (
	"fmt"
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// scoped is what was asked for as far as the price has it, with what of it was left out:
// nobody is to read a promise in a summary that the money did not reach.
func (t *turn) scoped(e *Enquiry) string {
	q := e.Quote
	switch spared := t.sparedNames(e); {
	case q == nil && len(spared) > 0:
		return t.word(wording.ScopeWithout, wording.Facts{Text: t.wanted(e), Items: spared})
	case q == nil, len(q.Tasks) == 0, q.NeedSee != "", q.Refused != "":
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
	if left = slices.Concat(left, t.sparedNames(e)); len(left) == 0 {
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

// wholeCosts is what all of it would come to, for whoever asks what something costs that
// their figure has left out; empty if the price has it already.
func (t *turn) wholeCosts(e *Enquiry, text string) string {
	if e.Quote == nil || e.Quote.Budget == 0 || e.Quote.NeedSee != "" || e.Quote.Refused != "" || t.Reader == nil {
		return ""
	}
	left := func(w string) bool { return e.has(askWants, w) && !t.holdsWant(e.Quote.Tasks, w) }
	asked := slices.DeleteFunc(t.asksFor(t.heardIn(text)), func(w string) bool { return !left(w) })
	if len(asked) == 0 {
		return ""
	}
	whole := t.priced(e)
	whole.Budget = 0
	all, err := t.quoted(whole)
	if err != nil {
		t.fail(fmt.Errorf("conversations: the whole price of enquiry %s: %w", e.ID, err))
		return ""
	}
	words := t.word(wording.WholeCosts, wording.Facts{Likely: t.pounds(int64(all.Price.Likely)), Most: t.pounds(int64(all.Price.High))})
	return joinLines(t.stretches(e, asked), words)
}
