//go:build linux

package ledger_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"sync"
	"testing"
	"time"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// powerCuts is how often the plug is pulled: DRYHAND_FAULTS, like the other faults,
// or a few times.
func powerCuts(t *testing.T) int {
	if n, err := strconv.Atoi(os.Getenv("DRYHAND_FAULTS")); err == nil {
		return max(4, n/20)
	}
	if testing.Short() {
		return 2
	}
	return 4
}

// outages pulls the plug again and again while eight write, and returns how many
// commits were confirmed, how many of these are gone, and how many bytes were.
func outages(t *testing.T, cuts int, fsync string) (confirmed, lost int, bytes int64) {
	t.Helper()
	d := ledgertest.NewDisk(t, "--appendonly", "yes", "--appendfsync", fsync)
	l := open(t, ledgertest.Client(t, d.URL()), "desk")
	rng := rand.New(rand.NewPCG(1, uint64(len(fsync))))
	for cut := range cuts {
		ctx, stop := context.WithCancel(context.Background())
		var mu sync.Mutex
		var said []string
		var writers sync.WaitGroup
		for w := range 8 {
			writers.Go(func() {
				for i := 0; ctx.Err() == nil; i++ {
					op := fmt.Sprintf("u:%d-%d-%d", cut, w, i)
					if outcome, err := l.Commit(ctx, numbered(op)); err == nil && outcome == ledger.Committed {
						mu.Lock()
						said = append(said, op)
						mu.Unlock()
					}
				}
			})
		}
		time.Sleep(time.Duration(150+rng.IntN(400)) * time.Millisecond)
		bytes += d.CutPower()
		stop()
		writers.Wait()
		d.Start()
		again := ready(t, l.Ledger)
		t.Logf("the first success came %v after the server was back", again)
		for _, op := range said {
			loaded := l.load(op, "doc:"+op)
			there := string(loaded.Docs["doc:"+op].Body) == op
			if there != loaded.Seen {
				t.Errorf("%s is half there", op)
			}
			if !there {
				lost++
			}
		}
		confirmed += len(said)
	}
	return confirmed, lost, bytes
}

// ready waits until the ledger can be written to, and returns how long that took.
func ready(t *testing.T, l *ledger.Ledger) time.Duration {
	t.Helper()
	began := time.Now()
	for l.Ready(context.Background()) != nil {
		if time.Since(began) > 20*time.Second {
			t.Fatal("the ledger cannot be written to again")
		}
		time.Sleep(time.Millisecond)
	}
	return time.Since(began)
}

// Whoever was told that they are booked is booked after the plug was pulled, if the
// server syncs always. The control, everysec, loses some: that is why it is not enough.
func TestPowerLoss(t *testing.T) {
	cuts := powerCuts(t)
	confirmed, lost, _ := outages(t, cuts, "always")
	t.Logf("appendfsync always: %d cuts, %d commits confirmed, %d lost", cuts, confirmed, lost)
	if lost > 0 || confirmed < 20*cuts {
		t.Errorf("%d of %d confirmed commits are lost", lost, confirmed)
	}
	confirmed, lost, bytes := outages(t, cuts, "everysec")
	t.Logf("appendfsync everysec: %d cuts, %d commits confirmed, %d lost with %d bytes not synced", cuts, confirmed, lost, bytes)
	if lost == 0 {
		t.Error("the control lost nothing: the power was not really cut")
	}
}

// A disk that is full is a refusal, of all of a commit. What was confirmed is there
// when there is room again, and the refused commit goes through then. Under always the
// server ends itself rather than confirm what it cannot keep, and has to be started.
func TestDiskFull(t *testing.T) {
	for _, fsync := range []string{"always", "everysec"} {
		t.Run(fsync, func(t *testing.T) {
			d := ledgertest.NewDisk(t, "--appendonly", "yes", "--appendfsync", fsync)
			l := open(t, ledgertest.Client(t, d.URL()), "desk")
			ctx := context.Background()
			l.commit(numbered("before"), ledger.Committed)
			d.Fill()
			refused := ""
			var gone []string
			for i := 0; refused == "" && i < 2000; i++ {
				op := fmt.Sprint("u", i)
				if _, err := l.Commit(ctx, numbered(op)); err != nil {
					refused = op
					t.Logf("refused after %d: %v", i, err)
				} else {
					gone = append(gone, op)
				}
			}
			if refused == "" {
				t.Fatal("never refused")
			}
			if fsync == "always" && len(gone) > 0 {
				t.Errorf("%v were confirmed with nowhere to keep them", gone)
			}
			if err := l.Ready(ctx); err == nil {
				t.Error("ready with a full disk")
			}
			d.Free()
			if fsync == "always" {
				d.Kill() // what is left of it
				d.Start()
			}
			ready(t, l.Ledger)
			if loaded := l.load(refused, "doc:"+refused); loaded.Seen != (loaded.Docs["doc:"+refused].Version != 0) {
				t.Errorf("the refused commit is half there: %+v", loaded)
			}
			if _, err := l.Commit(ctx, numbered(refused)); err != nil {
				t.Errorf("it does not go through afterwards: %v", err)
			}
			for _, op := range append(gone, "before", refused) {
				if !l.load(op).Seen {
					t.Errorf("%s is gone", op)
				}
			}
		})
	}
}

// Memory that is full is a refusal, of all of a commit, and what is there can still
// be read.
func TestMemoryFull(t *testing.T) {
	s := ledgertest.NewServer(t, "--maxmemory", "6mb", "--maxmemory-policy", "noeviction")
	l := open(t, ledgertest.Client(t, s.URL()), "desk")
	ctx := context.Background()
	large := make([]byte, 64<<10)
	n, refused := 0, ""
	for ; refused == "" && n < 1000; n++ {
		c := numbered(fmt.Sprint("u", n))
		c.Put[0].Body = large
		if _, err := l.Commit(ctx, c); err != nil {
			refused = c.Op
			t.Logf("refused after %d: %v", n, err)
		}
	}
	if refused == "" {
		t.Fatal("never refused")
	}
	if loaded := l.load(refused, "doc:"+refused); loaded.Seen || loaded.Docs["doc:"+refused].Version != 0 {
		t.Errorf("the refused commit is half there")
	}
	if got, want := l.counts()["commits"], int64(n-1); got != want {
		t.Errorf("%d commits counted, %d confirmed", got, want)
	}
	for i := range n - 1 {
		if op := fmt.Sprint("u", i); !l.load(op).Seen {
			t.Errorf("%s is gone: something was thrown away", op)
		}
	}
}
