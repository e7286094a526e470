package main

import (
	"context"
	"math/rand/v2"
	"net/http"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// patient is the harness's own client. It tries again where production's must
// not: what it does may be repeated, and it has to outlive a dead server.
func patient(t testing.TB, url string) redis.UniversalClient {
	o, err := ledger.Options(url)
	if err != nil {
		t.Fatal(err)
	}
	o.MaxRetries, o.MinRetryBackoff, o.MaxRetryBackoff = 50, 2*time.Millisecond, 50*time.Millisecond
	rdb := redis.NewUniversalClient(o)
	t.Cleanup(func() { rdb.Close() })
	return rdb
}

// hasty is a bot's client as production makes it, but for waiting less long.
func hasty(t testing.TB, addr string) redis.UniversalClient {
	o, err := ledger.Options("redis://" + addr)
	if err != nil {
		t.Fatal(err)
	}
	o.ReadTimeout = 150 * time.Millisecond
	rdb := redis.NewUniversalClient(o)
	t.Cleanup(func() { rdb.Close() })
	return rdb
}

// broken counts what was broken.
func (r *row) broken(n int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.tried += n
}

// whole tells whether nothing has been broken yet.
func (r *row) whole() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.tried == 0
}

// breaker breaks something; it returns when it is whole again, and tells how many
// things it broke: connections, say, of which there may be none.
type breaker func(ctx context.Context, rng *rand.Rand) int

// under plays schedules while something breaks again and again, until enough
// updates have been handed over, and until what is wanted has been seen if the
// row is a control.
func (x *faultsSite) under(ctx context.Context, r *row, updates int, seed uint64, b breaker, seen func() bool) {
	x.t.Helper()
	scenes, err := x.scenes(ctx)
	if err != nil {
		x.t.Fatal(err)
	}
	breaking, stop := context.WithCancel(ctx)
	var injector sync.WaitGroup
	injector.Go(func() {
		rng := rand.New(rand.NewPCG(seed, 3))
		for breaking.Err() == nil && b != nil {
			x.whole.Lock()
			r.broken(b(ctx, rng))
			x.whole.Unlock()
			before := x.taken.Load()
			time.Sleep(time.Duration(10+rng.IntN(200)) * time.Millisecond)
			// Something gets through before the next break, or a slow machine never comes to
			// the end; but now and then it breaks again while nothing is well yet.
			for again := rng.IntN(4) == 0; !again && breaking.Err() == nil && x.taken.Load() == before; {
				time.Sleep(5 * time.Millisecond)
			}
		}
	})
	defer func() { stop(); injector.Wait() }()
	for ; (r.updates < updates || r.whole()) && (seen == nil || !seen()); seed++ {
		if err := x.one(ctx, r, seed, scenes); err != nil {
			x.t.Fatal(err)
		}
	}
}

// alive waits until a bot's process answers.
func (w *ward) alive(ctx context.Context) bool {
	for ctx.Err() == nil {
		if resp, err := http.Get("http://" + w.addr + "/any/alive"); err == nil {
			resp.Body.Close()
			return true
		}
		time.Sleep(2 * time.Millisecond)
	}
	return false
}

// killing ends a bot's process as kill -9 does, some milliseconds after it has
// begun to listen.
func (w *ward) killing(ctx context.Context, rng *rand.Rand) int {
	if !w.alive(ctx) {
		return 0
	}
	time.Sleep(time.Duration(rng.IntN(400)) * time.Millisecond)
	w.signal(syscall.SIGKILL)
	return 1
}

// botKilled: the only bot is another process, and dies again and again.
func botKilled(t *testing.T, updates int, seed uint64) *row {
	r := &row{name: "bot killed with kill -9", elsewhere: true}
	t.Run(r.name, func(t *testing.T) {
		t.Parallel()
		x := newSite(t, "no")
		w := newFaultsWard(t, x.server, faultsPlatform(t), x.now)
		w.alive(t.Context())
		x.bots = []string{"http://" + w.addr}
		x.under(t.Context(), r, updates, seed, w.killing, nil)
	})
	return r
}

// botStopped: one of two bots is stopped in its tracks and goes on later, when
// the platform has brought what it had in hand to the other.
func botStopped(t *testing.T, updates int, seed uint64) *row {
	r := &row{name: "bot stopped with SIGSTOP, later SIGCONT"}
	t.Run(r.name, func(t *testing.T) {
		t.Parallel()
		x := newSite(t, "no")
		api := faultsPlatform(t)
		w := newFaultsWard(t, x.server, api, x.now)
		w.alive(t.Context())
		x.bots = []string{"http://" + w.addr, newFaultsBot(r.watched(ledgertest.Client(t, x.server.URL())), api, x.now).serve(t)}
		x.patience = 60 * time.Millisecond
		x.under(t.Context(), r, updates, seed, func(_ context.Context, rng *rand.Rand) int {
			w.signal(syscall.SIGSTOP)
			time.Sleep(time.Duration(20+rng.IntN(150)) * time.Millisecond)
			w.signal(syscall.SIGCONT)
			return 1
		}, nil)
	})
	return r
}

