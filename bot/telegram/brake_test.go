package telegram_test

import (
	"context"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
)

// By the time the request leaves, the ledger knows: whoever finds the message
// after this process has ended does not send it again.
func TestOnceIsMarkedInTheLedger(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.customer(mia)
	began := false
	w.sender.Point = func(name, _ string) {
		if name != "send:begun" {
			return
		}
		later := w.clock.Now().Add(time.Hour)
		claimed, err := w.ledger.ClaimOut(context.Background(), later, time.Minute, 1)
		if err != nil || len(claimed) != 1 {
			t.Fatalf("claimed %v after the lease: %v", claimed, err)
		}
		began = claimed[0].Began
	}
	w.queue(bot.Message{Chat: mia, Text: "one", Delivery: bot.Once})
	w.work()
	if !began {
		t.Error("the message does not count as begun")
	}
}

// next is how long from now until something may be sent.
func (w *world) next() time.Duration {
	w.t.Helper()
	at, ok, err := w.ledger.NextOut(context.Background())
	if err != nil || !ok {
		w.t.Fatalf("nothing is queued: %v", err)
	}
	return at.Sub(w.clock.Now())
}

// Pauses grow while the platform cannot be used, and begin anew once it has
// answered.
func TestPausesGrowAndBeginAnew(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.customer(mia)
	fail := func() (pauses []time.Duration) {
		w.Fault("sendMessage", standin.Fault{Times: 8, Status: 401})
		w.queue(bot.Message{Chat: mia, Text: "one"})
		for range 8 {
			w.work()
			pauses = append(pauses, w.next())
			w.clock.Advance(w.next())
		}
		w.drain()
		w.clock.Advance(time.Minute)
		return pauses
	}
	want := []time.Duration{1, 2, 4, 8, 16, 32, 60, 60}
	for i := range want {
		want[i] *= time.Second
	}
	for _, round := range []string{"first", "second"} {
		if diff := cmp.Diff(want, fail()); diff != "" {
			t.Errorf("%s time (-want +got):\n%s", round, diff)
		}
	}
}

// Sends that fail beside each other are one failure, not several.
func TestFailuresTogetherCountOnce(t *testing.T) {
	w := newWorld(t, standin.Config{})
	const chats = 4
	w.sender.Parallel = chats
	var arrived atomic.Int32
	all := make(chan struct{})
	w.sender.Point = func(name, _ string) {
		if name != "send:called" {
			return
		}
		if arrived.Add(1) == chats {
			close(all)
		}
		<-all // so that all have been answered before any is settled
	}
	for chat := int64(1); chat <= chats; chat++ {
		w.customer(chat)
		w.queue(bot.Message{Chat: bot.ChatID(chat), Text: "one"})
	}
	w.Fault("sendMessage", standin.Fault{Times: chats, Status: 401})
	w.work()
	if got := w.next(); got != time.Second {
		t.Errorf("next try after %v, want 1s", got)
	}
	at := w.clock.Now().Add(time.Second)
	claimed, err := w.ledger.ClaimOut(context.Background(), at, time.Minute, chats)
	if err != nil || len(claimed) != chats {
		t.Errorf("%d of %d chats may be tried after a second (%v)", len(claimed), chats, err)
	}
}
