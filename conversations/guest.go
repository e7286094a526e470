package conversations

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// Not everybody writes here: some ring, or stop in the road. The owner opens an
// enquiry for them and answers in their place; what they are to read comes to him
// as a text to pass on. Such a guest has a chat of their own under a number below
// zero, which the platform gives to no person, so that everything else about them
// is as with anybody.

// isGuest tells whether a chat is only ours.
func isGuest(c bot.ChatID) bool { return c < 0 }

// newGuest opens an enquiry for somebody who rang: "rang Sarah, golf estate,
// inside and out". It reports false if the text says nothing of the kind.
func (t *turn) newGuest(c *Chat, text string) bool {
	first, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	if behind, more, _ := strings.Cut(rest, " "); t.rangBehind(c, first, behind) {
		first, rest = behind, first+" "+more // "Dave called, wants his Mondeo done"
	}
	if !t.means(wording.Plain(first), wording.SayRang) {
		return false
	}
	phone, rest := phoneApart(rest) // it may stand before the name
	name, rest, _ := strings.Cut(strings.TrimSpace(rest), " ")
	name = strings.Trim(name, ",:;.")
	if name == "" || utf8.RuneCountInString(name) > longestGuest {
		t.tell(c.ID, wording.OwnerWhoRang, wording.Facts{})
		return true
	}
	t.beginGuest(c, spelledName(name), strings.TrimSpace(phone+" "+rest))
	return true
}

// rangBehind tells whether a name stands before the word that somebody rang: that of
// nobody in the diary, and of nobody whose form is open.
func (t *turn) rangBehind(c *Chat, name, word string) bool {
	if name = wording.Plain(name); !t.means(wording.Plain(word), wording.SayRang) || name == "" || len(t.namesIn(name)) == 0 || isGuest(c.Guest) {
		return false
	}
	of, _ := t.spokenOf([]string{name})
	return len(of) == 0
}

// spelledName is a name as it is written in a letter: "dave" is Dave.
func spelledName(name string) string {
	r, n := utf8.DecodeRuneInString(name)
	return string(unicode.ToUpper(r)) + name[n:]
}

// longestGuest bounds a guest's name, in characters.
const longestGuest = 40

// beginGuest opens an enquiry for somebody who does not write here, with what was
// said so far, and has the owner answer in their place.
func (t *turn) beginGuest(c *Chat, name, words string) *Enquiry {
	c.Guests++
	g := t.chat(bot.ChatID(-c.Guests))
	g.Name = name
	c.Guest, c.Writing, c.Finishing = g.ID, "", ""
	e := t.begin(g)
	var said []string
	if e.Phone, words = phoneApart(words); e.Phone != "" {
		said = []string{e.Phone}
	}
	t.put(e, t.understood(append(said, t.hear(e, words)...)))
	return e
}

// forGuest takes what the owner types as a guest's answer, while their form is
// open. It reports false if it is not for a guest.
func (t *turn) forGuest(c *Chat, w bot.Text) bool {
	if !isGuest(c.Guest) {
		return false
	}
	g := t.chat(c.Guest)
	e := t.current(g)
	if e == nil || !e.open() {
		c.Guest = 0
		return false
	}
	phone, rest := phoneApart(w.Body)
	if phone != "" && e.Address == "" && e.At != askAddress || phone != "" && wording.Plain(rest) == "" {
		e.Phone = phone
		t.tell(c.ID, wording.OwnerPhoneKept, wording.Facts{Name: e.Name, Text: phone})
		if words := strings.Fields(wording.Plain(rest)); t.madeOf(words, t.typed(wording.SayPhoneIs)) || len(words) == 0 {
			t.put(e, "")
			return true
		}
		w.Body = rest
	}
	said := wording.Plain(w.Body)
	switch {
	case t.means(said, wording.SayStop), t.means(said, wording.SayAgain):
		t.close(e)
		c.Guest = 0
		t.tell(c.ID, wording.OwnerGuestDropped, wording.Facts{Name: g.Name})
	case t.means(said, wording.SayLink):
		t.offerLink(e)
	case t.means(said, wording.SayBack):
		t.back(e)
	case t.means(said, wording.SayChange):
		t.review(e)
	default:
		t.answered(e, w.Body)
	}
	return true
}

// guestTapped takes the owner's press on a guest's button.
func (t *turn) guestTapped(c *Chat, e *Enquiry, w bot.Tap) {
	g := t.chat(e.Chat)
	if e.open() {
		c.Guest = g.ID
	}
	t.tapped(g, w)
}

// passOnGuests turns what was said to guests into texts for the owner.
func (t *turn) passOnGuests() {
	for i := range t.out.Say {
		m := &t.out.Say[i]
		if !isGuest(m.Chat) {
			continue
		}
		name := t.chat(m.Chat).Name
		m.Chat = t.Owner
		if m.Text == "" && m.Photo == "" {
			continue // only buttons change
		}
		k := wording.ToPassOn
		if m.Kind == "question" || m.Kind == "aside" {
			k = wording.ForGuest
		}
		m.Text = t.wordTo(t.Owner, k, wording.Facts{Name: name, Text: m.Text})
	}
	if t.Owner == 0 {
		kept := t.out.Say[:0]
		for _, m := range t.out.Say {
			if m.Chat != 0 {
				kept = append(kept, m)
			}
		}
		t.out.Say = kept
	}
}
