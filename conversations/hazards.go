package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// hazards are what we must know of before anybody puts a hand into a car. Each is
// a flag of the rules.
var hazards = []named{
	{"body-fluids", wording.LabelBodyFluids}, {"needles", wording.LabelNeedles}, {"pests", wording.LabelPests},
	{"flood", wording.LabelFlood}, {"leak", wording.LabelLeak}, {"warning-light", wording.LabelWarningLight},
}

// wantsHazards: whoever goes on with a price is asked, save where the owner has looked at what
// they told of and priced it.
func wantsHazards(t *turn, e *Enquiry) bool { return priceAgreed(t, e) && !t.settledUnseen(e) }

func putHazards(t *turn, e *Enquiry) prompt {
	p := sentence(wording.AskHazards)(t, e)
	for _, h := range hazards {
		if _, ok := t.Rules.Flag(h.key); ok {
			p.options = append(p.options, t.choose(h.key, h.label))
		}
	}
	none := t.choose(choiceDone, wording.LabelNothingLikeThat)
	if len(e.Pending) > 0 {
		none = t.choose(choiceDone, wording.LabelThatsAll)
	}
	none.own = true
	p.options = append(p.options, none)
	return p
}

// readHazards reads a no with something beside it that is none of these, "no just kids",
// which the owner reads too.
func readHazards(t *turn, e *Enquiry, text string) ([]string, bool) {
	const most = 8
	words := strings.Fields(wording.Plain(text))
	if t.Reader == nil || len(e.Pending) > 0 || len(words) > most || t.isQuestion(text) || longestOf(t.typed(wording.SayNo), words) == 0 || longestOf(t.typed(wording.SayPleased), words) > 0 || t.isUnsure(text) {
		return nil, false
	}
	if r := t.heardIn(text); len(r.Flags)+len(r.Hints) > 0 {
		return nil, false
	}
	if !isGuest(e.Chat) && len(e.Noted) < mostNoted && !slices.Contains(e.Noted, text) {
		e.Noted = append(e.Noted, text) // short as it is, it is about what can hurt
	}
	return []string{choiceDone}, true
}

// flagged are the flags of the rules that the customer's answers raise.
func flagged(e *Enquiry) []string {
	out := slices.Clone(e.Told)
	for _, a := range e.Answers[askHazards] {
		if slices.ContainsFunc(hazards, func(h named) bool { return h.key == a }) && !slices.Contains(out, a) {
			out = append(out, a)
		}
	}
	return out
}

// tookHazards: what was said there may change the price, so it is put again, and a
// time that was kept for the one before goes back.
func tookHazards(t *turn, e *Enquiry) string {
	if e.Quote == nil || t.digest(t.priced(e)) != e.Quote.Of {
		t.retract(e, askQuote)
		t.release(e)
		t.retract(e, askSlot)
	}
	if len(flagged(e)) == len(e.Told) {
		return ""
	}
	return t.word(wording.HazardsTold, wording.Facts{})
}
