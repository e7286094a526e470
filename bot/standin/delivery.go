package standin

import (
	"context"
	"fmt"
	"slices"
	"time"
)

// Delivery by the rules of tdlib/telegram-bot-api (WebhookActor.cpp @ 01a3679c,
// May 2026): see launch, attempt and settle.
const (
	answerLimit   = 60 * time.Second
	maxRetryDelay = 60   // seconds; with chance, up to twice as many
	maxRetryAfter = 3600 // seconds
	goneLimit     = 23 * time.Hour
)

// update is one update that has not been confirmed.
type update struct {
	id      int64
	kind    string
	queue   string // updates of one queue are delivered one after the other
	chat    int64
	body    []byte
	expires time.Time

	due       time.Time // of the next try
	delay     int       // seconds, before the last try that was put off
	fails     int
	flying    bool
	confirmed bool // by getUpdates
}

// Disorder makes the platform's delivery as unpleasant as it may be.
type Disorder struct {
	// Copies delivers every update this many times, as if the first answers had
	// been lost: one after the other, or all at once if Together.
	Copies   int
	Together bool
	// Delay holds every update back for this long, or, with [Config.Rand], for a
	// random time up to it. The clock must move for it to end.
	Delay time.Duration
	// Shuffle lets the queues go in a random order. It needs [Config.Rand].
	Shuffle bool
}

// SetDisorder changes how what has not yet been sent is delivered. The zero
// value is good behaviour.
func (s *Standin) SetDisorder(d Disorder) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.disorder = d
}

// Lost is an update that was given up because it was too old.
type Lost struct {
	ID   int64
	Kind string
	Chat int64
	At   time.Time
}

// Lost returns the updates that were given up, in order.
func (s *Standin) Lost() []Lost {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.lost)
}

// Deliveries counts what became of updates: requests made, updates the bot
// accepted, tries that failed.
type Deliveries struct{ Requests, Accepted, Failed int }

// Deliveries returns the counts so far.
func (s *Standin) Deliveries() Deliveries {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.journal.deliveries
}

// Waiting is how many updates are waiting, under way, or to be tried again.
func (s *Standin) Waiting() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.pending)
}

// Quiet waits until the bot has accepted every update, or it was lost. An update
// that waits for another try counts as waiting: if the clock stands still, that
// is until ctx ends, which is an error.
func (s *Standin) Quiet(ctx context.Context) error {
	for {
		s.mu.Lock()
		n, changed := len(s.pending), s.changed
		s.mu.Unlock()
		if n == 0 {
			return nil
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return fmt.Errorf("standin: %d updates are still waiting: %w", n, ctx.Err())
		case <-s.closed:
			return fmt.Errorf("standin: closed while %d updates were waiting", n)
		}
	}
}

// Inject sends the bot an update of any kind, its content as given: the kinds
// persons do not make. It has the lifetime of a message.
func (s *Standin) Inject(kind string, chat int64, content any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.enqueue(kind, kind, chat, s.clock.Now().Add(messageLife), content)
	s.note()
}

// enqueue puts an update on its way. The queue is one per name and chat. The
// caller holds mu and notes the change.
func (s *Standin) enqueue(kind, queue string, chat int64, expires time.Time, content any) {
	if !s.hook.wants(kind) {
		return
	}
	s.last.update++
	delay := s.disorder.Delay
	if delay > 0 && s.rand != nil {
		delay = time.Duration(s.rand.Int64N(int64(delay) + 1))
	}
	s.pending = append(s.pending, &update{
		id: s.last.update, kind: kind, queue: fmt.Sprintf("%s %d", queue, chat), chat: chat, expires: expires,
		due: s.clock.Now().Add(delay), delay: 1,
		body: encode(map[string]any{"update_id": s.last.update, kind: content}),
	})
	s.note()
}

// drop forgets updates. The caller holds mu.
func (s *Standin) drop(which func(*update) bool) {
	s.pending = slices.DeleteFunc(s.pending, which)
}

