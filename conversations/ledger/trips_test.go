package ledger_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// gate keeps the first script on its way until it is opened, and counts round
// trips of several calls. Cut, if set, is what those come to.
type gate struct {
	once         sync.Once
	reached      chan struct{}
	opened       chan struct{}
	trips, calls atomic.Int64
	cut          error
}

func newGate(rdb redis.UniversalClient) *gate {
	g := &gate{reached: make(chan struct{}), opened: make(chan struct{})}
	rdb.AddHook(g)
	return g
}

func (g *gate) DialHook(next redis.DialHook) redis.DialHook { return next }

func (g *gate) ProcessHook(next redis.ProcessHook) redis.ProcessHook {
	return func(ctx context.Context, cmd redis.Cmder) error {
		if cmd.Name() == "evalsha" {
			g.once.Do(func() { close(g.reached); <-g.opened })
		}
		return next(ctx, cmd)
	}
}

func (g *gate) ProcessPipelineHook(next redis.ProcessPipelineHook) redis.ProcessPipelineHook {
	return func(ctx context.Context, cmds []redis.Cmder) error {
		if cmds[0].Name() != "evalsha" { // a connection's greeting
			return next(ctx, cmds)
		}
		g.trips.Add(1)
		g.calls.Add(int64(len(cmds)))
		if g.cut != nil {
			for _, cmd := range cmds {
				cmd.SetErr(g.cut)
			}
			return g.cut
		}
		return next(ctx, cmds)
	}
}

// meeting has calls wait behind a first one, opens the gate when all of them do,
// and returns what they came to.
func (g *gate) meeting(l bench, calls int, f func(i int) error) []error {
	l.t.Helper()
	errs := make([]error, calls)
	var all sync.WaitGroup
	all.Go(func() { _, _ = l.Load(context.Background(), "", "first") })
	<-g.reached
	for i := range calls {
		all.Go(func() { errs[i] = f(i) })
	}
	for l.Waiting() < calls {
		runtime.Gosched()
	}
	close(g.opened)
	all.Wait()
	return errs
}

// Calls that meet go together, each with its own answer; also where the server has
// never heard of the script.
func TestCallsThatMeet(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		const calls = 40
		ctx := context.Background()
		l := open(t, rdb, "desk")
		l.ok(rdb.ScriptFlush(ctx).Err())
		g := newGate(rdb)
		errs := g.meeting(l, calls, func(i int) error {
			op := fmt.Sprint("u:", i%(calls/2)) // every one twice
			_, err := l.Commit(ctx, ledger.Change{Op: op, Now: noon, Send: []ledger.Out{{Chat: int64(i + 1), Body: []byte(op)}}})
			return err
		})
		l.same("errors", errors.Join(errs...), error(nil))
		l.same("round trips of several, and calls in them", []int64{g.trips.Load(), g.calls.Load()}, []int64{1, calls})
		l.same("counts", l.counts(), map[string]int64{"commits": calls / 2, "queued": calls / 2})
	})
}

// Whoever stops waiting before the call set out has not changed anything.
func TestCallThatIsGivenUp(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		l := open(t, rdb, "desk")
		g := newGate(rdb)
		ctx, cancel := context.WithCancel(context.Background())
		ctxs := []context.Context{ctx, context.Background(), context.Background()}
		errs := g.meeting(l, len(ctxs), func(i int) error {
			if i == 2 {
				for l.Waiting() < 2 {
					runtime.Gosched()
				}
				cancel()
			}
			_, err := l.Commit(ctxs[i], numbered(fmt.Sprint("u:", i)))
			return err
		})
		if !errors.Is(errs[0], context.Canceled) {
			t.Errorf("given up: %v", errs[0])
		}
		l.same("errors of the others", errors.Join(errs[1:]...), error(nil))
		l.same("applied", l.counts(), map[string]int64{"commits": 2, "queued": 2})
	})
}

// A round trip that fails fails for all who are on it, and for nobody after.
func TestCallsCutOff(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		const calls = 5
		l := open(t, rdb, "desk")
		g := newGate(rdb)
		g.cut = io.ErrUnexpectedEOF
		errs := g.meeting(l, calls, func(i int) error {
			_, err := l.Commit(context.Background(), numbered(fmt.Sprint("u:", i)))
			return err
		})
		for i, err := range errs {
			if !errors.Is(err, io.ErrUnexpectedEOF) {
				t.Errorf("call %d: %v", i, err)
			}
		}
		for i := range calls {
			l.commit(numbered(fmt.Sprint("u:", i)), ledger.Committed)
		}
	})
}

// A crowd larger than what goes together comes in several round trips, all of it.
func TestCrowd(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		const calls = 150
		l := open(t, rdb, "desk")
		g := newGate(rdb)
		loads := make([]ledger.Loaded, calls)
		errs := g.meeting(l, calls, func(i int) (err error) {
			loads[i], err = l.Load(context.Background(), "", fmt.Sprint("doc:", i))
			return err
		})
		l.same("errors", errors.Join(errs...), error(nil))
		for i, got := range loads {
			key := fmt.Sprint("doc:", i)
			if diff := cmp.Diff(ledger.Loaded{Docs: map[string]ledger.Doc{key: {Key: key}}}, got); diff != "" {
				t.Errorf("load %d (-want +got):\n%s", i, diff)
			}
		}
		l.same("round trips of several, and calls in them", []int64{g.trips.Load(), g.calls.Load()}, []int64{3, calls})
	})
}