// brokenStore is a store that breaks, with the way to it.
type brokenStore struct {
	*ledgertest.Server
	way *ledgertest.Proxy
	// direct reaches the store past its proxy.
	direct redis.UniversalClient
	// back tells that the store is there again: what can be committed now, and when?
	back func()
}

// onStore is a row in which the store, or the way to it, breaks under two bots.
func onStore(t *testing.T, name string, updates int, seed uint64, make func(*brokenStore) breaker) *row {
	return onSite(t, name, updates, seed, func() (*ledgertest.Server, func(*brokenStore) breaker) {
		return ledgertest.NewServer(t, keepsJournal("always")...), make
	})
}

// onSite is onStore on a server that is made for it.
func onSite(t *testing.T, name string, updates int, seed uint64, make func() (*ledgertest.Server, func(*brokenStore) breaker)) *row {
	r := &row{name: name}
	t.Run(r.name, func(t *testing.T) {
		t.Parallel()
		server, breaks := make()
		x := newSiteOn(t, server)
		s := &brokenStore{Server: server, way: ledgertest.NewProxy(t, server.Addr), direct: x.direct}
		api := faultsPlatform(t)
		for range 2 {
			rdb := hasty(t, s.way.Addr)
			x.bots = append(x.bots, newFaultsBot(r.watched(rdb), api, x.now).serve(t))
			if s.back != nil {
				continue
			}
			probe, err := ledger.New(rdb, "probe") // over a bot's own connections, in the state they are in
			if err != nil {
				t.Fatal(err)
			}
			s.back = func() {
				took := ledgertest.Back(t, probe)
				r.back = max(r.back, took)
				r.backs++
				if took > mostBack {
					r.late++
				}
			}
		}
		x.under(t.Context(), r, updates, seed, breaks(s), nil)
	})
	return r
}

func storeKilled(t *testing.T, updates int, seed uint64) *row {
	return onStore(t, "Redis killed with kill -9 and started again", updates, seed, func(s *brokenStore) breaker {
		return func(_ context.Context, rng *rand.Rand) int {
			s.Kill()
			time.Sleep(time.Duration(rng.IntN(50)) * time.Millisecond)
			if n := s.CutTorn(); n > 0 {
				t.Logf("killed in the middle of writing: %d bytes, of which nobody was told", n)
			}
			s.Start()
			s.back()
			return 1
		}
	})
}

func storeStopped(t *testing.T, updates int, seed uint64) *row {
	return onStore(t, "Redis stopped with SIGSTOP, later SIGCONT", updates, seed, func(s *brokenStore) breaker {
		return func(_ context.Context, rng *rand.Rand) int {
			s.Pause()
			time.Sleep(time.Duration(20+rng.IntN(300)) * time.Millisecond) // the bots wait 150 ms
			s.Resume()
			s.back()
			return 1
		}
	})
}

func repliesLost(t *testing.T, updates int, seed uint64) *row {
	return onStore(t, "replies of Redis lost", updates, seed, func(s *brokenStore) breaker {
		before := 0
		return func(_ context.Context, rng *rand.Rand) int {
			s.way.Lose(1 + rng.IntN(3))
			lost := s.way.Lost() - before
			before += lost
			return lost
		}
	})
}

func connectionsTorn(t *testing.T, updates int, seed uint64) *row {
	return onStore(t, "connections to Redis reset", updates, seed, func(s *brokenStore) breaker {
		before := 0
		return func(context.Context, *rand.Rand) int {
			s.way.Reset()
			torn := s.way.Torn() - before
			before += torn
			s.back()
			return torn
		}
	})
}

// repliesSlow: what the store says comes late, some of it after the bots have given up.
func repliesSlow(t *testing.T, updates int, seed uint64) *row {
	return onStore(t, "Redis slow, some replies too late", updates, seed, func(s *brokenStore) breaker {
		before := 0
		return func(_ context.Context, rng *rand.Rand) int {
			s.way.Slow(200 * time.Millisecond) // the bots wait 150 ms
			time.Sleep(time.Duration(100+rng.IntN(300)) * time.Millisecond)
			s.way.Slow(0)
			slowed := s.way.Slowed() - before
			before += slowed
			s.back()
			return slowed
		}
	})
}

// memoryFull: the store refuses whatever would need memory.
func memoryFull(t *testing.T, updates int, seed uint64) *row {
	return onStore(t, "Redis's memory full, later not", updates, seed, func(s *brokenStore) breaker {
		return func(ctx context.Context, rng *rand.Rand) int {
			limit := func(most string) bool {
				return insist(ctx, func() error { return s.direct.ConfigSet(ctx, "maxmemory", most).Err() }) == nil
			}
			if !limit("1") {
				return 0
			}
			time.Sleep(time.Duration(20+rng.IntN(200)) * time.Millisecond)
			if !limit("0") { // the test is over
				return 0
			}
			s.back()
			return 1
		}
	})
}

// diskFaults and diskControls are what goes wrong with the disk under a store. They
// need a system on which that can be had.
var (
	diskFaults   []func(t *testing.T, updates int, seed uint64) *row
	diskControls []func(*testing.T) *control
)
