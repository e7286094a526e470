package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// One answer is changed by its name, when what was answered has been shown. All others
// stay, with the time that is kept; and the price that was agreed to stands where it comes
// out as before.

// change opens one answer again. What it decides is worked out anew; everything else that
// was said stays.
func (t *turn) change(e *Enquiry, question string) {
	t.takesBack(e, question)
	t.put(e, "")
}

// takesBack takes an answer back, for another one to be put in its place.
func (t *turn) takesBack(e *Enquiry, question string) {
	switch {
	case question == askBudget:
		t.revise(e, question)
		e.Answers[askQuote] = []string{choiceFit}
		e.Trail = append(e.Trail, askQuote)
	case !restsOn(question) || len(e.Answers[question]) == 0 || e.Quote == nil:
		t.revise(e, question)
	default:
		t.opensAnswer(e, question)
	}
}

// opensAnswer takes back one answer that the price rests on, and nothing else. What rests on
// where the work is done is asked of nobody who brings the car, and holds for who does not.
func (t *turn) opensAnswer(e *Enquiry, question string) {
	e.Reopened = &Reopened{Question: question, Answer: e.Answers[question], Place: e.Place,
		Agreed: priceAgreed(t, e), Likely: e.Quote.Likely, High: e.Quote.High, In: e.Quote.In}
	for _, id := range restingOn(question) {
		if id == question || t.find(id).told == nil { // what is changed by no name of its own
			t.forget(e, id)
		}
	}
	t.retract(e, askQuote)
	e.Pending, e.At = nil, ""
	e.Rev++
}

// reopened is the question whose answer is being changed, nil once it has another.
func (t *turn) reopened(e *Enquiry) *question {
	if e.Reopened == nil || len(e.Answers[e.Reopened.Question]) > 0 {
		return nil
	}
	q := t.find(e.Reopened.Question)
	if q == nil || q.applies != nil && !q.applies(t, e) {
		return nil
	}
	return q
}

// leavesIt puts the answer back that was about to be changed, for whoever goes back from
// the question. It reports whether one was.
func (t *turn) leavesIt(e *Enquiry) bool {
	r := e.Reopened
	if r == nil || e.At != r.Question || t.reopened(e) == nil {
		return false
	}
	e.Answers[r.Question], e.Place = r.Answer, r.Place
	e.Trail = append(e.Trail, r.Question)
	e.Pending, e.At = nil, ""
	e.Rev++
	return true
}

// settled looks at the price when an answer has been changed and nothing else is open
// before it. One that was agreed to and comes out as before needs no second yes; of another
// it is said what has moved. A time that no longer fits goes back, which is said as well.
func (t *turn) settled(e *Enquiry, lead string) string {
	r := e.Reopened
	if r == nil {
		return lead
	}
	q := t.next(e)
	if q == nil || q.id != askQuote || !t.quote(e) {
		if q == nil || placeOf(q.id) > placeOf(askQuote) { // it has been gone past in some other way
			e.Reopened = nil
		}
		return lead
	}
	e.Reopened = nil
	now := e.Quote
	if now.Refused != "" || now.NeedSee != "" || r.Likely == 0 {
		return lead
	}
	same := now.Likely == r.Likely && now.High == r.High && slices.Equal(now.In, r.In)
	switch {
	case !same:
		return joinLines(lead, joinLines(t.priceMoved(r, now), t.fitsNoMore(e)))
	case !r.Agreed:
		return lead
	}
	e.Answers[askQuote] = []string{choiceDone}
	e.Trail = append(e.Trail, askQuote)
	return joinLines(lead, t.fitsNoMore(e))
}

// mostMoved is how many lines of a list are named one by one; of more, the list that
// follows tells.
const mostMoved = 4

// priceMoved says what a changed answer has done to the price and its list. Whoever has
// asked for other work looks for it there.
func (t *turn) priceMoved(r *Reopened, now *Quoted) string {
	brief := func(likely, high int64) string {
		return t.word(wording.PriceBrief, wording.Facts{Likely: t.pounds(likely), Most: t.pounds(high)})
	}
	without := func(some, others []string) []string {
		return short(slices.DeleteFunc(slices.Clone(some), func(l string) bool { return slices.Contains(others, l) }))
	}
	f := wording.Facts{Was: brief(r.Likely, r.High), Now: brief(now.Likely, now.High)}
	if in, out := without(now.In, r.In), without(r.In, now.In); r.Question != askWants && max(len(in), len(out)) <= mostMoved {
		f.In, f.Out = in, out
	}
	return t.word(wording.PriceMoved, f)
}

// fitsNoMore gives a time back that the work cannot have any more, where it is done now or
// as long as it takes, and returns the words for that.
func (t *turn) fitsNoMore(e *Enquiry) string {
	if e.Slot == nil || e.Stage != Held || t.fitsStill(e) {
		return ""
	}
	start := e.Slot.Start
	t.release(e)
	t.retract(e, askSlot)
	return t.word(wording.TimeNoLonger, wording.Facts{When: t.Words.Moment(start.In(t.Zone))})
}

// fitsStill tells whether the time somebody has could be given to them as things are now.
func (t *turn) fitsStill(e *Enquiry) bool {
	if t.outgrown(e) {
		return false
	}
	return slices.ContainsFunc(t.free(e, time.Time{}), func(s diary.Slot) bool { return s.Start.Equal(e.Slot.Start) })
}

// siteTold is where the work is done, with what of that place has no name to be changed by.
func siteTold(t *turn, e *Enquiry) string {
	said := labels(sited(wording.AskSite, bringOrMine)(t, e), e.Answers[askSite])
	for _, q := range form {
		for _, n := range q.place {
			if q.told == nil && atTheirs(t, e) && e.has(q.id, n.key) {
				said = append(said, t.label(n.label))
			}
		}
	}
	return strings.Join(said, ", ")
}

// placeTold is what was answered of the place the car stands at, where that is theirs.
func placeTold(question string) func(*turn, *Enquiry) string {
	return func(t *turn, e *Enquiry) string {
		if q := t.find(question); atTheirs(t, e) && q.applies(t, e) {
			return strings.Join(labels(q.ask(t, e), e.Answers[question]), ", ")
		}
		return ""
	}
}

func wayTold(t *turn, e *Enquiry) string {
	n := e.answer(askMiles)
	if _, button := reaches[n]; button || !workable(t, e) {
		return placeTold(askMiles)(t, e)
	}
	return t.word(wording.SaidMiles, wording.Facts{Text: n})
}
