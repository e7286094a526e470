package telegram_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"log/slog"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/leaks"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/telegram"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

func TestMain(m *testing.M) { leaks.Main(m) }

const (
	token  = "1000:token-of-a-test"
	secret = "secret-of-a-test"
	// patience is how long a test waits for what is sure to come. It is over only when
	// it does not come at all, however busy the machine is.
	patience = 2 * time.Minute
)

var start = time.Date(2026, 11, 23, 18, 40, 0, 0, time.UTC)

// place is the place of the n-th message there is in the queue of a chat: the ledger
// counts from the thousandth part of the seconds since the beginning of 2020.
func place(chat, n int64) string {
	first := start.Sub(time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)).Milliseconds()
	return fmt.Sprintf("%d|%016d", chat, first+n-1)
}

// world is the platform behind real HTTP, a ledger, and a sender between them,
// all living by one clock.
type world struct {
	*standin.Standin
	t      testing.TB
	clock  *standin.Clock
	server *httptest.Server
	ledger *ledger.Ledger
	client *telegram.Client
	sender *telegram.Sender
	log    *logged
	ops    int
	// shut are the chats the conversation was told of, as "chat op".
	shut []string
}

func newWorld(t testing.TB, c standin.Config) *world {
	t.Helper()
	w := &world{t: t, clock: standin.NewClock(start), log: &logged{}}
	c.Token, c.Clock = token, w.clock
	w.Standin = standin.New(c)
	w.server = httptest.NewServer(w.Standin)
	w.ledger = newLedger(t)
	w.client = newClient(t, w.server.URL)
	t.Cleanup(func() {
		w.client.Close()
		w.Close()
		w.server.Close()
		w.log.without(t, token)
	})
	w.sender = w.newSender()
	return w
}

func newLedger(t testing.TB) *ledger.Ledger {
	t.Helper()
	l, err := ledger.New(ledgertest.Client(t, "redis://"+miniredis.RunT(t).Addr()), "test")
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func newClient(t testing.TB, server string) *telegram.Client {
	t.Helper()
	c, err := telegram.NewClient(token, server)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.Close)
	return c
}

func (w *world) newSender() *telegram.Sender {
	return &telegram.Sender{
		Ledger: w.ledger, Client: w.client, Now: w.clock.Now, Parallel: 1, Log: w.log.logger(),
		Blocked: func(_ context.Context, chat bot.ChatID, op string) error {
			w.shut = append(w.shut, fmt.Sprintf("%d %s", chat, op))
			return nil
		},
	}
}

// customer is a person who has written to the bot.
func (w *world) customer(id int64) *standin.Person {
	p := w.Person(id, "Mia")
	p.Say("Hello")
	return p
}

// queue commits messages, as a conversation does.
func (w *world) queue(messages ...bot.Message) {
	w.t.Helper()
	var send []ledger.Out
	for _, m := range messages {
		body, err := json.Marshal(m)
		if err != nil {
			w.t.Fatal(err)
		}
		send = append(send, ledger.Out{Chat: int64(m.Chat), Body: body, Once: m.Delivery == bot.Once, NotAfter: m.NotAfter})
	}
	w.ops++
	_, err := w.ledger.Commit(context.Background(), ledger.Change{Op: fmt.Sprint("op", w.ops), Now: w.clock.Now(), Send: send})
	if err != nil {
		w.t.Fatal(err)
	}
}

func (w *world) work() int {
	w.t.Helper()
	n, err := w.sender.Work(context.Background())
	if err != nil {
		w.t.Fatal(err)
	}
	return n
}

// drain works until nothing is queued, moving the clock to whenever something may
// be sent next.
func (w *world) drain() {
	w.t.Helper()
	for range 2000 {
		w.work()
		at, ok, err := w.ledger.NextOut(context.Background())
		if err != nil {
			w.t.Fatal(err)
		}
		if !ok {
			return
		}
		w.clock.Set(at)
	}
	w.t.Fatal("the queue does not empty")
}

// heard are the bot's messages in a chat, each with the seconds since start at
// which it came.
func (w *world) heard(p *standin.Person) []string {
	var lines []string
	for _, l := range p.Chat() {
		if l.Bot {
			lines = append(lines, fmt.Sprintf("%g %s", l.At.Sub(start).Seconds(), l.Text))
		}
	}
	return lines
}

// reasons are why messages were put aside, oldest first.
func (w *world) reasons() []string {
	w.t.Helper()
	asides, err := w.ledger.Asides(context.Background(), 100)
	if err != nil {
		w.t.Fatal(err)
	}
	var reasons []string
	for i := len(asides) - 1; i >= 0; i-- {
		short, _, _ := strings.Cut(asides[i].Reason, ":")
		reasons = append(reasons, short)
	}
	return reasons
}

// until waits for something to become true of the stand-in.
func (w *world) until(what string, holds func() bool) {
	w.t.Helper()
	enough := time.After(patience)
	for {
		changed := w.Changed()
		if holds() {
			return
		}
		select {
		case <-changed:
		case <-enough:
			w.t.Fatalf("in vain: waiting until %s", what)
		}
	}
}

// logged is what was written to a log.
type logged struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (l *logged) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *logged) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

func (l *logged) logger() *slog.Logger {
	return slog.New(slog.NewTextHandler(l, &slog.HandlerOptions{Level: slog.LevelDebug}))
}

// without fails the test if the log holds any of these words.
func (l *logged) without(t testing.TB, words ...string) {
	t.Helper()
	for _, word := range words {
		if strings.Contains(l.String(), word) {
			t.Errorf("the log contains %q:\n%s", word, l)
		}
	}
}

// picture is a small JPEG.
func picture(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 64, 48)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
