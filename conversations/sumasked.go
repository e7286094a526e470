package conversations

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// A figure at the price that may be a question as well as what there is: it is asked
// whether to fit the work to it. So is the least a job can cost, when somebody asks for that.

// sumAsked is a figure put as a question.
var sumAsked = regexp.MustCompile(`[0-9] ?(?:quid|pounds)? ?\?`)

// asksFitTo is the figure in whole pounds that a text complains with and puts as a
// question, near what was named and not that: "thats a lot, 115?" It is empty where there
// is none, or where the figure is plainly what there is.
func (t *turn) asksFitTo(e *Enquiry, text string) string {
	said := t.spelled(text)
	complains := t.speaksOf(said, wording.LabelWhy) || t.speaksOf(said, wording.LabelFit)
	if e.Quote == nil || !complains || !sumAsked.MatchString(text) {
		return ""
	}
	figure, ok := readQuote(t, e, text)
	if !ok {
		return ""
	}
	n, err := strconv.Atoi(figure[0])
	const near = .75 // of what is likely; whoever says less than that has said what there is
	if err != nil || float64(n)*100 < near*float64(e.Quote.Likely) || int64(n)*100 == e.Quote.Likely || int64(n)*100 == e.Quote.High {
		return ""
	}
	return figure[0]
}

// asksFit says what was named, and asks whether to fit the work to another figure.
func (t *turn) asksFit(e *Enquiry, figure string) {
	e.Sum = figure
	e.Rev++
	n, _ := strconv.Atoi(figure)
	t.put(e, t.word(wording.AskFitTo, wording.Facts{Budget: t.pounds(int64(n) * 100)}))
}

// fitOption is the button for the figure they have been asked about, which a yes means.
func (t *turn) fitOption(e *Enquiry) (option, bool) {
	n, err := strconv.Atoi(e.Sum)
	if err != nil {
		return option{}, false
	}
	label := t.word(wording.FitTo, wording.Facts{Budget: t.pounds(int64(n) * 100)})
	typed := slices.Concat(t.typed(wording.SayYes), t.typed(wording.LabelGoAhead), t.typed(wording.SayAgreed))
	return option{key: e.Sum, label: label, typed: typed, own: true}, true
}

// refusesFit takes a no to that: the price stays as it was.
func (t *turn) refusesFit(e *Enquiry, text string) bool {
	if !t.speaksOf(t.spelled(text), wording.SayNo) || !t.allOf(text, slices.Concat(t.typed(wording.SayNo), t.typed(wording.SayPleased))) {
		return false
	}
	e.Sum = ""
	e.Rev++
	t.put(e, "")
	return true
}

// asksLeast tells whether a text asks for the cheapest there is: "what's the cheapest wash".
func (t *turn) asksLeast(text string) bool { return t.speaksOf(t.spelled(text), wording.SayCheapest) }

// mostOfLeast is how much of the smallest job is named.
const mostOfLeast = 4

// least says what the smallest job on a car would cost and what is in it, and what it
// starts from where the car is not known yet. It is empty if that cannot be said.
func (t *turn) least(e *Enquiry, text string) (words string, most pricing.Pence) {
	asked := t.priced(e)
	known := e.Car != nil
	if !known {
		asked = pricing.Enquiry{Vehicle: pricing.VehicleFromBody(shapes[0].body, shapes[0].length), Site: t.site(e)}
	}
	if wants := t.sidesOf(text); len(wants) > 0 {
		asked.Wants = wants
	} else if len(asked.Wants) == 0 {
		asked.Wants = []string{"exterior"}
	}
	asked.Budget, asked.Named = 1, nil // nothing fits into a penny: what comes is the smallest job
	f, err := t.fit(asked)
	if err != nil {
		t.fail(fmt.Errorf("conversations: the smallest job for enquiry %s: %w", e.ID, err))
		return "", 0
	}
	q := f.Quote
	if q.Refused != "" || q.NeedToSee != "" || len(q.In) == 0 {
		return "", 0
	}
	facts := wording.Facts{Car: carName(e), Likely: t.pounds(int64(q.Price.Likely)), Most: t.pounds(int64(q.Price.High)),
		Hours: t.length(q.Minutes.P50), Items: short(t.worth(weightiest(q.In, mostOfLeast, nil)))}
	facts.Minutes = max(0, len(t.worth(q.In))-len(facts.Items))
	facts.Price = t.word(wording.PriceRange, facts)
	if !known {
		return t.word(wording.LeastFrom, facts), 0
	}
	return t.word(wording.LeastIs, facts), q.Price.High
}

// sidesOf are the sides of the car that a text names.
func (t *turn) sidesOf(text string) (wants []string) {
	for _, w := range t.asksFor(t.heardIn(text)) {
		if w == "exterior" || w == "interior" {
			wants = append(wants, w)
		}
	}
	return wants
}

// putsLeast answers, at the price, whoever asks for the cheapest, and offers to fit it to that.
func (t *turn) putsLeast(e *Enquiry, text string) bool {
	words, most := t.least(e, text)
	if words == "" {
		return false
	}
	e.Rev++
	if e.Sum = ""; int64(most) < e.Quote.Likely && len(t.sidesOf(text)) == 0 {
		e.Sum = strconv.FormatInt(int64(most+99)/100, 10)
	}
	t.put(e, words)
	return true
}
