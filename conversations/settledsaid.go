package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// What the owner types of somebody who has no visit yet, with a price in it: "mark 95", "mark
// fri 3 95 max 120" settles it; "mark: about 95, can you bring it Thursday at 4?" is for them
// to read, and so is such a line without a name where only one of them waits for him.

// terms are a price and maybe a time, as the owner types them.
type terms struct {
	likely, most int64
	at           string // the time in his words, empty without one
	when         when.Meaning
}

// termsIn reads a price and maybe a time, in either order, that a text names and nothing
// else: "160", "160 thurs 9", "fri 3 95 max 120".
func (t *turn) termsIn(text string) (of terms, ok bool) {
	const longest = 12 // words of a price and a time
	words := strings.Fields(text)
	if len(words) > longest {
		return terms{}, false
	}
	read := func(sum, at []string) bool {
		likely, most, ok := t.sumsSaid(strings.Join(sum, " "))
		if !ok || likely < int64(t.Rules.Money.Minimum) {
			return false
		}
		of = terms{likely: likely, most: most, at: strings.Trim(strings.Join(at, " "), " ,;")}
		of.when = when.Read(hourBehindDay(of.at), t.saidAt())
		return of.at == "" || len(of.when.Prefer) == 1 && len(of.when.Unread) == 0
	}
	for i := range words {
		if read(words[i:], words[:i]) {
			return of, true
		}
	}
	for i := len(words) - 1; i > 0; i-- {
		if read(words[:i], words[i:]) {
			return of, true
		}
	}
	return terms{}, false
}

// setTerms makes such a price and time what stands for an enquiry.
func (t *turn) setTerms(e *Enquiry, of terms) {
	t.agreedPrice(e, of.likely, of.most)
	if of.at != "" {
		e.Times, e.Only, e.Unclear = of.when.Prefer, bounds(of.when), t.unclear(of.when)
	}
}

// pricesNamed takes a name with a price, and maybe a time, of somebody in the middle of their
// questions, and shows what the desk then has. It reports whether the text was that.
func (t *turn) pricesNamed(c *Chat, text string) bool {
	words := strings.Fields(text)
	if len(words) < 2 || strings.ContainsAny(text, "?\n") || t.languageOf(c.ID) != "" {
		return false
	}
	of := t.talkedWith(wording.Plain(words[0]))
	if len(of) != 1 || of[0].Stage != Asking || isGuest(of[0].Chat) {
		return false
	}
	e, rest := of[0], words[1:]
	if their := t.chat(e.Chat); !their.Person && !their.Spoke && (e.Quote == nil || e.Quote.NeedSee == "") {
		return false // the desk is naming a price itself
	}
	agreed := t.typed(wording.SayAgreedTime)
	for len(rest) > 1 && slices.Contains(agreed, wording.Plain(rest[0])) {
		rest = rest[1:]
	}
	said, ok := t.termsIn(strings.Join(rest, " "))
	if ok {
		t.setTerms(e, said)
		t.putStands(e)
	}
	return ok
}

// pricesOne takes a price, and maybe a time, without a name where only one car waits to be
// seen, and shows what the desk then has. It reports whether the text was that.
func (t *turn) pricesOne(c *Chat, text string) bool {
	if strings.ContainsAny(text, "?\n") || t.isAtWork(c) || c.Finishing != "" || t.languageOf(c.ID) != "" {
		return false
	}
	const clock = 1000_00 // "thurs 9 to 1730" has two hours, and no price
	said, ok := t.termsIn(text)
	if !ok || said.at != "" && !strings.Contains(text, "£") && max(said.likely, said.most) >= clock {
		return false
	}
	of := slices.DeleteFunc(t.waitingForHim(c), func(e *Enquiry) bool { return !e.ByHand.priced() && (e.Quote == nil || e.Quote.NeedSee == "") })
	if len(of) != 1 || said.at != "" && t.momentNamed(of[0], hourBehindDay(said.at)).IsZero() {
		return false
	}
	t.setTerms(of[0], said)
	t.putStands(of[0])
	return true
}

// waitingForHim are those without a time who are with the owner, in the order they came.
func (t *turn) waitingForHim(c *Chat) (of []*Enquiry) {
	for _, id := range c.Talks {
		e := t.enquiry(id)
		if e != nil && e.Stage == Asking && !isGuest(e.Chat) && t.chat(e.Chat).Person && !slices.Contains(of, e) {
			of = append(of, e)
		}
	}
	return of
}

// addressed takes a line that begins with a name and a colon for one to that customer, and
// shows it before it goes. It reports whether the text was that.
func (t *turn) addressed(c *Chat, text string) bool {
	name, line, ok := strings.Cut(text, ":")
	line = strings.TrimSpace(line)
	if !ok || line == "" || len(strings.Fields(name)) != 1 {
		return false
	}
	if of := t.talkedWith(wording.Plain(name)); len(of) > 0 {
		t.drafted(c, of, line, t.talkRows(of, sends(line)))
		return true
	}
	return false
}

// offersPrice takes a line with a price and more for the one customer who waits for the
// owner, where there is no other, and shows it before it goes. It reports whether the text
// was that.
func (t *turn) offersPrice(c *Chat, text string) bool {
	const least = 5 // words
	priced := slices.ContainsFunc(sentences(text), func(s string) bool {
		likely, _, ok := t.sumsSaid(strings.Trim(s, " .,!?\n"))
		return ok && likely >= int64(t.Rules.Money.Minimum)
	})
	if !priced || len(strings.Fields(text)) < least {
		return false
	}
	of := t.waitingForHim(c)
	if len(of) != 1 {
		return false
	}
	t.drafted(c, of, text, nil)
	return true
}
