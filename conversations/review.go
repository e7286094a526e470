package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// pressReview is the question name of the buttons under what has been answered so
// far; each carries the question it opens again.
const pressReview = "review"

// given is one answer as it is put before the customer.
type given struct {
	question string
	label    string
	words    string
}

// given are the answers so far that can be changed, in the order of the form.
func (t *turn) given(e *Enquiry) []given {
	var out []given
	for _, q := range form {
		if q.id == askCond {
			out = append(out, t.gradesGiven(e)...)
			continue
		}
		if _, ok := e.Answers[q.id]; !ok || q.told == nil {
			continue
		}
		if words := q.told(t, e); words != "" {
			out = append(out, given{q.id, t.label(q.label), words})
		}
	}
	return out
}

// gradesGiven are the descriptions that were chosen.
func (t *turn) gradesGiven(e *Enquiry) (out []given) {
	for _, a := range t.Rules.Areas() {
		q := askCond + string(a.ID)
		if ans := e.answer(q); ans != "" && ans != choiceTell {
			if _, words, _ := strings.Cut(t.grading(a, ans), ": "); words != "" {
				out = append(out, given{q, a.Name, words})
			}
		}
	}
	return out
}

func carTold(_ *turn, e *Enquiry) string {
	if car := carName(e); car != "" {
		return car
	}
	return e.answer(askVehicle)
}

func sumTold(_ *turn, e *Enquiry) string {
	if b := budgetOf(e); b > 0 {
		return b.String()
	}
	return ""
}

func hazardsTold(t *turn, e *Enquiry) string {
	words := labels(putHazards(t, e), e.Answers[askHazards])
	if len(words) == 1 && e.has(askHazards, choiceDone) {
		words = []string{t.label(wording.LabelNothingLikeThat)}
	}
	if slices.Contains(e.Unsure, askHazards) {
		words = []string{t.label(wording.LabelNotSure)}
	}
	return strings.TrimSuffix(strings.Join(words, ", "), " ›")
}

func timeTold(t *turn, e *Enquiry) string {
	if e.Slot == nil {
		return ""
	}
	return t.Words.Moment(e.Slot.Start.In(t.Zone))
}

func reminderTold(t *turn, e *Enquiry) string {
	return strings.Join(labels(putConsent(t, e), e.Answers[askConsent]), ", ")
}

// review shows what has been answered, each to be changed with a tap.
func (t *turn) review(e *Enquiry) {
	all := t.given(e)
	if len(all) == 0 {
		t.put(e, t.word(wording.BackAtStart, wording.Facts{}))
		return
	}
	var f wording.Facts
	var rows [][]bot.Choice
	var row []bot.Choice
	for _, g := range all {
		f.Items = append(f.Items, g.label+": "+g.words)
		row = append(row, bot.Choice{Label: g.label, Data: press{e.ID, e.Rev, pressReview, g.question}.data()})
		if len(row) == 2 {
			rows, row = append(rows, row), nil
		}
	}
	if row != nil {
		rows = append(rows, row)
	}
	rows = append(rows, []bot.Choice{{Label: t.label(wording.LabelAllRight), Data: press{e.ID, e.Rev, pressReview, choiceKeep}.data()}})
	e.Reviewed = e.Rev + 1
	t.tell(e.Chat, wording.Review, f, rows...)
}

// namesGiven opens the answer whose name was typed instead of tapped, "car", if what can be
// changed has just been shown. It reports whether one was.
func (t *turn) namesGiven(e *Enquiry, text string) bool {
	if e.Reviewed != e.Rev+1 {
		return false
	}
	if t.saysJust(text, slices.Concat(t.typed(wording.LabelAllRight), t.typed(wording.SayNo))) {
		e.Reviewed = 0
		t.put(e, t.word(wording.RightYouAre, wording.Facts{}))
		return true
	}
	change := slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayRoughly), t.typed(wording.SayChange))
	for _, g := range t.given(e) {
		words := strings.Fields(wording.Plain(text))
		all, found := usedUp(words, func(left []string) (int, bool) {
			if n := longestOf([]string{g.label}, left); n > 0 {
				return n, true
			}
			return longestOf(change, left), false
		})
		if all && found {
			t.change(e, g.question)
			return true
		}
	}
	return false
}

// revise takes one answer back, to be given anew, with what rests on it.
func (t *turn) revise(e *Enquiry, question string) {
	priced := placeOf(question) < placeOf(askQuote) // a condition, which is at -1, comes before the price as well
	for _, q := range restingOn(question) {
		t.forget(e, q)
	}
	if priced {
		t.retract(e, askQuote)
		t.release(e)
		t.retract(e, askSlot)
		e.Spread, e.Gap = false, false
	}
	e.Pending = nil
	e.At = ""
	e.Rev++
}

// reviewPressed takes a press under the review.
func (t *turn) reviewPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if !e.open() || p.rev != e.Rev {
		t.stale(c, e, p)
		return
	}
	t.takeOff(w)
	if p.choice == choiceKeep || !slices.ContainsFunc(t.given(e), func(g given) bool { return g.question == p.choice }) {
		t.put(e, "")
		return
	}
	t.change(e, p.choice)
}
