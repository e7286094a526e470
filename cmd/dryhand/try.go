package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"time"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/standin/page"
	"example.org/dryhand/conversations/pictures"
)

// tryCommand serves the local chat page.
type tryCommand struct {
	Listen string `help:"Address to listen on. Whoever reaches it can use the page." default:"127.0.0.1:8090"`
	business
}

// Run serves the page until it is told to stop; then everything said is gone.
func (c *tryCommand) Run(ctx context.Context, std streams) error {
	of, err := c.loadAll()
	if err != nil {
		return err
	}
	log := slog.New(slog.NewTextHandler(std.err, &slog.HandlerOptions{Level: slog.LevelWarn}))
	if of.files, err = newKept(c.business, of, log); err != nil {
		return err
	}
	t, err := newTrial(ctx, of, standin.RealClock(), log)
	if err != nil {
		return err
	}
	defer t.close()
	listener, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("listening on %s: %w", c.Listen, err)
	}
	fmt.Fprintf(std.out, "The chat is at http://%s/\nNobody there is real, and it is all in memory: Ctrl-C ends it and forgets it.\n", listener.Addr())
	return t.serve(ctx, listener)
}

// trial is a world with people at a page. Its time passes by itself and can be
// pushed besides.
type trial struct {
	*world
	page *page.Page
	// files, if set, are looked at for changes, as when serving.
	files      *kept
	situations []situation
	hills      hills
	// working lets one at a time do what is ready. The ledger's leases would keep
	// two from doing the same thing; but a push would take the end of the other's
	// lease for the next thing due, run the clock on to it, and do it again.
	working sync.Mutex
}

// newTrial opens a world in which the owner has said hello and a first customer
// can be played.
func newTrial(ctx context.Context, of loaded, clock *standin.Clock, log *slog.Logger) (*trial, error) {
	w, err := newWorld(ctx, of, clock, log)
	if err != nil {
		return nil, err
	}
	t := &trial{world: w, files: of.files}
	if t.situations, err = situations(w.zone); err != nil {
		w.close()
		return nil, err
	}
	var offered []page.Situation
	for _, s := range t.situations {
		offered = append(offered, s.Situation)
	}
	owner := w.standin.Person(int64(playedOwner), "Owner")
	owner.Say("/start")
	if err := t.settle(ctx); err != nil {
		w.close()
		return nil, err
	}
	t.page = page.New(page.Config{
		Standin: w.standin, Zone: w.zone, Owner: owner,
		Customers:  []*standin.Person{w.standin.Person(owner.ID()+1, "Ellie")},
		Situations: offered,
		Pictures:   map[string]string{pictures.Beads + ".png": "Water on paint: standing in beads on the left, lying flat on the right", "figures.png": "Your figures, drawn"},
		Driver:     page.Driver{Settle: t.settle, Push: t.push, Next: t.nextDue, Behind: t.behind, Play: t.play},
		Log:        log,
	})
	return t, nil
}

// serve shows the page and lets time pass until ctx ends.
func (t *trial) serve(ctx context.Context, listener net.Listener) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	server := &http.Server{
		Handler: t.page, ReadHeaderTimeout: 5 * time.Second, IdleTimeout: 2 * time.Minute,
		// Browsers that wait for changes are let go at the end.
		BaseContext: func(net.Listener) context.Context { return ctx },
	}
	var loops sync.WaitGroup
	loops.Go(func() { t.pass(ctx) })
	if t.files != nil {
		loops.Go(func() { t.files.watch(ctx, time.NewTicker(lookEvery)) })
	}
	loops.Go(func() {
		<-ctx.Done()
		const patience = 5 * time.Second
		closing, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
		defer cancel()
		if server.Shutdown(closing) != nil {
			server.Close()
		}
	})
	err := server.Serve(listener)
	stop()
	loops.Wait()
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}

// pass lets time pass: it does what is ready whenever something may be, until
// ctx ends.
func (t *trial) pass(ctx context.Context) {
	for ctx.Err() == nil {
		timer := time.NewTimer(t.turn(ctx))
		select {
		case <-ctx.Done():
		case <-t.send:
		case <-t.sweep.Woken:
		case <-timer.C:
		}
		timer.Stop()
	}
}

// turn does what is ready and returns how long to wait for the next thing, at
// most a second, because the clock may be pushed meanwhile.
func (t *trial) turn(ctx context.Context) time.Duration {
	const least, most = 10 * time.Millisecond, time.Second
	t.working.Lock()
	defer t.working.Unlock()
	if _, err := t.work(ctx); err != nil && ctx.Err() == nil {
		t.log.Warn("work incomplete", "err", err)
		return most
	}
	at, ok, err := t.next(ctx)
	if err != nil || !ok {
		return most
	}
	return min(most, max(least, at.Sub(t.clock.Now())))
}

// settle is [world.settle], alone at work.
func (t *trial) settle(ctx context.Context) error {
	t.working.Lock()
	defer t.working.Unlock()
	return t.world.settle(ctx)
}

// push is [world.push], alone at work.
func (t *trial) push(ctx context.Context, to time.Time) error {
	t.working.Lock()
	defer t.working.Unlock()
	return t.world.push(ctx, to)
}
