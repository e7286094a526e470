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

// tooFast tells whether an event is one too many.
func (h *Webhook) tooFast(e bot.Event) bool {
	if h.TooFast == nil || h.Exempt != nil && h.Exempt(e.Chat) {
		return false
	}
	if _, news := e.What.(bot.Membership); news {
		return false // the platform's own, and it must not be missed
	}
	at := e.At
	if at.IsZero() {
		at = h.Now()
	}
	return h.flood.over(sourceOf(e), at)
}

// over counts one more thing from a source, sent at a moment.
func (f *flood) over(from source, at time.Time) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
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
	ahead := p.full.Add(each).Sub(p.latest)
	if ahead > burst*each {
		return true
	}
	p.full = p.full.Add(each)
	if ahead <= burst*each/2 {
		p.told = false
	}
	return false
}

// first tells whether nobody has been told yet that this source is too fast.
func (f *flood) first(from source) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	p := f.pours[from]
	first := p != nil && !p.told
	if first {
		p.told = true
	}
	return first
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
