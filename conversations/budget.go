package conversations

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// fitting: the customer wants the work fitted to a figure.
func fitting(_ *turn, e *Enquiry) bool { return e.answer(askQuote) == choiceFit }

// budgetOf is the figure to stay under in pence, 0 if there is none.
func budgetOf(e *Enquiry) pricing.Pence {
	n, err := strconv.Atoi(e.answer(askBudget))
	if err != nil {
		return 0
	}
	return pricing.Pence(n) * 100
}

// The figures anybody means, in whole pounds.
const (
	leastFigure = 10
	mostFigure  = 5000
)

// isFigure tells whether a choice is a figure in whole pounds.
func isFigure(choice string) bool {
	n, err := strconv.Atoi(choice)
	return err == nil && n >= leastFigure && n <= mostFigure
}

var figures = regexp.MustCompile(`£? ?([0-9][0-9,]*)(\.[0-9]{1,2})?`)

// readBudget takes the one figure in a text. Two are no answer, and what is part of
// a postcode, a date or a car is none.
func readBudget(t *turn, _ *Enquiry, text string) ([]string, bool) {
	var r reading.Reading
	if t.Reader != nil {
		r = t.heardIn(text)
	}
	if pounds := strconv.FormatInt(int64(r.Budget.Amount)/100, 10); r.Budget.Kind != "" && isFigure(pounds) && !isCarNumber(r, text, r.Budget.Amount) {
		return []string{pounds}, true
	}
	found := figures.FindAllStringSubmatchIndex(text, -1)
	if len(found) != 1 || r.Place.Postcode != "" {
		return nil, false
	}
	from, to, end := found[0][2], found[0][3], found[0][1]
	pounds := strings.ReplaceAll(text[from:to], ",", "")
	if figure, err := pricing.ParsePence(pounds); err != nil || !isFigure(pounds) || glued(text, from, end) || isCarNumber(r, text, figure) {
		return nil, false
	}
	spans := slices.Clone(r.When)
	for _, v := range r.Vehicles {
		if text[v.Span.From:v.Span.To] != text[from:to] { // "120" is a car too, but not where money is spoken of
			spans = append(spans, v.Span)
		}
	}
	if slices.ContainsFunc(spans, func(s reading.Span) bool { return s.From <= from && from < s.To }) {
		return nil, false
	}
	return []string{pounds}, true
}

// glued tells whether letters or more figures touch a figure: "LS29", "14th", "10:30".
func glued(text string, from, to int) bool {
	before, _ := utf8.DecodeLastRuneInString(text[:from])
	after, n := utf8.DecodeRuneInString(text[to:])
	next, _ := utf8.DecodeRuneInString(text[to+n:])
	return unicode.IsLetter(before) || unicode.IsLetter(after) || strings.ContainsRune(":/.", after) && unicode.IsDigit(next)
}

// readQuote takes a figure typed under a guide price as one to stay under.
func readQuote(t *turn, e *Enquiry, text string) ([]string, bool) {
	if e.Quote == nil || e.Quote.Refused != "" || e.Quote.NeedSee != "" {
		return nil, false
	}
	return readBudget(t, e, text)
}

// putBudget asks which figure to stay under, with three worth thinking about
// and what each would leave out.
func putBudget(t *turn, e *Enquiry) prompt {
	whole := t.priced(e)
	whole.Budget = 0
	all, err := t.quoted(whole)
	if err != nil {
		t.fail(fmt.Errorf("conversations: pricing enquiry %s: %w", e.ID, err))
		return prompt{}
	}
	f := wording.Facts{Car: carName(e), Likely: t.pounds(int64(all.Price.Likely)), Most: t.pounds(int64(all.Price.High))}
	var p prompt
	for _, share := range []float64{.5, .65, .8} {
		figure := pricing.Pence(share * float64(all.Price.High)).Near(10_00)
		less := whole
		less.Budget = figure
		fitted, err := t.fit(less)
		if err != nil {
			t.fail(fmt.Errorf("conversations: fitting enquiry %s: %w", e.ID, err))
			return prompt{}
		}
		key := strconv.Itoa(int(figure / 100))
		if !fitted.Fits || slices.ContainsFunc(p.options, func(o option) bool { return o.key == key }) {
			continue
		}
		p.options = append(p.options, option{key: key, label: t.pounds(int64(figure)), typed: []string{figure.String(), key}})
		f.Items = append(f.Items, t.variant(figure, all, fitted.Quote))
	}
	p.text = t.word(wording.AskBudget, f)
	return p
}

// variant words what a figure buys: what of the whole would be left out, the
// weightiest first.
func (t *turn) variant(figure pricing.Pence, all, less pricing.Quote) string {
	kept := map[string]bool{}
	for _, l := range less.In {
		kept[l.Task] = true
	}
	var gone []pricing.Line
	for _, l := range all.In {
		if !kept[l.Task] {
			gone = append(gone, l)
		}
	}
	slices.SortStableFunc(gone, func(a, b pricing.Line) int { return int(b.Price - a.Price) })
	named := gone[:min(3, len(gone))]
	f := wording.Facts{Budget: t.pounds(int64(figure)), Hours: t.length(less.Minutes.P50), Items: short(t.worth(named)), Count: len(gone) - len(named)}
	return t.word(wording.LineFigure, f)
}

// namedCosts says what the customer named that their figure does not reach, and what all
// they named would cost; empty where it reaches everything.
func (t *turn) namedCosts(q *Quoted) string {
	if q.Named == nil {
		return ""
	}
	f := wording.Facts{Items: short(q.Unreached), Likely: t.pounds(q.Named[0]), Most: t.pounds(q.Named[1])}
	f.Price = t.word(wording.PriceRange, f)
	return t.word(wording.NamedCosts, f)
}

// short are lines cut down to what stands before their first comma, for a list
// in a sentence; a single word there says too little.
func short(lines []string) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		head, _, _ := strings.Cut(l, ",")
		if !strings.Contains(head, " ") {
			head = l
		}
		r, n := utf8.DecodeRuneInString(head)
		out[i] = string(unicode.ToLower(r)) + head[n:]
	}
	return out
}

// tookBudget leads back to the price, which is now fitted to the figure.
func tookBudget(t *turn, e *Enquiry) string {
	t.retract(e, askQuote)
	return ""
}

// saysHowMuch takes a text under a price that finds it too dear, or asks why, and says at
// once how much there is, or what to leave out: "too dear, what about 80", "bit steep, forget
// the inside again". It reports whether it was that.
func (t *turn) saysHowMuch(e *Enquiry, q *question, o option, text string) bool {
	if o.key != choiceFit && o.key != choiceWhy {
		return false
	}
	if figure, ok := readQuote(t, e, text); ok {
		t.acceptText(e, q, figure, "", "")
		return true
	}
	said, ok := t.rethought(e, text)
	if ok {
		e.At = ""
		t.put(e, t.understood(said))
	}
	return ok
}

// agreesTo tells whether a text names the figure that the price is fitted to already, and
// a day or a yes with it: "yeah ok 80. can you do monday".
func (t *turn) agreesTo(e *Enquiry, figure []string, text string) bool {
	if e.Quote == nil || e.Quote.Small || len(figure) != 1 || figure[0] != e.answer(askBudget) || t.Reader == nil {
		return false
	}
	if len(t.heardIn(text).When) > 0 {
		t.hear(e, text)
		return true
	}
	rest := strings.ReplaceAll(strings.ReplaceAll(text, figure[0], ""), "£", "")
	return t.pleased(rest) || t.allOf(rest, slices.Concat(t.typed(wording.SayYes), t.typed(wording.SayGoOn)))
}
