package conversations

import (
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// "Sorry, meant 2 not 3" takes a grade back that was given just now, and "about the same as last
// time" gives the one the car had when it was here.

// meantOther takes a text that puts another grade in the place of one that was given, and
// reports whether it was that. Which of them it was is told by the number it is not, or else it
// was the last.
func (t *turn) meantOther(w *reply) bool {
	now, was := t.gradeMeant(w.text)
	if now == 0 {
		return false
	}
	for _, id := range slices.Backward(w.e.Trail) {
		g, err := strconv.Atoi(w.e.answer(id))
		q := t.find(id)
		if q == nil || !strings.HasPrefix(id, askCond) || err != nil || was > 0 && pricing.Grade(g) != was {
			continue
		}
		if pricing.Grade(g) == now {
			return false // it has that already, so the question on the table is meant
		}
		t.takesBack(w.e, id)
		answer := []string{strconv.Itoa(int(now))}
		t.acceptText(w.e, q, answer, t.gradeInWords(q, answer, echo(labels(q.ask(t, w.e), answer))), "")
		return true
	}
	return false
}

// gradeMeant is the grade a text says was meant, and the one it says was not, each 0 if there is
// none: 2 and 3 of "sorry meant 2 not 3".
func (t *turn) gradeMeant(text string) (now, not pricing.Grade) {
	const most = 9 // words
	words := strings.Fields(t.spelled(text))
	at := slices.IndexFunc(words, func(w string) bool { return slices.Contains(t.typed(wording.SayMeant), w) })
	if at < 0 || len(words) > most {
		return 0, 0
	}
	denied := false
	for _, w := range words {
		n, err := strconv.Atoi(w)
		switch {
		case slices.Contains(t.typed(wording.SayMeantNot), w):
			denied = true
			continue
		case err != nil:
			continue
		case n < int(pricing.Light) || n > int(pricing.Severe):
			return 0, 0
		case denied:
			not = pricing.Grade(n)
		case now == 0:
			now = pricing.Grade(n)
		default:
			return 0, 0
		}
		denied = false
	}
	return now, not
}

// sameState takes "about the same as last time" where the state of a car is asked for that was
// here before: the grade it was found in or told to be, or that nobody knows.
func (t *turn) sameState(w *reply) bool {
	const most = 10 // words
	of, ok := strings.CutPrefix(w.q.id, askCond)
	said := wording.Plain(w.text)
	if !ok || t.isQuestion(w.text) || len(strings.Fields(said)) > most || strings.ContainsAny(said, "0123456789") || !t.speaksOf(said, wording.SaySameState) {
		return false
	}
	var g pricing.Grade
	for _, b := range t.visitsBefore(w.e) {
		if g = t.gradeOf(b, pricing.Area(of)); g > 0 {
			break
		}
	}
	answer := []string{choiceUnsure}
	if g > 0 {
		answer = []string{strconv.Itoa(int(g))}
	}
	if !slices.ContainsFunc(w.p.options, func(o option) bool { return o.key == answer[0] }) {
		return false
	}
	t.acceptText(w.e, w.q, answer, t.gradeInWords(w.q, answer, echo(labels(w.p, answer))), "")
	return true
}
