package conversations

import (
	"slices"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// Whoever has no time yet stands in no diary; so that the owner can speak of them by name
// as well, his chat keeps which enquiries he was last told of.

// mostTalks is how many are kept.
const mostTalks = 30

// keepTalk keeps an enquiry the owner is told of while it has no time.
func (t *turn) keepTalk(e *Enquiry) {
	c := t.chat(t.Owner)
	if e.Slot != nil || isGuest(e.Chat) || slices.Contains(c.Talks, e.ID) {
		return
	}
	c.Talks = append(slices.Clone(c.Talks), e.ID)
	c.Talks = c.Talks[max(0, len(c.Talks)-mostTalks):]
}

// talkedWith are the open enquiries without a time whose customer a word names, one for
// each customer, the latest first.
func (t *turn) talkedWith(word string) (of []*Enquiry) {
	for _, id := range slices.Backward(t.chat(t.Owner).Talks) {
		e := t.enquiry(id)
		if e == nil || e.Stage == Closed || e.Stage == Done || !isName(t.namesIn(e.Name), word) {
			continue
		}
		if !slices.ContainsFunc(of, func(o *Enquiry) bool { return o.Chat == e.Chat }) {
			of = append(of, e)
		}
	}
	return of
}

// talkRows are a button for each of some enquiries without a time.
func (t *turn) talkRows(of []*Enquiry, data func(*Enquiry) string) (rows [][]bot.Choice) {
	for _, e := range of[:min(mostSpokenOf, len(of))] {
		rows = append(rows, []bot.Choice{{Label: t.word(wording.OpenButton, wording.Facts{Name: e.Name, When: carName(e)}), Data: data(e)}})
	}
	return rows
}
