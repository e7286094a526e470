package ledger_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// What waits is told on every kind of store, at whatever moment one asks.
func TestBacklog(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		b := open(t, rdb, "backlog")
		at := func(now time.Time) ledger.Backlog {
			t.Helper()
			w, err := b.Backlog(context.Background(), now)
			if err != nil {
				t.Fatal(err)
			}
			return w
		}
		if d := cmp.Diff(ledger.Backlog{}, at(noon)); d != "" {
			t.Errorf("an empty ledger (-want +got):\n%s", d)
		}
		// The one queued first is not the one whose chat comes first.
		b.commit(ledger.Change{Op: "a", Set: []ledger.Due{{ID: "x", At: after(10)}, {ID: "y", At: after(30)}},
			Send: []ledger.Out{{Chat: 9, Body: []byte("first")}, {Chat: -4, Body: []byte("second")}, {Chat: 1, Body: []byte("third")}}}, ledger.Committed)
		if d := cmp.Diff(ledger.Backlog{Out: 3, Oldest: []byte("first"), Due: 2}, at(after(9))); d != "" {
			t.Errorf("before the first is due (-want +got):\n%s", d)
		}
		if d := cmp.Diff(ledger.Backlog{Out: 3, Oldest: []byte("first"), Due: 2, Late: 2, LateSince: after(10)}, at(after(31))); d != "" {
			t.Errorf("when both are due (-want +got):\n%s", d)
		}
		if err := b.Poison(context.Background(), "p", nil, "no reason", noon); err != nil {
			t.Fatal(err)
		}
		for range 2 {
			for _, s := range b.claimOut(noon, 3) {
				if err := b.Sent(context.Background(), s, noon); err != nil {
					t.Fatal(err)
				}
			}
		}
		if d := cmp.Diff(ledger.Backlog{Due: 2, Aside: 1}, at(after(9))); d != "" {
			t.Errorf("when all is sent (-want +got):\n%s", d)
		}
	})
}

// Looking costs no more for a full outbox than it may at every scrape.
func BenchmarkBacklog(b *testing.B) {
	rdb := ledgertest.Client(b, ledgertest.NewServer(b).URL())
	bench := open(b, rdb, "backlog")
	for i := range 100 {
		c := ledger.Change{Op: fmt.Sprint(i)}
		for j := range 100 {
			c.Send = append(c.Send, ledger.Out{Chat: int64(1 + i*100 + j), Body: []byte("x")})
		}
		bench.commit(c, ledger.Committed)
	}
	for b.Loop() {
		if w, err := bench.Backlog(context.Background(), noon); err != nil || w.Out != 10_000 {
			b.Fatal(w.Out, err)
		}
	}
}
