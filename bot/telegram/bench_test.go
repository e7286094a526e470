package telegram_test

import (
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"sync/atomic"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/telegram"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// BenchmarkSender sends what is queued on a real Redis to many people, eight at once,
// at a platform that says yes to everything. Beside it stands the same many calls of
// that platform, one after the other, by a plain client.
func BenchmarkSender(b *testing.B) {
	var calls atomic.Int64
	platform := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		calls.Add(1)
		w.Header().Set("Content-Type", "application/json")
		fmt.Fprint(w, `{"ok":true,"result":{"message_id":1,"date":1,"chat":{"id":1,"type":"private"},"text":"x"}}`)
	}))
	b.Cleanup(platform.Close)
	l, err := ledger.New(ledgertest.Client(b, ledgertest.NewServer(b).URL()), "sender")
	if err != nil {
		b.Fatal(err)
	}
	client, err := telegram.NewClient("1:bench", platform.URL)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(client.Close)
	s := &telegram.Sender{Ledger: l, Client: client, Now: time.Now, Parallel: 8, Log: slog.New(slog.DiscardHandler)}
	c := ledger.Change{Op: "queue", Now: time.Now()}
	for i := range b.N {
		out, err := desk.Queue(bot.Message{Chat: bot.ChatID(i + 1), Text: "What shall we look at? Tap all that apply.", Kind: "wants",
			Choices: [][]bot.Choice{{{Label: "Outside", Data: "o:1"}, {Label: "Inside", Data: "i:1"}}, {{Label: "A person, please", Data: "p:1"}}}})
		if err != nil {
			b.Fatal(err)
		}
		if c.Send = append(c.Send, out); len(c.Send) == 500 || i == b.N-1 {
			c.Op = fmt.Sprint("queue:", i)
			if _, err := l.Commit(b.Context(), c); err != nil {
				b.Fatal(err)
			}
			c.Send = nil
		}
	}
	b.ReportAllocs()
	b.ResetTimer()
	if n, err := s.Work(b.Context()); err != nil || n != b.N {
		b.Fatal(n, err)
	}
	b.StopTimer()
	ours := b.Elapsed()
	began := time.Now()
	for range b.N {
		resp, err := http.Get(platform.URL)
		if err != nil {
			b.Fatal(err)
		}
		resp.Body.Close()
	}
	b.ReportMetric(ours.Seconds()/time.Since(began).Seconds(), "x-plain")
	if n := calls.Load(); n < int64(2*b.N) {
		b.Fatalf("%d calls of the platform", n)
	}
}
