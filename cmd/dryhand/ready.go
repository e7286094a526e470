package main

import (
	"context"
	"fmt"
	"net/http"
	"sync"
	"time"
)

// readiness tells whether the ledger can be written to. To know that it writes, and
// anybody may ask: so one answer, good or bad, serves everybody for a while.
type readiness struct {
	check func(context.Context) error
	now   func() time.Time

	mu  sync.Mutex
	at  time.Time
	err error
}

// readyFor is how long an answer holds.
const readyFor = time.Second

// ask is whether it can be written to, by an answer that is no older than readyFor.
func (r *readiness) ask(ctx context.Context) error {
	const patience = 5 * time.Second
	r.mu.Lock()
	defer r.mu.Unlock()
	if age := r.now().Sub(r.at); r.at.IsZero() || age < 0 || age >= readyFor {
		// Whoever asked first may hang up; the answer is for the others too.
		ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
		defer cancel()
		r.err = r.check(ctx)
		r.at = r.now()
	}
	return r.err
}

// serveReady answers 200 while updates can be taken, and 503 while they cannot.
func (p *parts) serveReady(w http.ResponseWriter, r *http.Request) {
	if err := p.ready.ask(r.Context()); err != nil {
		p.log.Warn("not ready", "err", err)
		http.Error(w, "the store cannot be written", http.StatusServiceUnavailable)
		return
	}
	fmt.Fprintln(w, "ready")
}
