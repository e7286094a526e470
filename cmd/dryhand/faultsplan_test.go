package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
)

// somebody is a customer or the owner, and what they have on their screen.
type somebody struct {
	ID   int64
	Name string
	// Screen are the messages with buttons, oldest first; Ever is every button
	// there ever was, for those who scroll up.
	Screen []shown
	Ever   []button
	// Said are the ids of the texts they wrote, for those who edit one.
	Said []int64
}

type shown struct {
	ID   int64
	Rows [][]bot.Choice
}

type button struct {
	Message int64
	Choice  bot.Choice
}

// owner tells whether it is the detailer.
func (s *somebody) owner() bool { return s.ID == int64(faultsOwner) }

func (s *somebody) clone() *somebody {
	c := *s
	c.Screen, c.Ever, c.Said = slices.Clone(s.Screen), slices.Clone(s.Ever), slices.Clone(s.Said)
	return &c
}

// received puts one of the bot's messages on the screen.
func (s *somebody) received(id int64, m bot.Message) {
	s.Screen = slices.DeleteFunc(s.Screen, func(x shown) bool { return x.ID == int64(m.Edit) })
	if m.Edit != 0 {
		id = int64(m.Edit)
	}
	if len(m.Choices) == 0 {
		return
	}
	s.Screen = append(s.Screen, shown{id, m.Choices})
	for _, row := range m.Choices {
		for _, c := range row {
			s.Ever = append(s.Ever, button{id, c})
		}
	}
}

// update is one update on its way to the bot. Those of one queue arrive in order.
type update struct {
	id    int64
	queue string
	raw   []byte
	at    time.Time // when it was first handed over
}

// op is the name the bot gives it.
func (u update) op() string { return fmt.Sprint("u", u.id) }

// hand makes updates, with ids of its own.
type hand struct {
	rng             *rand.Rand
	now             time.Time
	update, message int64
}

func (h *hand) make(s *somebody, kind string, content map[string]any) update {
	h.update++
	queue := kind
	if kind == "edited_message" {
		queue = "message" // one queue at the platform: its server's webhook_queue_id
	}
	raw, err := json.Marshal(map[string]any{"update_id": h.update, kind: content})
	if err != nil {
		panic(err)
	}
	return update{id: h.update, queue: fmt.Sprintf("%s %d", queue, s.ID), raw: raw}
}

// said is a message of somebody's, with what is in it.
func (h *hand) said(s *somebody, id int64, more map[string]any) map[string]any {
	m := map[string]any{"message_id": id, "date": h.now.Unix(), "chat": map[string]any{"id": s.ID, "type": "private"},
		"from": map[string]any{"id": s.ID, "first_name": s.Name}}
	for k, v := range more {
		m[k] = v
	}
	return m
}

func (h *hand) text(s *somebody, words string) update {
	h.message++
	s.Said = append(s.Said, h.message)
	return h.make(s, "message", h.said(s, h.message, map[string]any{"text": words}))
}

func (h *hand) edit(s *somebody, words string) update {
	id := s.Said[h.rng.IntN(len(s.Said))]
	return h.make(s, "edited_message", h.said(s, id, map[string]any{"text": words, "edit_date": h.now.Unix()}))
}

func (h *hand) photo(s *somebody, album string) update {
	h.message++
	file := fmt.Sprint("file-", h.rng.IntN(4)) // sometimes the same again
	more := map[string]any{"photo": []map[string]any{{"file_id": file, "file_unique_id": file, "width": 160, "height": 120}}}
	if album != "" {
		more["media_group_id"] = album
	}
	return h.make(s, "message", h.said(s, h.message, more))
}

func (h *hand) tap(s *somebody, b button) update {
	m := h.said(s, b.Message, nil)
	return h.make(s, "callback_query", map[string]any{"id": fmt.Sprint("tap-", s.ID, "-", h.update), "data": b.Choice.Data, "message": m,
		"from": map[string]any{"id": s.ID, "first_name": s.Name}})
}

