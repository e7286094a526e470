package sweep

import (
	"context"
	"log/slog"
	"testing"
	"time"

	"github.com/robfig/cron/v3"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// A sweep that sleeps until something falls due is woken for what comes before that,
// and left alone for what comes later.
func TestWake(t *testing.T) {
	l, err := ledger.New(ledgertest.Client(t, ledgertest.NewServer(t).URL()), "sweep")
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 11, 28, 9, 0, 0, 0, time.UTC)
	set := func(op string, at time.Time) {
		t.Helper()
		if _, err := l.Commit(t.Context(), ledger.Change{Op: op, Now: now, Set: []ledger.Due{{ID: op, At: at, Body: []byte(`{}`)}}}); err != nil {
			t.Fatal(err)
		}
	}
	set("one", now.Add(20*time.Minute))
	asked := make(chan struct{}, 100)
	s := &Sweep{Ledger: l, Schedule: cron.Every(time.Hour), Woken: make(chan struct{}, 1), Log: slog.New(slog.DiscardHandler),
		Now: func() time.Time { asked <- struct{}{}; return now }}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() { s.Run(ctx); close(ended) }()
	// It asks for the time when it claims, and when it looks how long to sleep.
	sleeps := func() {
		t.Helper()
		for range 2 {
			select {
			case <-asked:
			case <-time.After(time.Minute):
				t.Fatal("it was not woken")
			}
		}
		for began := time.Now(); s.asleep.Load() == nil; time.Sleep(time.Millisecond) {
			if time.Since(began) > time.Minute {
				t.Fatal("it does not go to sleep")
			}
		}
	}
	sleeps()
	s.Wake(now.Add(20 * time.Minute))
	s.Wake(now.Add(24 * time.Hour))
	if len(s.Woken) != 0 || len(asked) != 0 {
		t.Error("woken for what comes later")
	}
	s.Wake(now.Add(10 * time.Minute)) // which has gone again
	sleeps()
	set("two", now.Add(5*time.Minute))
	s.Wake(now.Add(5 * time.Minute))
	sleeps()
	s.Wake(now.Add(6 * time.Minute))
	if len(s.Woken) != 0 || len(asked) != 0 {
		t.Error("woken for what comes later")
	}
	stop()
	<-ended
}
