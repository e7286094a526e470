package conversations

import (
	"maps"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What people write under a price: that it is a lot, that they want it as it was, or
// something more with it. A figure to stay under is read in budget.go.

// atPrice takes a text at the price, or at one of the questions that follow it, that is
// about the price and no plain answer. It reports whether the text was.
func (t *turn) atPrice(e *Enquiry, q *question, p prompt, text string) bool {
	switch {
	case !t.pricePut(e) && !priceAgreed(t, e) || e.Quote == nil || t.Reader == nil:
		return false
	case q.id == askQuote && t.asksLeast(text):
		return t.putsLeast(e, text)
	case q.id == askQuote && t.asksWhatIsOut(e, text):
		e.Rev++
		t.put(e, t.whatIsOut(e))
	case q.id == askQuote && t.asksFitTo(e, text) != "":
		t.asksFit(e, t.asksFitTo(e, text))
	case q.id == askQuote && (t.wantsItAsItWas(text) || t.backToWas(e, text)):
		t.asItWas(e, q, p)
	case q.id == askQuote && t.asksOfWas(e, text):
		e.Rev++
		t.put(e, t.whyOther(e, text))
	case q.id == askQuote && t.readsBack(e, text):
		e.Rev++
		t.put(e, t.word(wording.PriceIsThat, wording.Facts{}))
	case q.id == askQuote && (t.repeatsPrice(e, text) || t.asksHowCome(text) && len(poundsIn(text)) == 0):
		return t.said(e, q, p, choiceWhy)
	case q.id == askBudget && (t.repeatsPrice(e, text) || t.asksHowCome(text) && len(poundsIn(text)) == 0):
		t.retract(e, askQuote)
		e.At, e.Rev = askQuote, e.Rev+1 // it has just been read
		t.put(e, t.whyPrice(e))
	case q.id == askQuote && (t.swapsWork(e, text) || t.swapsLines(e, text) || t.lessWork(e, text)):
	case q.id == askQuote:
		return t.addsLine(e, text) || t.otherWork(e, q, p, text) || t.staysIn(e, text)
	case priceAgreed(t, e) && e.Slot != nil:
		return t.moreWork(e, text)
	default:
		return false
	}
	return true
}

// pricePut: a price is on the table, or which figure to stay under.
func (t *turn) pricePut(e *Enquiry) bool {
	return e.Quote != nil && (e.At == askQuote || e.At == askBudget)
}

// repeatsPrice tells whether a text says the price just named over again, and asks or
// complains: "£115 for an hour??" That is no figure to stay under.
func (t *turn) repeatsPrice(e *Enquiry, text string) bool {
	q, found := e.Quote, figures.FindAllStringSubmatch(text, -1)
	const both = 2 // "what's the difference between 105 and 140"
	if q.Refused != "" || q.NeedSee != "" || len(found) == 0 || len(found) > both {
		return false
	}
	for _, f := range found {
		figure, err := pricing.ParsePence(strings.ReplaceAll(f[1], ",", ""))
		if err != nil || int64(figure) != q.Likely && int64(figure) != q.High || int64(figure) == q.Budget {
			return false
		}
	}
	said := t.spelled(text)
	return len(found) > 1 || longestOf(t.typed(wording.SayBeginsAsking), strings.Fields(said)) > 0 || strings.Contains(text, "?") || t.isQuestion(text) || t.speaksOf(said, wording.LabelWhy) || t.speaksOf(said, wording.LabelFit)
}

// otherWork takes a text at the price that asks for other work than before, and maybe
// says with it how much there is: "just the inside then. hoover and the dog hair for 60".
func (t *turn) otherWork(e *Enquiry, q *question, p prompt, text string) bool {
	now := t.wantsNow(e, t.heardIn(text), text)
	if now == nil {
		return false
	}
	figure, some := readQuote(t, e, text)
	if !some && t.wantsAsBefore(e, now) {
		t.asItWas(e, q, p)
		return true
	}
	had, stood, was := e.Answers[askWants], e.Quote, rested(e)
	said, ok := t.rethought(e, text)
	if !ok {
		return false
	}
	if some && e.answer(askBudget) != figure[0] {
		t.retract(e, askBudget)
		e.Answers[askBudget] = figure
		e.Trail = append(e.Trail, askBudget)
	}
	e.At = ""
	if !t.quote(e) {
		return true
	}
	added := slices.DeleteFunc(slices.Clone(now), func(w string) bool { return slices.Contains(had, w) })
	if drops := t.dropsAsked(e, was, stood, added); drops != "" {
		e.At = askQuote // it has just been read
		t.put(e, drops)
		return true
	}
	fits := t.stretches(e, added)
	if next := t.next(e); e.Sum == "" && next != nil && next.id != askQuote {
		fits = "" // what is asked first may yet move it
	}
	if e.Sum != "" && slices.Equal(stood.Tasks, e.Quote.Tasks) && stood.Likely == e.Quote.Likely && stood.High == e.Quote.High {
		e.At = askQuote // it has just been read
	}
	t.put(e, joinLines(fits, t.understood(said)))
	return true
}

// moreWork takes what somebody who has a time already wants done besides, "and the wax
// please": the price is said anew. The time stays theirs as long as the work fits into it.
func (t *turn) moreWork(e *Enquiry, text string) bool {
	r := t.heardIn(text)
	now := t.wantsNow(e, r, text)
	if e.Stage != Held || now == nil || t.asksIfIn(text) != "" || len(r.When)+len(r.Vehicles) > 0 || r.Budget.Kind != "" {
		return false
	}
	was, had, slot := rested(e), e.Answers[askWants], *e.Slot
	e.Was = &was
	e.Answers[askWants] = now
	t.retract(e, askQuote)
	e.Rev++
	e.At = ""
	if !t.quote(e) {
		return true
	}
	k := wording.TimeStays
	if t.outgrown(e) && !t.prolonged(e) {
		k = wording.TimeTooShort
	}
	changed := slices.DeleteFunc(slices.Concat(now, had), func(w string) bool {
		return slices.Contains(now, w) && slices.Contains(had, w)
	})
	e.Pending = changed // so that what is not offered has its words too
	words := labels(putWants(t, e), changed)
	e.Pending = nil
	t.put(e, joinLines(t.understood(words), t.word(k, wording.Facts{When: t.Words.Moment(slot.Start.In(t.Zone))})))
	return true
}

// prolonged keeps the time somebody has for the longer that their work now takes, and
// reports whether that could be; if not, other times on that day are looked for first.
func (t *turn) prolonged(e *Enquiry) bool {
	start := e.Slot.Start
	t.release(e)
	// Whoever needs the car back by some hour has not said that it may be later.
	byHour := slices.ContainsFunc(e.Times, func(w diary.Times) bool { return w.DoneBy > 0 })
	for _, s := range t.free(e, time.Time{}) {
		if s.Start.Equal(start) && (s.Fits || !byHour) && t.hold(e, s) {
			return true
		}
	}
	t.retract(e, askSlot)
	if e.From = (time.Time{}); !byHour {
		e.Times = []diary.Times{{On: []string{diary.Key(start.In(t.Zone), t.Zone)}}}
	}
	return false
}

// wantsItAsItWas tells whether a text asks for the price as it was before the last change.
func (t *turn) wantsItAsItWas(text string) bool {
	const most = 9 // words
	said := t.spelled(text)
	return len(strings.Fields(said)) <= most && t.speaksOf(said, wording.SayPutItBack)
}

// asItWas puts the price as it was before the last change made at it; where there was
// none, without a figure, and where there is none either, the whole list.
func (t *turn) asItWas(e *Enquiry, q *question, p prompt) {
	was := e.Was
	switch {
	case was != nil:
		now := rested(e)
		now.Likely, now.High = e.Quote.Likely, e.Quote.High
		e.restore(*was)
		e.Was = &now
	case e.Quote.Budget > 0:
		t.retract(e, askBudget)
	default:
		t.said(e, q, p, choiceInFull)
		return
	}
	e.Rev++
	e.At = ""
	t.put(e, t.word(wording.AsItWas, wording.Facts{}))
}

// restsOn tells whether a price rests on the answer to a question, and that can be changed
// at the price without the car being another.
func restsOn(question string) bool {
	return strings.HasPrefix(question, askCond) || slices.Contains([]string{askWants, askSite, askSurface, askServices, askDrain, askMiles, askBudget}, question)
}

// rested is what the price rests on.
func rested(e *Enquiry) Rested {
	r := Rested{Answers: map[string][]string{}, Named: slices.Clone(e.Named), Spared: slices.Clone(e.Spared), Minds: slices.Clone(e.Minds), Place: e.Place}
	for q, a := range e.Answers {
		if restsOn(q) {
			r.Answers[q] = slices.Clone(a)
		}
	}
	for _, q := range e.Trail {
		if restsOn(q) {
			r.Trail = append(r.Trail, q)
		}
	}
	return r
}

// restore puts back what a price rested on. All else that was said since stays.
func (e *Enquiry) restore(r Rested) {
	maps.DeleteFunc(e.Answers, func(q string, _ []string) bool { return restsOn(q) })
	maps.Copy(e.Answers, r.Answers)
	e.Trail = slices.Concat(slices.DeleteFunc(slices.Clone(e.Trail), restsOn), r.Trail)
	e.Named, e.Spared, e.Minds, e.Place = slices.Clone(r.Named), slices.Clone(r.Spared), slices.Clone(r.Minds), r.Place
}

// keepsWas remembers what the price rests on, for whoever wants it back when something has
// been changed at it; what it returns is to be called when that may have happened.
func (t *turn) keepsWas(e *Enquiry) func() {
	if e.At != askQuote || e.Quote == nil || e.Quote.Refused != "" || e.Quote.NeedSee != "" {
		return func() {}
	}
	was := rested(e)
	was.Likely, was.High = e.Quote.Likely, e.Quote.High
	asked, car := t.digest(t.priced(e)), strings.Join(e.Answers[askVehicle], " ")
	return func() {
		switch changed := e.open() && t.digest(t.priced(e)) != asked; {
		case strings.Join(e.Answers[askVehicle], " ") != car:
			e.Was = nil
		case changed && e.Was == nil, changed && !sameRest(*e.Was, was):
			e.Was = &was
		}
	}
}

func sameRest(a, b Rested) bool {
	return maps.EqualFunc(a.Answers, b.Answers, slices.Equal) && slices.Equal(a.Named, b.Named) && slices.Equal(a.Spared, b.Spared)
}