func (h *hand) member(s *somebody, status string) update {
	return h.make(s, "my_chat_member", map[string]any{"chat": map[string]any{"id": s.ID, "type": "private"}, "date": h.now.Unix(),
		"from": map[string]any{"id": s.ID, "first_name": s.Name}, "new_chat_member": map[string]any{"status": status}})
}

// choice is what a button carries: enquiry|revision|question|choice.
func (b button) choice() (question, choice string) {
	f := strings.Split(b.Choice.Data, "|")
	if len(f) != 4 {
		return "", ""
	}
	return f[2], f[3]
}

// eager is the button that leads on, false if nothing is asked.
func (h *hand) eager(s *somebody) (button, bool) {
	if len(s.Screen) == 0 {
		return button{}, false
	}
	last := s.Screen[len(s.Screen)-1]
	if s.owner() { // a request is what he looks for, whatever was said since
		for _, m := range slices.Backward(s.Screen) {
			for _, c := range slices.Concat(m.Rows...) {
				if b := (button{m.ID, c}); strings.HasSuffix(c.Data, "|approve") {
					return b, true
				}
			}
		}
	}
	var all []button
	for _, row := range last.Rows {
		for _, c := range row {
			all = append(all, button{last.ID, c})
		}
	}
	pick := func(want func(question, choice string) bool) (button, bool) {
		i := slices.IndexFunc(all, func(b button) bool { return want(b.choice()) })
		return all[max(i, 0)], i >= 0
	}
	if b, ok := pick(func(_, c string) bool { return strings.HasPrefix(c, "-") }); ok { // something is ticked
		if done, ok := pick(func(_, c string) bool { return c == "done" }); ok {
			return done, true
		}
		return b, true
	}
	if b, ok := pick(func(q, c string) bool { return q == "hazards" && c == "done" }); ok {
		return b, true // nothing like that: else nobody would get as far as a time
	}
	if q, _ := all[0].choice(); q == "slot" && len(all) > 1 {
		return all[h.rng.IntN(2)], true // everybody wants one of the first two times
	}
	return all[0], true
}

// acts are what somebody does in one round.
func (h *hand) acts(s *somebody) []update {
	var out []update
	for range 1 + h.rng.IntN(2) {
		out = append(out, h.act(s)...)
	}
	return out
}

// customers' words: answers, ways about, and nothing in particular.
var sayings = []string{"back", "2", "no photo", "Ford Fiesta", "yes", "white, a dent behind", "privacy", "person", "carry on", "start again", "100", "/start"}

func (h *hand) act(s *somebody) []update {
	b, asked := h.eager(s)
	dice := h.rng.IntN(100)
	switch {
	case dice < 45 && asked:
		return []update{h.tap(s, b)}
	case dice < 53 && asked: // pressed twice
		return []update{h.tap(s, b), h.tap(s, b)}
	case dice < 65 && asked: // any button of the latest messages
		near := s.Ever[max(0, len(s.Ever)-12):]
		return []update{h.tap(s, near[h.rng.IntN(len(near))])}
	case dice < 73 && len(s.Ever) > 0: // any button ever
		return []update{h.tap(s, s.Ever[h.rng.IntN(len(s.Ever))])}
	case dice < 77:
		return []update{h.photo(s, "")}
	case dice < 79:
		h.update++ // ids have gaps, too
		album := fmt.Sprint("album-", h.update)
		return []update{h.photo(s, album), h.photo(s, album), h.photo(s, album)}
	case dice < 82 && len(s.Said) > 0:
		return []update{h.edit(s, sayings[h.rng.IntN(len(sayings))])}
	case dice < 84 && !s.owner():
		return []update{h.text(s, "stop")}
	case dice < 85 && !s.owner():
		return []update{h.member(s, "kicked"), h.member(s, "member")}
	}
	return []update{h.text(s, sayings[h.rng.IntN(len(sayings))])}
}
