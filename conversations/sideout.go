package conversations

import (
	"fmt"
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// A figure that buys nothing at all on one side of the car, though both were asked for: that
// must not be left to be found in a list.

// sideOut says that a whole side is out of the price, what that side would come to by itself,
// and how to have what the figure buys there instead. Empty if none is.
func (t *turn) sideOut(e *Enquiry) string {
	q := e.Quote
	if q == nil || q.Budget == 0 || q.Small || q.NeedSee != "" || q.Refused != "" || len(q.Tasks) == 0 {
		return ""
	}
	for _, s := range []struct {
		out, in string
		key     wording.Key
	}{{"interior", "exterior", wording.OutsideOnly}, {"exterior", "interior", wording.InsideOnly}} {
		if !e.has(askWants, s.out) || !e.has(askWants, s.in) || t.holdsWant(q.Tasks, s.out) || !t.holdsWant(q.Tasks, s.in) {
			continue
		}
		alone := t.priced(e)
		alone.Budget, alone.Wants = 0, []string{s.out}
		all, err := t.quoted(alone)
		if err != nil {
			t.fail(fmt.Errorf("conversations: one side of enquiry %s: %w", e.ID, err))
			return ""
		}
		f := wording.Facts{Budget: t.pounds(q.Budget)}
		if all.Refused == "" && all.NeedToSee == "" {
			f.Likely, f.Most = t.pounds(int64(all.Price.Likely)), t.pounds(int64(all.Price.High))
		}
		return t.word(s.key, f)
	}
	return ""
}

// asksOfSide tells whether a text asks no more than whether a side is in the price that the
// figure has no room for: "nothing inside?", "thats just outside?"
func (t *turn) asksOfSide(e *Enquiry, text string) bool {
	if !e.priceKnown() || !strings.Contains(text, "?") && !t.isQuestion(text) || t.speaksOf(wording.Plain(text), wording.SayCouldYou) {
		return false
	}
	sides := slices.Concat(t.typed(wording.LabelInside), t.typed(wording.LabelOutside))
	return t.allOf(text, slices.Concat(sides, t.typed(wording.SayIsSideIn), t.typed(wording.SayIncludes), t.typed(wording.SayBeginsAsking))) && t.sideOut(e) != ""
}
