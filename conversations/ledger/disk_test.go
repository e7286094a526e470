//go:build linux

package ledger_test

import (
	"context"
	"fmt"
	"os"
	"strconv"
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

// Whoever was told that they are booked is booked after the plug was pulled, if the
// server syncs always. The control, everysec, loses some: that is why it is not enough.
func TestPowerLoss(t *testing.T) {
	cuts := powerCuts(t)
	confirmed, lost, _ := ledgertest.PowerCuts(t, cuts, "always")
	t.Logf("appendfsync always: %d cuts, %d commits confirmed, %d lost", cuts, confirmed, lost)
	if lost > 0 || confirmed < 20*cuts {
		t.Errorf("%d of %d confirmed commits are lost", lost, confirmed)
	}
	confirmed, lost, bytes := ledgertest.PowerCuts(t, cuts, "everysec")
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
			// Under everysec the server writes when its last sync is done, which takes a slow
			// disk its time.
			for i, end := 0, time.Now().Add(time.Minute); refused == "" && time.Now().Before(end); i++ {
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
			ledgertest.Back(t, l.Ledger)
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
