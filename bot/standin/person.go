package standin

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Lifetimes of undelivered updates (core.telegram.org/bots/api#getting-updates;
// tdlib/telegram-bot-api, Client.cpp, add_update).
const (
	messageLife = 24 * time.Hour
	tapLife     = 150 * time.Second
)

// Person is somebody with a private chat with the bot. What they do reaches the
// bot as updates. A person who has shut the bot out lets it in again by writing,
// as their client makes them do (from memory).
type Person struct {
	s        *Standin
	id       int64
	name     string
	language string
	started  bool
	blocked  bool
	lines    []*wireMessage
	keyboard [][]string
}

// Person returns the person with this id, making them known to the platform if
// they are not. The bot cannot write to them before they have written to it.
func (s *Standin) Person(id int64, firstName string) *Person {
	s.mu.Lock()
	defer s.mu.Unlock()
	p := s.persons[id]
	if p == nil {
		p = &Person{s: s, id: id, name: firstName}
		s.persons[id] = p
	}
	return p
}

// ID is the person's id and that of their chat.
func (p *Person) ID() int64 { return p.id }

// Name is the person's first name.
func (p *Person) Name() string { return p.name }

func (p *Person) user() wireUser { return wireUser{ID: p.id, FirstName: p.name, Language: p.language} }
func (p *Person) chat() wireChat { return wireChat{ID: p.id, Type: "private", FirstName: p.name} }

// Reads sets the language of the person's program, as an IETF tag: what the platform
// calls language_code.
func (p *Person) Reads(language string) {
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	p.language = language
}

// Start lets the bot write to this person, as if they had written to it long ago.
func (p *Person) Start() {
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	p.started = true
}

// Say writes a text and returns the id of its message. A text longer than a
// message holds goes as several, as a client sends it; of an empty one nothing
// is sent and 0 returned.
func (p *Person) Say(text string) int64 { return p.Reply(0, text) }

// Reply is Say in answer to an earlier message.
func (p *Person) Reply(to int64, text string) (first int64) {
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	for _, piece := range pieces(strings.TrimSpace(text), maxText) {
		m := wireMessage{Text: piece, Entities: commandEntities(piece)}
		if i := p.index(to); i >= 0 {
			replied := *p.lines[i]
			replied.ReplyTo = nil
			m.ReplyTo = &replied
		}
		if id := p.write(m); first == 0 {
			first = id
		}
	}
	return first
}

// Forward sends on what somebody wrote elsewhere, and returns the id of its message.
// Of them the bot sees only the name.
func (p *Person) Forward(of, text string) int64 {
	return p.send(wireMessage{Text: text, Entities: commandEntities(text), Origin: p.s.origin(of)})
}

// origin is somebody's whose message is sent on.
func (s *Standin) origin(of string) *wireOrigin {
	return &wireOrigin{Type: "hidden_user", Date: s.clock.Now().Unix(), Name: of}
}

// pieces cuts a text into pieces of at most limit UTF-16 units.
func pieces(text string, limit int) (all []string) {
	for units(text) > limit {
		n, used := 0, 0
		for _, r := range text {
			if used += units(string(r)); used > limit {
				break
			}
			n += len(string(r))
		}
		all, text = append(all, text[:n]), text[n:]
	}
	if text == "" {
		return all
	}
	return append(all, text)
}

// Edit changes the text, or the caption, of a message of this person.
func (p *Person) Edit(msgID int64, text string) error {
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	i := p.index(msgID)
	if i < 0 || p.lines[i].From.IsBot {
		return fmt.Errorf("standin: editing message %d: not a message of %s", msgID, p.name)
	}
	m := p.lines[i]
	if m.Text != "" {
		m.Text, m.Entities = text, commandEntities(text)
	} else {
		m.Caption = text
	}
	now := p.s.clock.Now()
	m.EditDate = now.Unix()
	p.s.record(Event{Kind: Edited, Chat: p.id, Line: p.s.line(m)})
	p.s.enqueue("edited_message", "message", p.id, now.Add(messageLife), *m)
	return nil
}

// SendSticker sends a sticker, SendVoice a voice note: kinds of content a bot
// may not expect.
func (p *Person) SendSticker(emoji string) int64 {
	sticker := wireSticker{Type: "regular", Emoji: emoji, wirePhoto: wirePhoto{ID: "sticker-" + emoji, Unique: "u-sticker-" + emoji, Width: 512, Height: 512}}
	return p.send(wireMessage{Sticker: &sticker})
}

// SendVoice sends a voice note of some seconds, without sound.
func (p *Person) SendVoice(seconds int) int64 {
	id := strconv.Itoa(seconds)
	return p.send(wireMessage{Voice: &wireVoice{Duration: seconds, wireDocument: wireDocument{ID: "voice-" + id, Unique: "u-voice-" + id, MIME: "audio/ogg"}}})
}

// SendLocation shares a place, in degrees.
func (p *Person) SendLocation(latitude, longitude float64) int64 {
	return p.send(wireMessage{Location: &wireLocation{latitude, longitude}})
}

func (p *Person) send(m wireMessage) int64 {
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	return p.write(m)
}

// write puts a message of this person into the chat and on its way to the bot.
// The caller holds mu.
func (p *Person) write(m wireMessage) int64 {
	if p.blocked {
		p.member(false)
	}
	p.started = true
	from := p.user()
	sent := p.s.add(p, from, m)
	p.s.enqueue("message", "message", p.id, p.s.clock.Now().Add(messageLife), *sent)
	return sent.ID
}

// add puts a message into a chat. The caller holds mu.
func (s *Standin) add(to *Person, from wireUser, m wireMessage) *wireMessage {
	s.last.message++
	m.ID, m.From, m.Chat, m.Date = s.last.message, &from, to.chat(), s.clock.Now().Unix()
	to.lines = append(to.lines, &m)
	s.record(Event{Kind: Said, Chat: to.id, Line: s.line(&m)})
	return &m
}

// Block shuts the bot out; it is told so.
func (p *Person) Block() { p.setBlocked(true) }

// Unblock lets the bot in again; it is told so.
func (p *Person) Unblock() { p.setBlocked(false) }

func (p *Person) setBlocked(blocked bool) {
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	if p.blocked != blocked {
		p.member(blocked)
	}
}

func (p *Person) member(blocked bool) {
	p.blocked = blocked
	now := p.s.clock.Now()
	in := wireMember{User: p.s.bot, Status: "member"}
	out := wireMember{User: p.s.bot, Status: "kicked", Until: new(int64)}
	kind, change := Unblocked, wireMembership{Chat: p.chat(), From: p.user(), Date: now.Unix(), Old: out, New: in}
	if blocked {
		kind, change.Old, change.New = Blocked, in, out
	}
	p.s.record(Event{Kind: kind, Chat: p.id})
	p.s.enqueue("my_chat_member", "my_chat_member", p.id, now.Add(messageLife), change)
}

// index finds a message in the chat, -1 if it is not there.
func (p *Person) index(id int64) int {
	return slices.IndexFunc(p.lines, func(m *wireMessage) bool { return m.ID == id })
}

// reachable finds the chat a call is for, or says why the bot cannot write to
// it. The caller holds mu.
func (s *Standin) reachable(p params) (*Person, error) {
	to := s.persons[p.integer("chat_id")]
	switch {
	case to == nil:
		return nil, badRequest("chat not found")
	case !to.started:
		return nil, forbidden("bot can't initiate conversation with a user")
	case to.blocked:
		return nil, forbidden("bot was blocked by the user")
	}
	return to, nil
}

func forbidden(words string) error {
	return &refusal{Code: http.StatusForbidden, Description: "Forbidden: " + words}
}

var errBlocked = errors.New("standin: this person has shut the bot out")
