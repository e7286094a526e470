package conversations

import (
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
)

// suits takes what somebody says of when it suits them, and reports whether it
// said anything. What was said before counts no more. From are the times "an hour
// later" may be told from.
func (t *turn) suits(e *Enquiry, text string, from ...time.Time) bool {
	as := t.asRead(text)
	if as != text && len(when.Read(text, t.saidAt()).Unread) == 0 {
		as = text // all of it is a time as it stands: a date, or words in the business's own language
	}
	return t.suitsRead(e, as, text, from...)
}

// suitsRead is suits of a text in the words that are read, and as it was said.
func (t *turn) suitsRead(e *Enquiry, text, said string, from ...time.Time) bool {
	m, _ := when.ReadFrom(text, t.saidAt(), from...)
	unclear := t.unclear(m)
	if text != said {
		for i := range unclear {
			unclear[i].Said = said
		}
	}
	if len(m.Prefer)+len(unclear) == 0 && m.Only.Any() {
		return false
	}
	e.Times, e.Only, e.Unclear = m.Prefer, bounds(m), unclear
	return true
}

// bounds are those that a meaning sets, nil for none.
func bounds(m when.Meaning) *diary.Times {
	if m.Only.Any() {
		return nil
	}
	return &m.Only
}
