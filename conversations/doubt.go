package conversations

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// mostDoubts is how many conditions are asked about at most. They come in the
// order of what they tell about the price; past these few a wider range is kinder
// than another question.
const mostDoubts = 5

// doubt is the condition most worth asking about next, empty if none is: the
// range is narrow enough, nothing left would move the price by a step, or the
// customer has heard enough questions.
func (t *turn) doubt(e *Enquiry) string {
	asked := 0
	for q, a := range e.Answers {
		if strings.HasPrefix(q, askCond) {
			if slices.Contains(e.Trail, q) { // what was said unasked costs nobody a tap
				asked++
			}
			if a[0] == choiceTell {
				return ""
			}
		}
	}
	if asked >= mostDoubts || e.Renews != "" && asked > 0 {
		return ""
	}
	if !t.quote(e) || e.Quote.Refused != "" || e.Quote.NeedSee != "" {
		return "" // no answer would bring a price
	}
	if e.ByHand.priced() {
		return "" // nor move the owner's
	}
	next, err := t.nextQuestions(t.priced(e))
	if err != nil {
		t.fail(fmt.Errorf("conversations: what to ask about enquiry %s: %w", e.ID, err))
		return ""
	}
	for _, q := range next.Ask { // what they have told of is asked, whatever it moves
		if id := askCond + string(q.Area); slices.Contains(e.Tells, q.Area) && e.answer(id) == "" {
			return id
		}
	}
	if next.Enough {
		return ""
	}
	for _, q := range next.Ask {
		if q.Moves < t.Rules.Money.RoundTo {
			return ""
		}
		if id := askCond + string(q.Area); e.answer(id) == "" {
			return id
		}
	}
	return ""
}

func putCondition(a pricing.AreaRule) func(*turn, *Enquiry) prompt {
	return func(t *turn, e *Enquiry) prompt {
		ask := a.Ask
		if slices.Contains(e.Tells, a.ID) {
			ask = cmp.Or(a.AskTold, ask)
		}
		var p prompt
		var lines []string
		for i, d := range a.Grades {
			n := string(rune('1' + i))
			lines = append(lines, n+" – "+d)
			o := option{key: n, label: n, typed: []string{n, d}}
			if i == 0 && a.OnlyIfTold {
				o.typed = append(o.typed, t.typed(wording.SayNone)...)
			}
			p.options = append(p.options, o)
		}
		unsure := t.choose(choiceUnsure, wording.LabelNotSure)
		tell := t.choose(choiceTell, wording.LabelJustPrice)
		tell.own = true
		p.options = append(p.options, unsure, tell)
		p.text = t.word(wording.AskCondition, wording.Facts{Question: ask, Items: lines})
		return p
	}
}

// readGrade takes what somebody writes about an area for one of its grades, where
// that is clear.
func readGrade(a pricing.Area) func(*turn, *Enquiry, string) ([]string, bool) {
	return func(t *turn, _ *Enquiry, text string) ([]string, bool) {
		if t.Reader == nil {
			return nil, false
		}
		g := t.heardIn(text).Grades[a]
		if g == 0 {
			g = t.numberedGrade(text)
		}
		return []string{strconv.Itoa(int(g))}, g > 0
	}
}

// gradeInWords puts a grade that was read out of words back with its own: a number alone
// says nothing to who has not named it. Any other answer has its echo.
func (t *turn) gradeInWords(q *question, answer []string, echo string) string {
	of, ok := strings.CutPrefix(q.id, askCond)
	area, known := t.Rules.Area(pricing.Area(of))
	n, err := strconv.Atoi(answer[0])
	if !ok || !known || err != nil || n < 1 || n > len(area.Grades) {
		return echo
	}
	return echo + " – " + area.Grades[n-1]
}

// numberedGrade is the grade a text names by its number, with nothing beside it but
// words that make it rough: "3 prob", "a 2 I think"; 0 if it says anything else.
func (t *turn) numberedGrade(text string) (found pricing.Grade) {
	rough := t.typed(wording.SayRoughly)
	for _, w := range strings.Fields(wording.Plain(text)) {
		n, err := strconv.Atoi(w)
		switch {
		case err != nil && slices.Contains(rough, w):
			continue
		case err != nil, n < int(pricing.Light), n > int(pricing.Severe), found != 0:
			return 0
		}
		found = pricing.Grade(n)
	}
	return found
}
