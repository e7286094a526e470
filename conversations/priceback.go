package conversations

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What people write under a price about the one they were named before it, and about what
// makes it what it is.

// poundsIn are the figures in a text, in pence.
func poundsIn(text string) (out []int64) {
	for _, m := range figures.FindAllStringSubmatch(text, -1) {
		if p, err := pricing.ParsePence(strings.ReplaceAll(m[1], ",", "")); err == nil {
			out = append(out, int64(p))
		}
	}
	return out
}

// says tells whether a sum is one of the two a price was named with.
func (r *Rested) says(sum int64) bool {
	return r != nil && r.Likely > 0 && (sum == r.Likely || sum == r.High)
}

// wasSum is the figure of the price before this one that a text names, 0 if it names none.
func (t *turn) wasSum(e *Enquiry, text string) int64 {
	for _, sum := range poundsIn(text) {
		if e.Was.says(sum) && sum != e.Quote.Likely && sum != e.Quote.High {
			return sum
		}
	}
	return 0
}

// backToWas tells whether a text wants the price before this one, by its figure: "back to the
// 120 one". That is no figure to stay under, and no car.
func (t *turn) backToWas(e *Enquiry, text string) bool {
	if e.Quote == nil {
		return false
	}
	sum, said := t.wasSum(e, text), t.spelled(text)
	if sum == 0 {
		return false
	}
	one := regexp.MustCompile(`\b` + strconv.FormatInt(sum/100, 10) + ` (?:one|list|price|version)\b`)
	return !t.isQuestion(text) && (t.speaksOf(said, wording.SayBackTo) || one.MatchString(said))
}

// asksOfWas tells whether a text asks why the price is another than it was: "why 125 now, it
// was 120".
func (t *turn) asksOfWas(e *Enquiry, text string) bool {
	return t.wasSum(e, text) > 0 && (t.speaksOf(t.spelled(text), wording.LabelWhy) || t.asksHowCome(text))
}

// whyOther says what the price rested on before, and what moves this one.
func (t *turn) whyOther(e *Enquiry, text string) string {
	e.Pending = slices.Concat(e.Was.Answers[askWants], e.Answers[askWants]) // so that what is not offered has its words too
	p := putWants(t, e)
	e.Pending = nil
	f := wording.Facts{Low: t.pounds(t.wasSum(e, text)), Likely: t.pounds(e.Quote.Likely),
		Earlier: strings.Join(labels(p, e.Was.Answers[askWants]), ", "), Text: strings.Join(labels(p, e.Answers[askWants]), ", ")}
	return t.word(wording.WasPrice, f) + "\n\n" + t.whyPrice(e)
}

// wantsAsBefore tells whether what is wanted now is what was wanted at the price before this
// one, with nothing answered otherwise since: that price was named for it, and stands.
func (t *turn) wantsAsBefore(e *Enquiry, now []string) bool {
	if e.Was == nil || !slices.Equal(slices.Sorted(slices.Values(now)), slices.Sorted(slices.Values(e.Was.Answers[askWants]))) {
		return false
	}
	for q, a := range e.Was.Answers {
		if q != askWants && !slices.Equal(a, e.Answers[q]) {
			return false
		}
	}
	return e.answer(askBudget) == "" || len(e.Was.Answers[askBudget]) > 0
}

// asksHowCome tells whether a text asks what makes the price so high, and names no figure of
// its own: "bit steep?? how come".
func (t *turn) asksHowCome(text string) bool {
	const most = 10 // words
	said := t.spelled(text)
	return len(strings.Fields(said)) <= most && t.speaksOf(said, wording.SayHowCome)
}

// readsBack tells whether a text says the price over again to have it confirmed, with nothing
// that is not in it: "so is that 120 with the proofing?"
func (t *turn) readsBack(e *Enquiry, text string) bool {
	said := t.spelled(text)
	if !t.repeatsPrice(e, text) || !t.speaksOf(said, wording.SayIsThat) || t.asksHowCome(text) ||
		t.speaksOf(said, wording.LabelWhy) || t.speaksOf(said, wording.LabelFit) {
		return false
	}
	return !slices.ContainsFunc(t.asksFor(t.heardIn(text)), func(w string) bool {
		return !slices.Contains(e.Answers[askWants], w) && !slices.Contains(e.Quote.Tasks, w)
	})
}
