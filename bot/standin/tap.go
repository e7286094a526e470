package standin

import (
	"fmt"
	"strconv"
	"time"
)

// answerLife is how long a tap can be answered. The platform does not say; bots'
// authors report about 15 seconds (from memory).
const answerLife = 15 * time.Second

// query is a tap, by its id.
type query struct {
	chat     int64
	at       time.Time
	answered bool
}

// Tap presses the button with this label on a message, or with msgID 0 on the
// latest message that has it. A label on the reply keyboard is said. It is an
// error if there is no such button or the person has shut the bot out.
func (p *Person) Tap(msgID int64, label string) error {
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	if p.blocked {
		return errBlocked
	}
	for i := len(p.lines) - 1; i >= 0; i-- {
		m := p.lines[i]
		if m.Markup == nil || msgID != 0 && m.ID != msgID {
			continue
		}
		for _, row := range m.Markup.Rows {
			for _, b := range row {
				if b.Text == label {
					return p.press(m, b)
				}
			}
		}
	}
	for _, row := range p.keyboard {
		for _, text := range row {
			if msgID == 0 && text == label {
				p.write(wireMessage{Text: label})
				return nil
			}
		}
	}
	return fmt.Errorf("standin: no button %q in the chat with %s (message %d)", label, p.name, msgID)
}

func (p *Person) press(m *wireMessage, b Button) error {
	if b.Data == "" {
		return fmt.Errorf("standin: the button %q sends nothing to the bot", b.Text)
	}
	p.tap(*m, b.Data, b.Text)
	return nil
}

// TapData sends the bot a press with this data, as a client can whatever the
// buttons are: old data, forged data, or data on a message that is gone.
func (p *Person) TapData(msgID int64, data string) {
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	if i := p.index(msgID); i >= 0 {
		p.tap(*p.lines[i], data, "")
		return
	}
	p.tap(wireGone{Chat: p.chat(), ID: msgID}, data, "")
}

// tap sends a press on its way. The caller holds mu.
func (p *Person) tap(message any, data, label string) {
	s := p.s
	s.last.query++
	now := s.clock.Now()
	id := strconv.FormatInt(4_000_000_000_000_000_000+s.last.query, 10)
	s.queries[id] = &query{chat: p.id, at: now}
	s.record(Event{Kind: Tapped, Chat: p.id, Text: label})
	s.enqueue("callback_query", "callback_query", p.id, now.Add(tapLife), wireQuery{
		ID: id, From: p.user(), Message: message, ChatInstance: strconv.FormatInt(p.id, 10), Data: data})
}

// Unanswered counts the taps the bot has not answered, which spin on the
// person's screen.
func (s *Standin) Unanswered() (n int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, q := range s.queries {
		if !q.answered {
			n++
		}
	}
	return n
}

func (s *Standin) answerCallbackQuery(p params) (any, error) {
	text := p.text["text"]
	if units(text) > maxToast {
		return nil, badRequest("MESSAGE_TOO_LONG")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	q := s.queries[p.text["callback_query_id"]]
	if q == nil || q.answered || s.clock.Now().Sub(q.at) > answerLife { // a second answer: from memory
		return nil, badRequest("query is too old and response timeout expired or query ID is invalid")
	}
	q.answered = true
	s.record(Event{Kind: Toast, Chat: q.chat, Text: text, Alert: p.boolean("show_alert")})
	return true, nil
}
