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
	for i := range rest {
		likely, most, ok := t.sumsSaid(strings.Join(rest[i:], " "))
		if !ok || likely < int64(t.Rules.Money.Minimum) {
			continue
		}
		at := strings.Trim(strings.Join(rest[:i], " "), " ,;")
		m := when.Read(hourBehindDay(at), t.saidAt())
		if at != "" && (len(m.Prefer) != 1 || len(m.Unread) > 0) {
			return false
		}
		t.agreedPrice(e, likely, most)
		if at != "" {
			e.Times, e.Only, e.Unclear = m.Prefer, bounds(m), t.unclear(m)
		}
		t.putStands(e)
		return true
	}
	return false
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
	var of []*Enquiry
	for _, id := range c.Talks {
		e := t.enquiry(id)
		if e != nil && e.Stage == Asking && !isGuest(e.Chat) && t.chat(e.Chat).Person && !slices.Contains(of, e) {
			of = append(of, e)
		}
	}
	if len(of) != 1 {
		return false
	}
	t.drafted(c, of, text, nil)
	return true
}
