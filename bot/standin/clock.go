package standin

import (
	"sync"
	"time"
)

// Clock tells the stand-in what time it is. It moves only forwards: by hand
// ([NewClock]), or with the wall clock plus what it was pushed ([RealClock]).
// It may be used by several goroutines, and by the bot under test as well, so
// that both live at the same time.
type Clock struct {
	mu      sync.Mutex
	real    bool
	now     time.Time     // of a clock that stands
	pushed  time.Duration // ahead of the wall clock
	waiting map[*waiter]struct{}
}

// waiter is somebody who waits for a moment.
type waiter struct {
	at    time.Time
	done  chan struct{}
	timer *time.Timer // of a clock that runs
}

// NewClock returns a clock that stands at start until it is pushed.
func NewClock(start time.Time) *Clock {
	return &Clock{now: start, waiting: map[*waiter]struct{}{}}
}

// RealClock returns a clock that runs with the wall clock, and ahead of it once
// pushed.
func RealClock() *Clock {
	return &Clock{real: true, waiting: map[*waiter]struct{}{}}
}

// Now is the moment the clock shows.
func (c *Clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.show()
}

func (c *Clock) show() time.Time {
	if c.real {
		return time.Now().Add(c.pushed)
	}
	return c.now
}

// Set pushes the clock to t and wakes whoever waited for a moment up to then.
// A moment that has passed leaves the clock as it is.
func (c *Clock) Set(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	d := t.Sub(c.show())
	if d <= 0 {
		return
	}
	if c.real {
		c.pushed += d
	} else {
		c.now = t
	}
	c.wake()
}

// Advance pushes the clock by d.
func (c *Clock) Advance(d time.Duration) { c.Set(c.Now().Add(d)) }

// After returns a channel that is closed once the clock shows t or later.
func (c *Clock) After(t time.Time) <-chan struct{} {
	done, _ := c.wait(t)
	return done
}

// Next returns the earliest moment anybody waits for, so that whoever pushes
// the clock far can visit every such moment on the way.
func (c *Clock) Next() (t time.Time, ok bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for w := range c.waiting {
		if !ok || w.at.Before(t) {
			t, ok = w.at, true
		}
	}
	return t, ok
}

// wait is After with a function to give up waiting.
func (c *Clock) wait(t time.Time) (done <-chan struct{}, stop func()) {
	c.mu.Lock()
	defer c.mu.Unlock()
	w := &waiter{at: t, done: make(chan struct{})}
	left := t.Sub(c.show())
	if left <= 0 {
		close(w.done)
		return w.done, func() {}
	}
	c.waiting[w] = struct{}{}
	if c.real {
		w.timer = time.AfterFunc(left, func() {
			c.mu.Lock()
			defer c.mu.Unlock()
			c.wake()
		})
	}
	return w.done, func() {
		c.mu.Lock()
		defer c.mu.Unlock()
		c.forget(w)
	}
}

// wake lets go whoever waited for a moment that has come. A timer that fired a
// little early is set again.
func (c *Clock) wake() {
	now := c.show()
	for w := range c.waiting {
		if left := w.at.Sub(now); left > 0 {
			if w.timer != nil {
				w.timer.Reset(left)
			}
			continue
		}
		c.forget(w)
		close(w.done)
	}
}

func (c *Clock) forget(w *waiter) {
	delete(c.waiting, w)
	if w.timer != nil {
		w.timer.Stop()
	}
}
