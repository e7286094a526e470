package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// "It was £80 last time??" is about what the car came to when it was here: that is said, and
// what differs since, wherever in an enquiry it is written.

// lastTimeSaid tells whether a text speaks of what it cost when the car was here last, and of
// hardly anything else.
func (t *turn) lastTimeSaid(e *Enquiry, text string) bool {
	const most = 16 // words
	said, sums := t.spelled(text), poundsIn(text)
	if t.Reader == nil || isGuest(e.Chat) || len(strings.Fields(said)) > most || len(t.heardIn(text).When) > 0 {
		return false
	}
	b := t.hereLast(e)
	if b == nil {
		return false
	}
	if t.speaksOf(said, wording.SayLastTime) {
		return len(sums) > 0 || t.asksHowCome(text) || t.speaksOf(said, wording.LabelWhy) || t.speaksOf(said, wording.LabelFit) || t.speaksOf(said, wording.SayDearer)
	}
	ours := func(sum int64) bool { return sum == b.Work.Price || sum == b.Quote.Likely || sum == b.Quote.High }
	if len(sums) == 0 || !t.speaksOf(said, wording.SayChargedMe) || e.Quote != nil && t.wasSum(e, text) > 0 {
		return false
	}
	return t.speaksOf(said, wording.SayBefore) || slices.ContainsFunc(sums, ours)
}

// hereLast is the last job on the car of an enquiry, or, where it is one we have not had, on any
// car of theirs; nil if there was none.
func (t *turn) hereLast(e *Enquiry) *Enquiry {
	if before := t.visitsBefore(e); len(before) > 0 && before[0].Work.Price > 0 {
		return before[0]
	}
	for _, j := range slices.Backward(t.jobs(t.chat(e.Chat))) {
		if j.ID != e.ID && j.Quote != nil && j.Work.Price > 0 {
			return j
		}
	}
	return nil
}

// tellsLastTime answers it, and puts the question on the table again.
func (t *turn) tellsLastTime(w *reply) bool {
	if !t.lastTimeSaid(w.e, w.text) {
		return false
	}
	w.e.Rev++
	t.put(w.e, t.word(wording.LastTime, t.lastTimeFacts(w.e)))
	return true
}

// lastTimeFacts are what the car came to last and what differs: the work, how much there is to
// do, where it is done, or our prices.
func (t *turn) lastTimeFacts(e *Enquiry) wording.Facts {
	b := t.hereLast(e)
	at := b.Work.At.In(t.Zone)
	f := wording.Facts{Day: t.Words.Date(at), Price: t.pounds(b.Work.Price), Earlier: t.wanted(b), Text: t.wanted(e)}
	if at.Year() != t.now.In(t.Zone).Year() {
		f.Day = t.Words.DateYear(at)
	}
	q := e.Quote
	if q == nil || q.Refused != "" || q.NeedSee != "" {
		return f
	}
	f.Likely = t.pounds(q.Likely)
	sorted := func(w []string) []string { return slices.Sorted(slices.Values(w)) }
	switch {
	case !sameCar(e, b):
		f.Now, f.Car = "car", carName(b)
	case !slices.Equal(sorted(e.Answers[askWants]), sorted(b.Answers[askWants])):
		f.Now = "work"
	case q.Likely == b.Quote.Likely:
		f.Now = "turned-out"
	case len(t.worseThan(e, b)) > 0:
		f.Now, f.Items = "state", t.worseThan(e, b)
		f.In, f.Minutes = newIn(q, b.Quote)
	case e.answer(askSite) != b.answer(askSite) || e.answer(askMiles) != b.answer(askMiles):
		f.Now = "place"
	case slices.Equal(sorted(q.Tasks), sorted(b.Quote.Tasks)):
		f.Now = "prices"
	default:
		f.Now = "known"
	}
	f.Low = t.pounds(b.Quote.Likely)
	return f
}

// worseThan are the parts of a car that are worse now than they were found or told the last
// time.
func (t *turn) worseThan(e, b *Enquiry) (out []string) {
	then := func(a pricing.Area) pricing.Grade {
		if g := b.Graded[a]; g > 0 {
			return g
		}
		return t.gradeOf(b, a)
	}
	for _, a := range t.Rules.Areas() {
		if was := then(a.ID); was > 0 && t.gradeOf(e, a.ID) > was {
			out = append(out, a.Name)
		}
	}
	return out
}

// newIn are the first lines of a list that were not in the last one, and how many more there are.
func newIn(now, then *Quoted) ([]string, int) {
	fresh := short(slices.DeleteFunc(slices.Clone(now.In), func(l string) bool { return slices.Contains(then.In, l) }))
	if len(fresh) <= mostMoved {
		return fresh, 0
	}
	return fresh[:mostMoved], len(fresh) - mostMoved
}
