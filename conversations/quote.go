package conversations

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// priced is the enquiry in the words pricing understands.
func (t *turn) priced(e *Enquiry) pricing.Enquiry {
	p := pricing.Enquiry{Wants: e.Answers[askWants], Said: map[pricing.Area]pricing.Grade{}, Site: t.site(e)}
	if e.Car != nil {
		p.Vehicle = *e.Car
	}
	for _, a := range t.Rules.Areas() {
		if n, err := strconv.Atoi(e.answer(askCond + string(a.ID))); err == nil {
			p.Said[a.ID] = pricing.Grade(n)
		}
	}
	return p
}

func (t *turn) site(e *Enquiry) pricing.Site {
	if e.answer(askSite) != "theirs" {
		return pricing.Site{Own: true, Tap: true, Socket: true}
	}
	s := pricing.Site{Surface: e.answer(askSurface), Drain: e.answer(askDrain)}
	a := e.answer(askServices)
	s.Tap, s.Socket = a == "both" || a == "tap", a == "both" || a == "socket"
	s.Miles, _ = strconv.ParseFloat(e.answer(askMiles), 64)
	return s
}

// putQuote works the guide price out, remembers it and puts it.
func putQuote(t *turn, e *Enquiry) prompt {
	q, err := t.Rules.Quote(t.priced(e))
	if err != nil {
		t.err = fmt.Errorf("conversations: pricing enquiry %s: %w", e.ID, err)
		return prompt{}
	}
	e.Quote = t.remember(q)
	f := wording.Facts{Car: carName(e), Likely: q.Price.Likely.String(), Most: q.Price.High.String(), Low: q.Price.Low.String(),
		Until: t.Words.Date(e.Quote.Until), Hours: t.length(q.Minutes.Likely), Stays: q.WontComeOut}
	again := t.choose(choiceAgain, wording.LabelStartAgain)
	switch {
	case q.Refused != "":
		f.Text = q.Refused
		p := prompt{text: t.word(wording.QuoteRefused, f)}
		if atTheirs(t, e) {
			p.options = append(p.options, t.choose(choiceBring, wording.LabelBring))
		}
		p.options = append(p.options, again)
		return p
	case q.NeedToSee != "":
		f.Text = q.NeedToSee
		return prompt{text: t.word(wording.QuoteNeedSee, f), options: []option{again}}
	}
	f.In = t.worth(q)
	for _, l := range q.Out[:min(mostLeftOut, len(q.Out))] {
		f.Out = append(f.Out, t.leftOut(l))
	}
	f.Count = len(q.Out) - len(f.Out)
	f.Items = append(f.Items, q.Notes...)
	for _, d := range q.Because {
		f.Why = append(f.Why, t.driver(d))
	}
	for _, r := range q.Refer {
		f.Refer = append(f.Refer, r.Words)
	}
	return prompt{text: t.word(wording.QuoteGuide, f), options: []option{t.choose(choiceDone, wording.LabelFindDay), again}}
}

// tookQuote follows the one answer that is not a yes: bringing the car to us
// instead, where the work cannot be done at the customer's place.
func tookQuote(_ *turn, e *Enquiry) string {
	if e.answer(askQuote) != choiceBring {
		return ""
	}
	delete(e.Answers, askQuote)
	e.Trail = e.Trail[:len(e.Trail)-1]
	e.Answers[askSite] = []string{"own"}
	return ""
}

func (t *turn) leftOut(l pricing.Left) string {
	if l.Adds == 0 {
		return l.Words
	}
	return t.word(wording.LineAdds, wording.Facts{Text: l.Words, Most: l.Adds.String()})
}

func (t *turn) driver(d pricing.Driver) string {
	return t.word(wording.LineWhy, wording.Facts{Text: d.Words, Most: d.Effect.String()})
}

// mostLeftOut is how much of what is not in a quote is named: the whole list is
// longer than anybody reads.
const mostLeftOut = 5

// worth are the lines of a quote that a customer pays for and not merely meets:
// without setting up and looking the car over.
func (t *turn) worth(q pricing.Quote) []string {
	var out []string
	for _, l := range q.In {
		if task, ok := t.Rules.Task(l.Task); ok && !task.Always {
			out = append(out, l.Words)
		}
	}
	return out
}

func (t *turn) remember(q pricing.Quote) *Quoted {
	k := &Quoted{Rules: q.Rules, Low: int64(q.Price.Low), Likely: int64(q.Price.Likely), High: int64(q.Price.High),
		P10: q.Minutes.P10, P50: q.Minutes.P50, P80: q.Minutes.P80, P90: q.Minutes.P90,
		Until: t.now.AddDate(0, 0, t.Rules.Quotes.StandsDays), NeedSee: q.NeedToSee, Refused: q.Refused}
	k.In = t.worth(q)
	return k
}

// length words a stretch of minutes the way people say it: "about 3½ hours".
func (t *turn) length(minutes float64) string {
	halves := int(math.Round(minutes / 30))
	if halves < 2 {
		return t.word(wording.LengthMinutes, wording.Facts{Minutes: max(15, int(math.Round(minutes/15))*15)})
	}
	whole, half := halves/2, ""
	if halves%2 == 1 {
		half = "½"
	}
	return t.word(wording.LengthHours, wording.Facts{Count: halves, Text: strconv.Itoa(whole) + half})
}

// need is how long the diary must be kept free for a quote: four times in five
// the job is done by then, with setting up, packing and a little air.
func (t *turn) need(q *Quoted) time.Duration {
	const grid = 15 * time.Minute
	d := time.Duration(q.P80 * float64(time.Minute))
	return (d + grid - 1).Truncate(grid)
}
