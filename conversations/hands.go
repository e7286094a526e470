package conversations

import (
	"math"
	"slices"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// Hands is what the owner has his hands in, as one document under "hands".
type Hands struct {
	// Enquiry is the job, Until when the last of it must be off: whatever has
	// happened by then, nothing waits longer.
	Enquiry string    `json:"enquiry,omitempty"`
	Until   time.Time `json:"until,omitzero"`
	// Waiting are the enquiries with something that waits for him.
	Waiting []string `json:"held,omitempty"`
}

const handsKey = "hands"

// mostHeld bounds what waits of one customer. More than that goes through.
const mostHeld = 20

// handsOf is what the owner has his hands in.
func (t *turn) handsOf() *Hands {
	if t.hands == nil {
		t.hands = &Hands{}
		t.read(handsKey, t.hands)
	}
	return t.hands
}

// handsFull: something sharp is on until then at the latest.
func (t *turn) handsFull(e *Enquiry, until time.Time) {
	h := t.handsOf()
	h.Enquiry = e.ID
	if until.After(h.Until) {
		h.Until = until
	}
	t.set(h.Until, Came{Kind: CameHands, Enquiry: e.ID})
}

// handsFree hands over what has waited, if nothing sharp is on any longer.
func (t *turn) handsFree(e *Enquiry) {
	if slices.ContainsFunc(e.Job.Clocks, func(c Clock) bool { return c.Sharp && c.Off.IsZero() && t.now.Before(c.On.Add(seconds(c.Most))) }) {
		return
	}
	if h := t.handsOf(); h.Enquiry == e.ID {
		t.handOver(h)
	}
}

// handsDue hands over what has waited when the last of it must be off, also where
// the job has been forgotten meanwhile.
func (t *turn) handsDue() {
	if h := t.handsOf(); h.Enquiry != "" && !t.now.Before(h.Until) {
		t.handOver(h)
	}
}

// handOver gives the owner what has waited for him.
func (t *turn) handOver(h *Hands) {
	if h.Enquiry != "" {
		t.unset(CameHands, &Enquiry{ID: h.Enquiry})
	}
	for _, id := range h.Waiting {
		e := t.enquiry(id)
		if e == nil {
			continue // forgotten meanwhile
		}
		for _, m := range e.Waiting {
			t.say(m)
		}
		e.Waiting = nil
	}
	*h = Hands{}
}

// holdBack keeps what a customer's event would tell the owner until his hands are
// free, and tells the customer so, once, if they wrote to him.
func (t *turn) holdBack(of bot.ChatID) {
	e := t.current(t.chat(of))
	if t.Owner == 0 || e == nil || !slices.ContainsFunc(t.out.Say, func(m bot.Message) bool { return m.Chat == t.Owner }) {
		return
	}
	h := t.handsOf()
	if !t.now.Before(h.Until) {
		t.handsDue()
		return
	}
	first, wrote := len(e.Waiting) == 0, false
	t.out.Say = slices.DeleteFunc(t.out.Say, func(m bot.Message) bool {
		if m.Chat != t.Owner || len(e.Waiting) >= mostHeld {
			return false
		}
		e.Waiting = append(e.Waiting, m)
		wrote = wrote || slices.Contains([]string{string(wording.OwnerTheirText), string(wording.OwnerAsks), string(wording.OwnerPerson), string(wording.OwnerMidJob)}, m.Kind)
		return true
	})
	if len(e.Waiting) > 0 && !slices.Contains(h.Waiting, e.ID) {
		h.Waiting = append(h.Waiting, e.ID)
	}
	if first && wrote {
		wet := t.wordTo(e.Chat, wording.HandsWet, wording.Facts{Minutes: max(1, int(math.Ceil(h.Until.Sub(t.now).Minutes())))})
		t.say(bot.Message{Chat: e.Chat, Text: wet, Kind: string(wording.HandsWet)})
	}
}
