package standin

import (
	"errors"
	"maps"
	"net/http"
	"time"
)

// Kind is what happened in a chat.
type Kind string

// The kinds of [Event].
const (
	Said        Kind = "said"        // a message, by the bot or the person
	Edited      Kind = "edited"      // its words (and perhaps its buttons) changed
	Rebuttoned  Kind = "rebuttoned"  // only its buttons changed
	Deleted     Kind = "deleted"     // the bot took it back
	Tapped      Kind = "tapped"      // the person pressed a button; Text is its label, if the button was there
	Toast       Kind = "toast"       // a press was answered; Text is the short answer, often empty
	Typing      Kind = "typing"      // the bot shows that it is busy; Text is with what
	Blocked     Kind = "blocked"     // the person shut the bot out
	Unblocked   Kind = "unblocked"   // the person let it in again
	Unavailable Kind = "unavailable" // an update was lost; Text is its kind
)

// Event is one thing that happened in a chat, in the order in which it did.
type Event struct {
	Kind Kind
	At   time.Time
	Chat int64
	// Line is the message as it then stood, for the kinds that have one.
	Line  Line
	Text  string
	Alert bool // a Toast that must be closed by hand
}

// Line is one message of a chat, as the person sees it.
type Line struct {
	ID   int64
	At   time.Time // whole seconds, UTC
	Bot  bool      // said by the bot
	From string
	// What is text, photo, document, location, sticker or voice.
	What    string
	Text    string // or the caption
	Buttons [][]Button
	// File is the id of the picture or the file, for [Standin.File].
	File string
	// FileName is what a document is called, or a photo the bot uploaded; whoever shows
	// a chat may say by it what is to be seen.
	FileName            string
	Width, Height       int    // of a photo
	Album               string // the same for pictures sent together
	Latitude, Longitude float64
	Edited              bool
	ReplyTo             int64
}

// Count is how often a method was called, and how often of these refused.
type Count struct{ Calls, Refused int }

// Refusal is a call that was refused.
type Refusal struct {
	At          time.Time
	Method      string
	Chat        int64
	Code        int
	Description string
	// Fault tells that it was asked for with [Standin.Fault], or is a 429 that
	// followed from one.
	Fault bool
}

// journal is what happened so far.
type journal struct {
	events     []Event
	calls      map[string]Count
	refusals   []Refusal
	deliveries Deliveries
}

func newJournal() journal { return journal{calls: map[string]Count{}} }

// record adds an event. The caller holds mu.
func (s *Standin) record(e Event) {
	e.At = s.clock.Now()
	s.journal.events = append(s.journal.events, e)
	s.note()
}

// Since returns what happened after the first n events, and how many there are
// now: the n to ask with next time. To be woken, see [Standin.Changed].
func (s *Standin) Since(n int) ([]Event, int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	all := s.journal.events
	return append([]Event(nil), all[min(max(n, 0), len(all)):]...), len(all)
}

// Chat returns the chat as this person sees it, oldest message first.
func (p *Person) Chat() []Line {
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	lines := make([]Line, 0, len(p.lines))
	for _, m := range p.lines {
		lines = append(lines, p.s.line(m))
	}
	return lines
}

// Keyboard returns the labels of the reply keyboard below the chat, if any.
func (p *Person) Keyboard() [][]string {
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	return p.keyboard
}

// line is a message as a person sees it.
func (s *Standin) line(m *wireMessage) Line {
	l := Line{ID: m.ID, At: time.Unix(m.Date, 0).UTC(), Bot: m.From.IsBot, From: m.From.FirstName, What: "text",
		Text: m.Text + m.Caption, Album: m.Album, Edited: m.EditDate != 0}
	if m.Markup != nil {
		l.Buttons = m.Markup.Rows
	}
	if m.ReplyTo != nil {
		l.ReplyTo = m.ReplyTo.ID
	}
	switch {
	case len(m.Photo) > 0:
		largest := m.Photo[len(m.Photo)-1]
		l.What, l.File, l.FileName, l.Width, l.Height = "photo", largest.ID, largest.Name, largest.Width, largest.Height
	case m.Document != nil:
		l.What, l.File, l.FileName = "document", m.Document.ID, m.Document.Name
	case m.Location != nil:
		l.What, l.Latitude, l.Longitude = "location", m.Location.Latitude, m.Location.Longitude
	case m.Sticker != nil:
		l.What, l.Text = "sticker", m.Sticker.Emoji
	case m.Voice != nil:
		l.What = "voice"
	}
	return l
}

// count notes a call and how it ended.
func (s *Standin) count(r Refusal, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.journal.calls[r.Method]
	c.Calls++
	if err != nil {
		c.Refused++
		var no *refusal
		if errors.As(err, &no) {
			r.Code, r.Description, r.Fault = no.Code, no.Description, no.fault
		} else {
			r.Code, r.Description = http.StatusInternalServerError, err.Error()
		}
		r.At = s.clock.Now()
		s.journal.refusals = append(s.journal.refusals, r)
	}
	s.journal.calls[r.Method] = c
	s.note()
}

// Calls returns how often each method was called, by its documented name.
func (s *Standin) Calls() map[string]Count {
	s.mu.Lock()
	defer s.mu.Unlock()
	return maps.Clone(s.journal.calls)
}

// Refusals returns the calls that were refused, in order.
func (s *Standin) Refusals() []Refusal {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]Refusal(nil), s.journal.refusals...)
}
