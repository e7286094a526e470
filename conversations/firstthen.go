package conversations

import (
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Many answer and go on: "2. actually do the inside as well", "no. is it ok if there's a
// child seat". The answer counts, and what stands beside it is heard as well.

// answeredFirst takes a text that answers the question on the table with a number or a
// first clause and says something else beside it. It reports whether it was that.
func (t *turn) answeredFirst(e *Enquiry, q *question, p prompt, text string) bool {
	choice, rest, ok := t.firstClause(e, q, p, text)
	if of, isCond := strings.CutPrefix(q.id, askCond); isCond && !ok {
		choice, rest, ok = t.gradeAmid(text)
		ok = ok && (aloneFirst(text) || !t.tellsOfOther(pricing.Area(of), rest))
	}
	if !ok {
		return false
	}
	t.asksBeside(e, text)
	answer, said := []string{choice}, labels(p, []string{choice})
	if q.several {
		if answer = inOrder(p, e.Pending); len(answer) == 0 {
			answer = []string{choiceDone}
		}
		said = labels(p, answer)
	}
	lead := t.takeIn(e, q, answer, echo(said))
	t.put(e, joinLines(lead, t.beyond(e, rest, text)))
	return true
}

// firstClause is the choice that the first clause of a text names and nothing behind it
// puts in doubt, with what stands behind it.
func (t *turn) firstClause(e *Enquiry, q *question, p prompt, text string) (choice, rest string, ok bool) {
	if !q.oneWay {
		return "", "", false
	}
	first, rest, ok := cutAny(text, ".;!\n")
	if !ok || len(strings.Fields(rest)) < 2 {
		first, rest, ok = cutAny(text, ",")
	}
	if !ok || len(strings.Fields(rest)) < 2 || t.Reader != nil && len(t.heardIn(rest).Flags) > 0 {
		return "", "", false
	}
	o, ok := bare(p, first)
	if !ok {
		o, ok = t.allOfOne(p, first)
	}
	if !ok && q.id == askDrain { // "drain. is the engine included?"
		var answer []string
		answer, ok = readDrain(t, e, first)
		o = option{key: answer[0]}
	}
	if !ok || slices.Contains(noAnswer, o.key) {
		return "", "", false
	}
	if q.several {
		return o.key, rest, o.key == choiceDone && (len(e.Pending) > 0 || q.orNone) && len(pickSeveral(p, rest)) == 0
	}
	other, spoken := t.pick(p, rest)
	return o.key, rest, !spoken || other.key == o.key
}

// allOfOne is the only option of which a text is made.
func (t *turn) allOfOne(p prompt, text string) (found option, ok bool) {
	hits := 0
	for _, o := range p.options {
		if t.allOf(text, o.typed) {
			found = o
			hits++
		}
	}
	return found, hits == 1
}

// cutAny cuts a text at the first of some signs.
func cutAny(text, signs string) (before, after string, ok bool) {
	i := strings.IndexAny(text, signs)
	if i < 0 {
		return text, "", false
	}
	return strings.TrimSpace(text[:i]), strings.TrimSpace(text[i+1:]), true
}

// joinLines puts what there is of two lines under each other.
func joinLines(a, b string) string {
	return strings.Trim(a+"\n"+b, "\n")
}

// gradeAmid is the number of a description that stands in a text with more beside it,
// where it can be nothing else, and the text without it: "mud everywhere, 4", "2 like I
// said", but not "2 dogs".
func (t *turn) gradeAmid(text string) (grade, rest string, ok bool) {
	const stops = ".,;:!?-–()\n"
	words := strings.Fields(text)
	if len(words) < 2 || t.numberedGrade(text) > 0 {
		return "", "", false
	}
	at := -1
	for i, w := range words {
		if !strings.ContainsAny(w, "0123456789") {
			continue
		}
		n, err := strconv.Atoi(strings.Trim(w, stops))
		if err != nil || n < int(pricing.Light) || n > int(pricing.Severe) {
			if at == 0 && strings.ContainsAny(words[0], stops) {
				continue // "2. it's 10 years old"
			}
			return "", "", false
		}
		if at >= 0 {
			return "", "", false
		}
		at = i
	}
	if at < 0 {
		return "", "", false
	}
	for i := at - 1; i >= max(0, at-2) && !strings.ContainsAny(words[i], stops); i-- {
		if slices.Contains(t.typed(wording.SayWithout), wording.Plain(words[i])) {
			return "", "", false // "not a 3"
		}
	}
	beside := func(i int, k wording.Key) bool { return slices.Contains(t.typed(k), wording.Plain(words[i])) }
	left := at == 0 || strings.ContainsAny(words[at-1][len(words[at-1])-1:], stops) || beside(at-1, wording.SayBeforeNumber)
	right := at == len(words)-1 || strings.ContainsAny(words[at][1:], stops) || beside(at+1, wording.SayAfterNumber)
	rest = strings.Join(slices.Concat(words[:at], words[at+1:]), " ")
	return strings.Trim(words[at], stops), strings.Trim(rest, " ,;-–"), left && right
}

// aloneFirst tells whether a text begins with a number and a stop, which is the answer whatever
// is said behind it: "3, sour milk mostly".
func aloneFirst(text string) bool {
	text = strings.TrimSpace(text)
	return len(text) > 1 && text[0] >= '1' && text[0] <= '4' && strings.ContainsAny(text[1:2], ".,;:")
}

// tellsOfOther tells whether a text says how bad something is that is not asked about, so
// that a number beside it may be meant of that: "4 stinks of dog", where mould is asked
// about.
func (t *turn) tellsOfOther(area pricing.Area, text string) bool {
	rule, _ := t.Rules.Area(area)
	if t.Reader == nil || !rule.OnlyIfTold {
		return false
	}
	said := t.heardIn(text).Grades
	return len(said) > 0 && said[area] == 0
}

// beyond takes what stands in a text beside an answer, and returns what there is to say of
// it. What is a question goes to the boss with the whole text, and what nobody understood
// is kept for him.
func (t *turn) beyond(e *Enquiry, rest, text string) string {
	if t.beside != "" {
		rest = t.lessAsked(rest)
	}
	if said, ok := t.rethought(e, rest); ok {
		return t.understood(said)
	}
	rev := e.Rev
	said := t.hear(e, rest)
	if e.Rev != rev {
		return t.understood(said)
	}
	switch q := t.next(e); {
	case t.beside != "":
	case t.asksWhatComes(rest):
		if q == nil || q.id != askQuote {
			return t.inAMoment(e, rest)
		}
	case t.isQuestion(rest) && !isGuest(e.Chat) && t.event.Chat == e.Chat:
		t.tellBoss(wording.OwnerAsks, e, text, pressAnswer)
		return t.word(wording.AskedBoss, wording.Facts{})
	case t.allOf(rest, t.typed(wording.SayWelcome)): // "yes, a reminder would be good"
	case t.notes(e, rest), t.tellsAnything(rest) && t.notes(e, text):
		return t.word(wording.NotedDown, wording.Facts{})
	}
	return ""
}

// tellsAnything tells whether there is more in a text than small and friendly words: the juice
// of "2, juice i think".
func (t *turn) tellsAnything(text string) bool {
	small := slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayRoughly), t.typed(wording.SayAnd), t.typed(wording.SayPleased),
		t.typed(wording.SayAsISaid), t.typed(wording.LabelNotSure), t.typed(wording.SayBeforeNumber), t.typed(wording.SayAfterNumber))
	all, _ := usedUp(strings.Fields(wording.Plain(text)), func(left []string) (int, bool) { return longestOf(small, left), false })
	return !all
}

// comesNearest is the description that words for an area come nearest to, where they
// name none of its own: "its filthy", "mud up the sides"; 0 if they tell nothing of it. It
// is said back, so that it can be corrected.
func (t *turn) comesNearest(q *question, text string) (g pricing.Grade, words string) {
	of, ok := strings.CutPrefix(q.id, askCond)
	area, known := t.Rules.Area(pricing.Area(of))
	if !ok || !known || t.Reader == nil || t.isQuestion(text) {
		return 0, ""
	}
	r := t.heardIn(text)
	g = r.Nearest[area.ID]
	if r.Grades[area.ID] > 0 || g == 0 {
		return 0, ""
	}
	return g, t.word(wording.NearestGrade, wording.Facts{Count: int(g), Text: area.Grades[g-1]})
}
