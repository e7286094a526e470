package main

import (
	"context"
	"log/slog"
	"net"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// trips counts the client's round trips by command.
type trips struct {
	mu sync.Mutex
	n  map[string]int
}

func (c *trips) DialHook(next redis.DialHook) redis.DialHook {
	return func(ctx context.Context, network, addr string) (net.Conn, error) { return next(ctx, network, addr) }
}

func (c *trips) ProcessHook(next redis.ProcessHook) redis.ProcessHook {
	return func(ctx context.Context, cmd redis.Cmder) error {
		c.mu.Lock()
		c.n[cmd.Name()]++
		c.mu.Unlock()
		return next(ctx, cmd)
	}
}

func (c *trips) ProcessPipelineHook(next redis.ProcessPipelineHook) redis.ProcessPipelineHook {
	return func(ctx context.Context, cmds []redis.Cmder) error {
		c.mu.Lock()
		c.n["pipeline"]++
		c.mu.Unlock()
		return next(ctx, cmds)
	}
}

func (c *trips) since() map[string]int {
	c.mu.Lock()
	defer c.mu.Unlock()
	n := c.n
	c.n = map[string]int{}
	return n
}

// testWorld is a world at a quiet moment, in which the owner has said hello.
func testWorld(t *testing.T) *world {
	t.Helper()
	words, err := wording.Default()
	if err != nil {
		t.Fatal(err)
	}
	clock := standin.NewClock(time.Date(2027, 4, 12, 18, 40, 0, 0, time.UTC))
	w, err := newWorld(context.Background(), loaded{rules: pricing.DefaultRules(), words: words}, clock, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(w.close)
	w.standin.Person(int64(playedOwner), "Owner").Say("/start")
	settle(t, w)
	return w
}

func settle(t *testing.T, w *world) {
	t.Helper()
	if err := w.settle(context.Background()); err != nil {
		t.Fatal(err)
	}
}

// An ordinary update, an answer to the question on the table, costs one load and
// one commit, and nothing else.
func TestAnOrdinaryUpdateIsOneLoadAndOneCommit(t *testing.T) {
	w := testWorld(t)
	mia := w.standin.Person(101, "Mia")
	mia.Say("Golf estate")
	settle(t, w)
	mia.Say("outside")
	settle(t, w)
	counted := &trips{n: map[string]int{}}
	w.redis.AddHook(counted)
	for _, answer := range []string{"2", "2", "not sure"} {
		mia.Say(answer)
		if err := w.standin.Quiet(context.Background()); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(map[string]int{"evalsha": 2}, counted.since()); d != "" {
			t.Errorf("round trips for %q (-want +got):\n%s", answer, d)
		}
		settle(t, w)
		counted.since()
	}
}
