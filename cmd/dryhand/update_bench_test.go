package main

import (
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"runtime/pprof"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger/ledgertest"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// BenchmarkUpdates has one person after the other ask for a price, and tells what
// each of their messages takes, on a real Redis, until its effects are safe. Beside
// it stands the least it could: two PINGs, one for the load and one for the commit.
//
//	go test ./cmd/dryhand -run '^$' -bench Updates -cpuprofile cpu.out
//	go tool pprof -top -cum -tagfocus 'text=outside' cpu.out
func BenchmarkUpdates(b *testing.B) {
	rdb := ledgertest.Client(b, ledgertest.NewServer(b).URL())
	words, err := wording.Default()
	if err != nil {
		b.Fatal(err)
	}
	p, err := wire(surroundings{redis: rdb, business: "updates", token: playedToken, api: "http://127.0.0.1:1", secret: playedSecret,
		owner: playedOwner, rules: pricing.DefaultRules(), words: words, now: time.Now, log: slog.New(slog.DiscardHandler), parallel: 1})
	if err != nil {
		b.Fatal(err)
	}
	texts := []string{"Ford Fiesta", "outside", "back", "outside", "bring it", "3", "start again"}
	took := make([]time.Duration, len(texts))
	id, chat := 0, 0
	b.ReportAllocs()
	for b.Loop() {
		chat++
		for i, text := range texts {
			id++
			began := time.Now()
			pprof.Do(b.Context(), pprof.Labels("text", text), func(ctx context.Context) {
				if err := p.webhook.Take(ctx, writtenUpdate(id, 50_000+chat, text)); err != nil {
					b.Fatal(err)
				}
			})
			took[i] += time.Since(began)
		}
	}
	floor := pings(b, rdb)
	for i, text := range texts {
		b.ReportMetric(float64(took[i].Microseconds())/float64(b.N), "µs-"+strings.ReplaceAll(text, " ", "-"))
	}
	b.ReportMetric(float64(floor.Microseconds()), "µs-floor")
}

// writtenUpdate is a text as the platform brings it.
func writtenUpdate(id, chat int, text string) json.RawMessage {
	return fmt.Appendf(nil, `{"update_id":%d,"message":{"message_id":%d,"from":{"id":%d,"first_name":"Ann"},"chat":{"id":%d,"type":"private"},"date":%d,"text":%q}}`,
		id, id, chat, chat, time.Now().Unix(), text)
}

// pings is what two PINGs take.
func pings(b *testing.B, rdb redis.UniversalClient) time.Duration {
	const turns = 500
	began := time.Now()
	for range 2 * turns {
		if err := rdb.Ping(b.Context()).Err(); err != nil {
			b.Fatal(err)
		}
	}
	return time.Since(began) / turns
}
