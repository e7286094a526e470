package conversations

import (
	"time"

	"example.org/dryhand/conversations/wording"
)

// While nobody answers, the platform keeps what people write for a day, and what
// they tap for two and a half minutes. What is written is brought later, with the
// moment at which it was written.

// away is how old something may be when it reaches us before its sender is owed a
// word about it. Ordinary delays are seconds.
const away = 10 * time.Minute

// saidAt is when what is being answered was said: "tomorrow" is counted from there.
// A moment the platform does not tell, or that lies ahead, is now.
func (t *turn) saidAt() time.Time {
	if at := t.event.At; !at.IsZero() && at.Before(t.now) {
		return at.In(t.Zone)
	}
	return t.now
}

// excuse begins the first answer after an outage with a word about it. What was
// tapped meanwhile is lost, so that this is also where people learn to tap again.
func (t *turn) excuse() {
	c, at := t.chat(t.event.Chat), t.saidAt()
	if t.now.Sub(at) < away || !at.After(c.Excused) || c.Stopped || c.Blocked || c.Person {
		return
	}
	for i, m := range t.out.Say {
		if m.Chat == c.ID && m.Edit == 0 && m.Photo == "" && m.File == nil {
			t.out.Say[i].Text = t.word(wording.WereAway, wording.Facts{}) + "\n\n" + m.Text
			c.Excused = t.now
			return
		}
	}
}
