package conversations

import (
	"cmp"
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// A car that must be seen before there is a price: what is asked of it meanwhile, and what of
// it the owner reads. How it goes on from there stands in settled.go.

// look passes on to the owner that a car must be seen before there is a price,
// with everything that was said about it.
func (t *turn) look(e *Enquiry) string {
	f := t.card(e)
	if f.Text = strings.TrimSpace(e.Quote.NeedSee); t.seeFlagged(e) {
		f.Text = "" // it stands among what to mind
	}
	t.showCard(e, wording.OwnerLook, f)
	t.keepTalk(e)
	t.chat(e.Chat).Person = true
	return t.word(wording.LookAsked, wording.Facts{Name: e.Name, Car: carName(e)})
}

// seeFlagged tells whether a flag of the rules is why a car has to be seen first.
func (t *turn) seeFlagged(e *Enquiry) bool {
	return slices.ContainsFunc(t.Rules.Flags(), func(f pricing.Flag) bool {
		return f.Outcome == pricing.See && cmp.Or(f.Plain, f.Words) == e.Quote.NeedSee
	})
}

// notesUnseen keeps what is written beside the buttons about a car that has to be seen first,
// as the owner decides by it: "is it 50 or 500", "it's the middle seat".
func (t *turn) notesUnseen(e *Enquiry, q *question, p prompt, text string) {
	asks := q.id == askQuote && e.Quote != nil && e.Quote.NeedSee != "" && t.isQuestion(text)
	tells := q.id == askPhoto && e.answer(askQuote) == choiceLook
	if _, plain := bare(p, text); (asks || tells) && !plain {
		t.notes(e, text)
	}
}

// mayWait tells whether a question about the place need not be asked, as nobody names a price
// before the car has been seen. Where that is to be is asked once it is to be looked at; the
// rest is in the price the owner names.
func (t *turn) mayWait(e *Enquiry, q *question) bool {
	if q.place == nil || !t.mustSee(e) {
		return false
	}
	return q.id != askSite || e.answer(askQuote) == "" && !e.ByHand.priced()
}

// settledUnseen tells whether he has priced himself what the rules would not price unseen, or
// has agreed when he looks at it.
func (t *turn) settledUnseen(e *Enquiry) bool {
	return (e.ByHand.priced() || e.looksFirst()) && t.mustSee(e)
}

// unpriced tells whether a visit has no price yet, as it is to be named when the car has been
// looked at.
func (e *Enquiry) unpriced() bool { return e.Slot != nil && e.Quote != nil && e.Quote.NeedSee != "" }

// looksFirst tells whether it is such a visit, at the time the owner has agreed on.
func (e *Enquiry) looksFirst() bool {
	return e.unpriced() && e.ByHand != nil && e.Slot.Start.Equal(e.ByHand.Start)
}
