package telegram

import (
	"sync"
	"time"

	"example.org/dryhand/bot"
)

const (
	// burst is how many things one person may send at once: four albums, or an
	// impatient minute of taps.
	burst = 40
	// each is how long one more of them takes to be earned back.
	each = 2 * time.Second
	// mostSources bounds what is remembered. Who has been quiet for a while need not
	// be.
	mostSources = 8192
)

// flood tells who sends more than anybody can mean. What counts is when a thing was
// sent, not when it reached us, so that a day's messages after an outage are not a
// flood. Presses carry no time and count when they reach us, by themselves: they
// come in no order with the rest.
type flood struct {
	mu    sync.Mutex
	pours map[source]*pour
}

// source is one queue of the platform.
type source struct {
	chat bot.ChatID
	taps bool
}

func sourceOf(e bot.Event) source {
	_, isTap := e.What.(bot.Tap)
	return source{e.Chat, isTap}
}

// pour is what came from one source of late. Each thing moves full on by a bit, and
// time catches up with it.
type pour struct {
	full, latest time.Time
	// told: they have heard that they are too fast.
	told bool
}

// tooFast tells whether an event is one too many. It counts only once it is through,
// by counted: what fails is brought again every second as long as the store is away,
// and that is nobody's flood.
func (h *Webhook) tooFast(e bot.Event) bool {
	return h.limited(e) && !h.flood.room(sourceOf(e), h.sent(e))
}

// counted counts an event that is through.
func (h *Webhook) counted(e bot.Event) {
	if h.limited(e) {
		h.flood.spend(sourceOf(e), h.sent(e))
	}
}

func (h *Webhook) limited(e bot.Event) bool {
	_, news := e.What.(bot.Membership) // the platform's own, and it must not be missed
	return h.TooFast != nil && !news && (h.Exempt == nil || !h.Exempt(e.Chat))
}

// sent is when an event was sent, as far as is known.
func (h *Webhook) sent(e bot.Event) time.Time {
	if e.At.IsZero() {
		return h.Now()
	}
	return e.At
}

// room tells whether a source may send one more thing at a moment.
func (f *flood) room(from source, at time.Time) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.at(from, at).ahead() < burst*each
}

// spend counts one more thing of a source.
func (f *flood) spend(from source, at time.Time) {
	f.mu.Lock()
	defer f.mu.Unlock()
	p := f.at(from, at)
	p.full = p.full.Add(each)
	if p.ahead() <= burst*each/2 {
		p.told = false
	}
}

// ahead is how far a source is ahead of time.
func (p *pour) ahead() time.Duration { return p.full.Sub(p.latest) }

// at is what came from a source, at a moment.
func (f *flood) at(from source, at time.Time) *pour {
	p := f.pours[from]
	if p == nil {
		f.makeRoom(at)
		p = &pour{full: at, latest: at}
		f.pours[from] = p
	}
	if at.After(p.latest) {
		p.latest = at
	}
	if p.full.Before(p.latest) {
		p.full = p.latest
	}
	return p
}

// tell notes that a source has heard, or has not, that it is too fast. It returns
// whether that is news.
func (f *flood) tell(from source, told bool) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	p := f.pours[from]
	news := p != nil && p.told != told
	if news {
		p.told = told
	}
	return news
}

// makeRoom forgets the quiet, and everybody if all are loud: they begin anew.
func (f *flood) makeRoom(now time.Time) {
	if f.pours == nil {
		f.pours = map[source]*pour{}
	}
	if len(f.pours) < mostSources {
		return
	}
	for from, p := range f.pours {
		if !p.full.After(now) {
			delete(f.pours, from)
		}
	}
	if len(f.pours) >= mostSources {
		clear(f.pours)
	}
}
