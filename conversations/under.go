package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// What the owner types straight under a customer's words may be his answer to them: if it
// is nothing else, he is offered to send it.

// Under is whose words the owner was shown last, and under which heading.
type Under struct {
	Enquiry string `json:"enquiry"`
	Kind    string `json:"kind"`
}

// theirWords are the headings under which the owner reads a customer; byWhen those that ask
// him for a day.
var (
	theirWords = []wording.Key{wording.OwnerAsks, wording.OwnerTheirText, wording.OwnerOfJob, wording.OwnerSnag}
	byWhen     = []wording.Key{wording.OwnerSnag, wording.OwnerSnagNoDay, wording.OwnerSnagWhen, wording.OwnerSnagStill}
)

// noteUnder remembers whose words stand last before the owner, or that none do.
func (t *turn) noteUnder(m bot.Message) {
	c := t.chat(t.Owner)
	c.Under = nil
	if !slices.Contains(slices.Concat(theirWords, byWhen), wording.Key(m.Kind)) || len(m.Choices) == 0 || len(m.Choices[0]) == 0 {
		return
	}
	if p, ok := parsePress(m.Choices[0][0].Data); ok {
		c.Under = &Under{p.enquiry, m.Kind}
	}
}

// answersThem offers to send a customer what the owner typed under their words. It reports
// whether there was anybody.
func (t *turn) answersThem(c *Chat, text string) bool {
	if c.Under == nil || !slices.Contains(theirWords, wording.Key(c.Under.Kind)) {
		return false
	}
	e := t.enquiry(c.Under.Enquiry)
	if e == nil || isGuest(e.Chat) {
		return false
	}
	t.drafted(c, []*Enquiry{e}, text, nil)
	return true
}

// byWhenSaid takes a day that is named under the question by when something is put right,
// and reports whether the text was that.
func (t *turn) byWhenSaid(c *Chat, text string) bool {
	if c.Under == nil || !slices.Contains(byWhen, wording.Key(c.Under.Kind)) || strings.Contains(text, "?") {
		return false
	}
	e := t.enquiry(c.Under.Enquiry)
	if e == nil || t.unmended(e) == nil {
		return false
	}
	at, _ := t.exceptAgreed(e, text)
	said := strings.Fields(wording.Plain(at))
	if n := longestOf(t.typed(wording.SayBy), said); n > 0 {
		at = strings.Join(said[n:], " ")
	}
	return len(when.Read(at, t.saidAt()).Prefer) == 1 && t.snagByNamed(c, e, at)
}
