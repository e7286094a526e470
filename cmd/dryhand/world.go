package main

import (
	"context"
	"fmt"
	"log/slog"
	"net/http/httptest"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// The bot and the owner of a world in which nobody is real.
const (
	playedToken  = "7000:played"
	playedSecret = "played-secret"
	playedOwner  = bot.ChatID(7001)
)

// world is the whole surroundings of a front desk inside this process: the
// platform's stand-in over real HTTP, a store in memory, and a clock that can be
// pushed. What it holds is gone when it is closed.
type world struct {
	*parts
	redis   redis.UniversalClient
	standin *standin.Standin
	clock   *standin.Clock
	zone    *time.Location
	closers []func()
}

// loaded is what the business's files hold. Without a reader or other languages, those
// that are shipped do.
type loaded struct {
	rules  *pricing.Rules
	words  *wording.Words
	reader *reading.Reader
	others []*wording.Words
	// files, if set, keeps all of it up to date.
	files *kept
}

// loadAll reads the business's files, those of other languages as well.
func (b business) loadAll() (l loaded, err error) {
	if l.rules, l.words, l.reader, err = b.load(); err != nil {
		return l, err
	}
	l.others, err = b.otherWords(l.words)
	return l, err
}

// newWorld opens a world in which these files count and the clock is this one.
func newWorld(ctx context.Context, of loaded, clock *standin.Clock, log *slog.Logger) (*world, error) {
	zone, err := time.LoadLocation(of.rules.Diary.TimeZone)
	if err != nil {
		return nil, fmt.Errorf("time zone of the business: %w", err)
	}
	w := &world{clock: clock, zone: zone}
	store := miniredis.NewMiniRedis()
	if err := store.Start(); err != nil {
		return nil, fmt.Errorf("embedded store: %w", err)
	}
	options, err := ledger.Options("redis://" + store.Addr() + "/0")
	if err != nil {
		return nil, err
	}
	// The store is in this process: it may be slow on a busy machine, and never away.
	options.ReadTimeout, options.WriteTimeout, options.PoolTimeout = time.Minute, time.Minute, time.Minute
	rdb := redis.NewUniversalClient(options)
	w.redis = rdb
	w.standin = standin.New(standin.Config{Token: playedToken, Clock: clock, Log: log, Strict: true})
	platform := httptest.NewServer(w.standin)
	w.closers = append(w.closers, store.Close, func() { rdb.Close() }, platform.Close, w.standin.Close)
	w.parts, err = wire(surroundings{
		redis: rdb, business: "played", token: playedToken, api: platform.URL, secret: playedSecret, owner: playedOwner,
		rules: of.rules, words: of.words, reader: of.reader, others: of.others, files: of.files, now: clock.Now, log: log, parallel: 1,
	})
	if err != nil {
		w.close()
		return nil, err
	}
	hook := httptest.NewServer(w.handler)
	w.closers = append(w.closers, hook.Close)
	if err := w.learnName(ctx); err != nil {
		w.close()
		return nil, err
	}
	if err := w.client.Register(ctx, hook.URL+"/telegram", playedSecret); err != nil {
		w.close()
		return nil, err
	}
	return w, nil
}

// close ends everything, the latest first.
func (w *world) close() {
	for i := len(w.closers) - 1; i >= 0; i-- {
		w.closers[i]()
	}
}

// soon is how far the clock runs on by itself while people wait: messages are a
// second apart, and an album is answered when it has gone quiet.
const soon = 20 * time.Second

// settle lets everything happen that follows at once.
func (w *world) settle(ctx context.Context) error {
	return w.until(ctx, w.clock.Now().Add(soon))
}

// push moves the clock to a moment and stops at everything that falls due on
// the way.
func (w *world) push(ctx context.Context, to time.Time) error {
	if err := w.until(ctx, to); err != nil {
		return err
	}
	w.clock.Set(to)
	return w.now(ctx)
}

// until lets everything happen that happens up to a moment. The clock is left at
// the last of it.
func (w *world) until(ctx context.Context, to time.Time) error {
	for {
		if err := w.now(ctx); err != nil {
			return err
		}
		next, ok, err := w.next(ctx)
		if err != nil || !ok || next.After(to) {
			return err
		}
		w.clock.Set(next)
	}
}

// now does everything that can be done at the moment the clock shows.
func (w *world) now(ctx context.Context) error {
	for {
		if err := w.answered(ctx); err != nil {
			return err
		}
		n, err := w.work(ctx)
		if err != nil || n == 0 {
			return err
		}
	}
}

// answered waits until the desk has taken every update and answered every tap.
func (w *world) answered(ctx context.Context) error {
	if err := w.standin.Quiet(ctx); err != nil {
		return err
	}
	for {
		changed := w.standin.Changed()
		if w.standin.Unanswered() == 0 {
			return nil
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}
