package telegram

import (
	"sync"
	"time"
)

// brake is what the chats have in common: pauses during which nothing is sent to
// any of them, because the platform cannot be reached or has had enough of us.
type brake struct {
	mu    sync.Mutex
	until time.Time
	// missed is how often in a row the platform could not be reached.
	missed int
	// slow is a chat that was told to wait, until slowUntil.
	slow      int64
	slowUntil time.Time
}

// longestPause bounds the pause while the platform is away: that long it takes at
// most to notice that it is back.
const longestPause = time.Minute

// held tells until when nothing may be sent, the zero time if something may.
func (b *brake) held(now time.Time) (until time.Time) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if now.Before(b.until) {
		return b.until
	}
	return until
}

// reached notes that the platform has answered.
func (b *brake) reached() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.missed = 0
}

// away notes that the platform could not be reached, and returns when to try
// again. Several sends that fail together count as one.
func (b *brake) away(now time.Time) time.Time {
	b.mu.Lock()
	defer b.mu.Unlock()
	if !now.Before(b.until) {
		b.missed++
		b.until = now.Add(backoff(b.missed, longestPause))
	}
	return b.until
}

// slower notes that a chat was told to wait. If another one has been told so and
// still waits, the bot as a whole is too fast, and everybody waits.
func (b *brake) slower(chat int64, now, until time.Time) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if chat != b.slow && now.Before(b.slowUntil) && until.After(b.until) {
		b.until = until
	}
	b.slow, b.slowUntil = chat, until
}

// tries counts how often the messages now first in their chats have failed in
// their own right.
type tries struct {
	mu sync.Mutex
	n  map[string]int
}

// failed counts one more failure of a message and returns how many there were.
func (t *tries) failed(member string) int {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.n == nil {
		t.n = map[string]int{}
	}
	t.n[member]++
	return t.n[member]
}

// forget ends the count of a message that is settled.
func (t *tries) forget(member string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.n, member)
}

// backoff is the pause after the n-th failure: 1, 2, 4 … seconds, at most most.
func backoff(n int, most time.Duration) time.Duration {
	d := time.Second
	for ; n > 1 && d < most; n-- {
		d *= 2
	}
	return min(d, most)
}
