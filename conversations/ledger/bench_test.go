package ledger_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// BenchmarkRedis shows what the ledger costs beside the floor of any call to the
// same server in the same run: a PING.
func BenchmarkRedis(b *testing.B) { benchmark(b, ledgertest.Client(b, ledgertest.NewServer(b).URL())) }

// BenchmarkRedisSyncedAlways is BenchmarkRedis as one goes live: what is committed
// is on the disk.
func BenchmarkRedisSyncedAlways(b *testing.B) {
	s := ledgertest.NewServer(b, "--appendonly", "yes", "--appendfsync", "always")
	benchmark(b, ledgertest.Client(b, s.URL()))
}

func benchmark(b *testing.B, rdb redis.UniversalClient) {
	ctx := context.Background()
	l := open(b, rdb, "desk")
	// A chat, its enquiry, and fourteen days of a diary, as an event loads them.
	docs := []ledger.Doc{{Key: "chat:1", Links: []string{"enq:1"}, Body: make([]byte, 200)}, {Key: "enq:1", Body: make([]byte, 2000)}}
	for day := range 14 {
		key := fmt.Sprint("day:", day)
		docs[1].Links = append(docs[1].Links, key)
		docs = append(docs, ledger.Doc{Key: key, Body: make([]byte, 400)})
	}
	l.put("u:0", docs...)
	b.Run("Ping", func(b *testing.B) {
		for b.Loop() {
			l.ok(rdb.Ping(ctx).Err())
		}
	})
	b.Run("ClaimDueOfNothing", func(b *testing.B) {
		for b.Loop() {
			l.claimDue(noon, 16)
		}
	})
	b.Run("ClaimOutOfNothing", func(b *testing.B) {
		for b.Loop() {
			l.claimOut(noon, 16)
		}
	})
	b.Run("Load", func(b *testing.B) {
		for b.Loop() {
			l.load("u:1", "chat:1")
		}
	})
	n := 0
	b.Run("LoadAndCommit", func(b *testing.B) {
		for b.Loop() {
			n++
			l.commit(turn(l.load("", "chat:1"), n), ledger.Committed)
		}
	})
	b.Run("CommitClaimSent", func(b *testing.B) {
		for b.Loop() {
			n++
			now := noon.Add(time.Duration(n) * time.Second)
			l.commit(ledger.Change{Op: fmt.Sprint("say:", n), Now: now, Send: []ledger.Out{{Chat: 2, Body: make([]byte, 300)}}}, ledger.Committed)
			l.ok(l.Sent(ctx, l.claimOut(now, 1)[0], now))
		}
	})
}

// turn is the change of an ordinary answer: everything was read, the chat and the
// enquiry are written, a reminder is moved. Nothing is queued, for the queue would
// grow with the benchmark.
func turn(loaded ledger.Loaded, n int) ledger.Change {
	c := ledger.Change{Op: fmt.Sprint("u:", n), Now: noon, Read: map[string]int64{}}
	for key, d := range loaded.Docs {
		c.Read[key] = d.Version
	}
	c.Put = []ledger.Doc{loaded.Docs["chat:1"], loaded.Docs["enq:1"]}
	c.Set = []ledger.Due{{ID: "idle:1", At: noon.Add(time.Hour + time.Duration(n)*time.Second), Body: make([]byte, 100)}}
	return c
}
