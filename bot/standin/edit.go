package standin

import (
	"reflect"
	"slices"
	"strings"
	"time"
)

// deleteLife is how long messages of a private chat can be deleted
// (core.telegram.org/bots/api#deletemessage).
const deleteLife = 48 * time.Hour

// editable finds the message of the bot that a call is for. The caller holds mu.
func (s *Standin) editable(p params) (*wireMessage, error) {
	if !p.has("chat_id") || !p.has("message_id") {
		return nil, badRequest("message identifier is not specified")
	}
	to, err := s.reachable(p)
	if err != nil {
		return nil, err
	}
	i := to.index(p.integer("message_id"))
	if i < 0 {
		return nil, badRequest("message to edit not found")
	}
	if !to.lines[i].From.IsBot {
		return nil, badRequest("message can't be edited")
	}
	return to.lines[i], nil
}

// edit changes a message of the bot. Left out, the buttons go.
func (s *Standin) edit(p params, change func(*wireMessage) error) (any, error) {
	m, err := readMarkup(p)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	old, err := s.editable(p)
	if err != nil {
		return nil, err
	}
	edited := *old
	if err := change(&edited); err != nil {
		return nil, err
	}
	edited.Markup = inline(m.buttons)
	kind := Edited
	if edited.Text == old.Text && edited.Caption == old.Caption {
		kind = Rebuttoned
	}
	if reflect.DeepEqual(&edited, old) {
		return nil, badRequest("message is not modified: specified new message content and reply markup are exactly the same as a current content and reply markup of the message")
	}
	edited.EditDate = s.clock.Now().Unix()
	*old = edited
	s.record(Event{Kind: kind, Chat: old.Chat.ID, Line: s.line(old)})
	return edited, nil
}

func (s *Standin) editMessageText(p params) (any, error) {
	text, entities, err := readText(p, "text", maxText)
	if err != nil {
		return nil, err
	}
	if strings.TrimSpace(text) == "" {
		return nil, badRequest("message text is empty")
	}
	return s.edit(p, func(m *wireMessage) error {
		if m.Text == "" {
			return badRequest("there is no text in the message to edit")
		}
		m.Text, m.Entities = text, entities
		return nil
	})
}

func (s *Standin) editMessageCaption(p params) (any, error) {
	caption, styled, err := readText(p, "caption", maxCaption)
	if err != nil {
		return nil, err
	}
	return s.edit(p, func(m *wireMessage) error {
		if len(m.Photo) == 0 && m.Document == nil {
			return badRequest("there is no caption in the message to edit")
		}
		m.Caption, m.Styled = caption, styled
		return nil
	})
}

func (s *Standin) editMessageReplyMarkup(p params) (any, error) {
	return s.edit(p, func(*wireMessage) error { return nil })
}

func (s *Standin) deleteMessage(p params) (any, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	to, err := s.reachable(p)
	if err != nil {
		return nil, err
	}
	i := to.index(p.integer("message_id"))
	if i < 0 {
		return nil, badRequest("message to delete not found")
	}
	gone := to.lines[i]
	if s.clock.Now().Sub(time.Unix(gone.Date, 0)) > deleteLife {
		return nil, badRequest("message can't be deleted for everyone")
	}
	to.lines = slices.Delete(to.lines, i, i+1)
	s.record(Event{Kind: Deleted, Chat: to.id, Line: s.line(gone)})
	return true, nil
}
