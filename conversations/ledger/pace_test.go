package ledger_test

import (
	"context"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// The store keeps milliseconds. A chat's next message must not be claimed early
// by the fraction that is lost: the platform counts a second from the send.
func TestNextMessageIsNotEarlyByAFraction(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		ctx := context.Background()
		l, err := ledger.New(rdb, "pace")
		if err != nil {
			t.Fatal(err)
		}
		now := time.Date(2027, 4, 12, 18, 40, 0, 999_999, time.UTC)
		out := ledger.Out{Chat: 101, Body: []byte("{}")}
		if _, err := l.Commit(ctx, ledger.Change{Op: "u1", Now: now, Send: []ledger.Out{out, out}}); err != nil {
			t.Fatal(err)
		}
		claimed, err := l.ClaimOut(ctx, now, time.Minute, 1)
		if err != nil || len(claimed) != 1 {
			t.Fatalf("claimed %d, %v", len(claimed), err)
		}
		next := now.Add(time.Second)
		if err := l.Sent(ctx, claimed[0], next); err != nil {
			t.Fatal(err)
		}
		if early, err := l.ClaimOut(ctx, next.Add(-time.Nanosecond), time.Minute, 1); err != nil || len(early) != 0 {
			t.Errorf("claimed %d before its time, %v", len(early), err)
		}
		if due, err := l.ClaimOut(ctx, next.Add(time.Millisecond), time.Minute, 1); err != nil || len(due) != 1 {
			t.Errorf("claimed %d once it was time, %v", len(due), err)
		}
	})
}
