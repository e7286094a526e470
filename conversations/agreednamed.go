package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// The owner says what he has agreed with somebody who has no visit yet: "kai thu 2pm
// agreed". It is offered once, with the button that keeps the time for them; whoever has
// asked for another time gives that one up for it.

// agreedNamed takes a name with a time that has been agreed, of somebody who has none in the
// diary or only asks for one, and reports whether the text was that.
func (t *turn) agreedNamed(c *Chat, text string) bool {
	if t.languageOf(c.ID) != "" || strings.Contains(text, "?") {
		return false
	}
	words := strings.Fields(wording.Plain(text))
	of := t.withoutVisit(words)
	if len(of) == 0 {
		return !t.isAtWork(c) && t.agreedUnknown(c, text, words) // at a car it may be a note
	}
	at, agreed := t.exceptAgreed(of[0], text)
	if !agreed || len(of) > 1 {
		return false
	}
	e, at := of[0], hourBehindDay(at)
	if m := when.Read(at, t.saidAt()); len(m.Prefer) != 1 || len(m.Unread) > 0 {
		return false
	}
	start := t.momentNamed(e, at)
	switch {
	case e.Quote == nil || t.need(e.Quote) <= 0:
		t.tell(c.ID, wording.OwnerNoPriceYet, wording.Facts{Name: e.Name, Text: at}, []bot.Choice{t.own(e, pressWrite)})
	case start.IsZero():
		return false
	default:
		t.offerAgreed(e, start)
	}
	return true
}

// withoutVisit are those a word names who are in the middle of their questions, or wait for
// the owner's yes; none if somebody of that name has a visit.
func (t *turn) withoutVisit(words []string) (of []*Enquiry) {
	named, _ := t.spokenOf(words)
	for _, e := range named {
		if e.Stage != Waits {
			return nil
		}
		of = append(of, e)
	}
	for _, w := range words {
		for _, e := range t.talkedWith(w) {
			if e.open() && !slices.ContainsFunc(of, func(o *Enquiry) bool { return o.Chat == e.Chat }) {
				of = append(of, e)
			}
		}
	}
	return of
}

// agreedUnknown answers a time that was agreed with somebody the desk does not know: who that
// is, and how they come in.
func (t *turn) agreedUnknown(c *Chat, text string, words []string) bool {
	if named, _ := t.spokenOf(words); len(named) > 0 {
		return false
	}
	at, agreed := t.exceptAgreed(&Enquiry{}, text)
	m := when.Read(hourBehindDay(at), t.saidAt())
	if !agreed || len(m.Prefer) != 1 || m.Prefer[0].StartFrom == 0 || len(m.Unread) != 1 || len(t.namesIn(m.Unread[0])) == 0 {
		return false
	}
	t.tell(c.ID, wording.OwnerAgreedWho, wording.Facts{Name: spelledName(m.Unread[0])}, t.deskWays()...)
	return true
}