// lose gives an update up. The caller holds mu.
func (s *Standin) lose(u *update, now time.Time) {
	s.drop(func(o *update) bool { return o == u })
	s.lost = append(s.lost, Lost{ID: u.id, Kind: u.kind, Chat: u.chat, At: now})
	s.record(Event{Kind: Unavailable, Chat: u.chat, Text: u.kind})
}

// expire gives up what is too old and not under way. The caller holds mu.
func (s *Standin) expire(now time.Time) {
	for _, u := range slices.Clone(s.pending) {
		if !u.flying && !now.Before(u.expires) {
			s.lose(u, now)
		}
	}
}

// deliver is the loop that sends updates until the stand-in is closed.
func (s *Standin) deliver() {
	for {
		wake, stop := s.launch()
		select {
		case <-s.kick:
		case <-wake:
		case <-s.closed:
			stop()
			return
		}
		stop()
	}
}

// launch sends what can be sent now, and returns when to look again.
func (s *Standin) launch() (wake <-chan struct{}, stop func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.clock.Now()
	s.expire(now)
	for _, u := range s.ready(now) {
		u.flying = true
		hook, disorder := s.hook, s.disorder
		s.work.Go(func() { s.attempt(u, hook, disorder) })
	}
	var next time.Time
	for _, u := range s.pending {
		for _, t := range []time.Time{u.due, u.expires} {
			if !u.flying && t.After(now) && (next.IsZero() || t.Before(next)) {
				next = t
			}
		}
	}
	if next.IsZero() {
		return nil, func() {}
	}
	return s.clock.wait(next)
}

// ready are the heads of queues that are due, as many as there are connections
// left. The caller holds mu.
func (s *Standin) ready(now time.Time) (heads []*update) {
	if s.hook.url == "" || s.stopped {
		return nil
	}
	seen := map[string]bool{}
	free := int(s.hook.max)
	for _, u := range s.pending {
		if u.flying {
			free--
		}
		if !seen[u.queue] && !u.flying && !u.due.After(now) {
			heads = append(heads, u)
		}
		seen[u.queue] = true
	}
	// Chance is drawn on only when something can leave: how often the loop looks
	// in vain depends on the scheduler, and must not change what follows.
	if free <= 0 {
		return nil
	}
	if s.disorder.Shuffle && s.rand != nil {
		s.rand.Shuffle(len(heads), func(i, j int) { heads[i], heads[j] = heads[j], heads[i] })
	}
	return heads[:min(free, len(heads))]
}

// settle notes how a try ended: done, given up, or to be tried again. The first
// failure is tried again at once, then after 2, 4, 8 … seconds; a Retry-After
// rules instead. What would be too old by then is given up now.
func (s *Standin) settle(u *update, out outcome) {
	s.mu.Lock()
	defer s.mu.Unlock()
	defer s.note()
	u.flying = false
	now := s.clock.Now()
	if out.failed == "" {
		s.journal.deliveries.Accepted++
		s.hook.goneSince = time.Time{}
		s.drop(func(o *update) bool { return o == u })
		return
	}
	s.journal.deliveries.Failed++
	s.hook.lastError, s.hook.lastAt = out.failed, now
	s.heedGone(out.gone, now)
	wait := min(out.retryAfter, maxRetryAfter)
	if wait <= 0 && u.fails > 0 {
		limit := maxRetryDelay
		if s.rand != nil {
			limit += s.rand.IntN(maxRetryDelay + 1)
		}
		u.delay = min(limit, u.delay*2)
		wait = u.delay
	}
	u.fails++
	u.due = now.Add(time.Duration(max(wait, 0)) * time.Second)
	s.log.Warn("update was not accepted", "update", u.id, "kind", u.kind, "fails", u.fails, "wait_s", wait)
	if u.due.After(u.expires) {
		s.lose(u, now)
	}
}

// heedGone takes the webhook away after 23 hours of nothing but 410. The caller
// holds mu.
func (s *Standin) heedGone(gone bool, now time.Time) {
	switch {
	case !gone:
		s.hook.goneSince = time.Time{}
	case s.hook.goneSince.IsZero():
		s.hook.goneSince = now
	case now.Sub(s.hook.goneSince) >= goneLimit:
		s.hook = webhook{allowed: s.hook.allowed}
	}
}
