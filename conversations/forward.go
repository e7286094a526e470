package conversations

import (
	"cmp"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// Who rings may also write to the owner elsewhere on the platform, or send him a
// picture. Sent on to the desk, that begins an enquiry for them, or goes on with
// theirs. These words are somebody else's: nothing in them commands the desk, and
// they are never sent on to whomever the owner was writing to.

// sentOn takes a message of somebody else's that the owner sent on, and reports
// whether it was one. An edit keeps no trace of where it came from, and so is none.
func (t *turn) sentOn(c *Chat) bool {
	switch w := t.event.What.(type) {
	case bot.Text:
		if w.Forward == nil {
			return false
		}
		if e, begun := t.forwardedBy(c, *w.Forward, w.Body); e != nil && !begun {
			t.answered(e, w.Body)
		}
		return true
	case bot.Photo:
		if w.Forward == nil {
			return false
		}
		if e, begun := t.forwardedBy(c, *w.Forward, w.Caption); e != nil {
			if !begun {
				t.caption(t.chat(e.Chat), e, w.Caption)
			}
			t.filePhoto(e, w)
		}
		return true
	}
	return false
}

// forwardedBy is the enquiry that a message sent on belongs to: that of the guest
// in hand if it is theirs by name, else a new one, begun with the words. It is nil,
// and the owner is told, where nobody can say whose it is.
func (t *turn) forwardedBy(c *Chat, f bot.Forward, words string) (e *Enquiry, begun bool) {
	name := guestName(f.Name)
	if name == "" {
		t.tell(c.ID, wording.OwnerWhoseIsIt, wording.Facts{})
		return nil, false
	}
	c.Writing, c.Finishing, c.Setting, c.Remark, c.Noting, c.Typing = "", "", "", "", "", nil
	if isGuest(c.Guest) {
		if g := t.chat(c.Guest); firstName(g.Name) == firstName(name) {
			if e := t.current(g); e != nil && e.open() {
				return e, false
			}
		}
	}
	return t.beginGuest(c, name, words), true
}

// guestName is a name as a guest may have it: one line, of bearable length.
func guestName(name string) string {
	r := []rune(strings.Join(strings.Fields(name), " "))
	return strings.TrimSpace(string(r[:min(len(r), longestGuest)]))
}

// firstName is what two ways of writing a person's name have in common.
func firstName(name string) string {
	first, _, _ := strings.Cut(cmp.Or(wording.Plain(name), name), " ")
	return first
}
