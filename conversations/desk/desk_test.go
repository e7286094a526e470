package desk_test

import (
	"context"
	"fmt"
	"log/slog"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

var now = time.Date(2027, 4, 12, 18, 40, 0, 0, time.UTC)

const detailer = bot.ChatID(1)

// newDesk is a desk on a store. broken says of which events the step fails.
func newDesk(t *testing.T, rdb redis.UniversalClient, broken func(call int) bool) (*desk.Desk, *ledger.Ledger) {
	t.Helper()
	l, err := ledger.New(rdb, "test")
	if err != nil {
		t.Fatal(err)
	}
	words, err := wording.Default()
	if err != nil {
		t.Fatal(err)
	}
	good := conversations.Talk{Rules: pricing.DefaultRules(), Words: words, Owner: detailer, Zone: time.UTC}
	var mu sync.Mutex
	calls := 0
	return &desk.Desk{
		Ledger: l, Now: func() time.Time { return now }, Log: slog.New(slog.DiscardHandler),
		Talk: func() conversations.Talk {
			mu.Lock()
			defer mu.Unlock()
			calls++
			if broken != nil && broken(calls) {
				return conversations.Talk{Words: words, Owner: detailer} // no zone: the step panics
			}
			return good
		},
	}, l
}

func text(op string, chat bot.ChatID, body string) bot.Event {
	return bot.Event{Op: op, Chat: chat, From: bot.Person{ID: chat, Name: "Mia"}, At: now, What: bot.Text{Body: body}}
}

// queued is what waits to be sent to a chat, in order.
func queued(t *testing.T, l *ledger.Ledger, chat bot.ChatID) []string {
	t.Helper()
	var out []string
	err := l.Each(context.Background(), func(r ledger.Record) error {
		if r.Kind == "out" && strings.HasPrefix(r.Key, fmt.Sprint(int64(chat))+"|") {
			out = append(out, string(r.Body))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestTheSameEventTwiceIsAppliedOnce(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		d, l := newDesk(t, rdb, nil)
		for range 3 {
			if _, err := d.Handle(context.Background(), text("u1", 101, "hello")); err != nil {
				t.Fatal(err)
			}
		}
		if n := len(queued(t, l, 101)); n != 1 {
			t.Errorf("%d messages queued, want 1", n)
		}
	})
}

// A text and taps of one customer, and the owner, at the same moment: every one
// is applied, whatever moved under it.
func TestConflictsAreSteppedAgain(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		d, l := newDesk(t, rdb, nil)
		if _, err := d.Handle(context.Background(), text("u0", 101, "hello")); err != nil {
			t.Fatal(err)
		}
		const at = 12
		errs := make([]error, at)
		var wg sync.WaitGroup
		for i := range at {
			wg.Go(func() { _, errs[i] = d.Handle(context.Background(), text(fmt.Sprintf("u%d", i+1), 101, "privacy")) })
		}
		wg.Wait()
		for _, err := range errs {
			if err != nil {
				t.Error(err)
			}
		}
		if n := len(queued(t, l, 101)); n != at+1 {
			t.Errorf("%d messages queued, want %d", n, at+1)
		}
	})
}

// An event that keeps failing is put aside after a few deliveries; the chat goes
// on, and the owner hears once.
func TestPoisonIsSetAside(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		// The first delivery decides once; the others first on what is remembered.
		d, l := newDesk(t, rdb, func(call int) bool { return call <= 5 })
		delivered := 0
		for ; delivered < 10; delivered++ {
			if _, err := d.Handle(context.Background(), text("u1", 101, "hello")); err == nil {
				break
			}
		}
		if delivered != 2 {
			t.Errorf("acknowledged at delivery %d, want at the third", delivered+1)
		}
		if n := len(queued(t, l, detailer)); n != 1 {
			t.Errorf("the owner has %d messages, want 1", n)
		}
		asides, err := l.Asides(context.Background(), 10)
		if err != nil || len(asides) != 1 {
			t.Errorf("set aside: %v, %v; want one", asides, err)
		}
		if _, err := d.Handle(context.Background(), text("u2", 101, "hello")); err != nil {
			t.Errorf("the chat does not go on: %v", err)
		}
		if n := len(queued(t, l, 101)); n != 1 {
			t.Errorf("%d messages for the customer, want 1", n)
		}
	})
}

// Whoever dies while a moment that keeps failing is put aside leaves it to be put aside
// again: it is never gone without a word of it, and the owner hears once.
func TestDyingWhileSettingAside(t *testing.T) {
	for _, at := range []string{"aside:told", "aside:put"} {
		ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
			ctx := context.Background()
			d, l := newDesk(t, rdb, func(int) bool { return true })
			if _, err := l.Commit(ctx, ledger.Change{Op: "set", Now: now, Set: []ledger.Due{{ID: "photo:x", At: now, Body: []byte("{}")}}}); err != nil {
				t.Fatal(err)
			}
			died := false
			d.Point = func(name, _ string) {
				if name == at && !died {
					died = true
					panic(at)
				}
			}
			done := false
			for try := range 20 {
				items, err := l.ClaimDue(ctx, now.Add(time.Duration(try)*time.Hour), time.Minute, 10)
				if err != nil {
					t.Fatal(err)
				}
				if done = len(items) == 0; done {
					break
				}
				func() {
					defer func() { _ = recover() }()
					_ = d.Came(ctx, items[0], conversations.Came{Kind: conversations.CamePhoto, Enquiry: "x"})
				}()
			}
			asides, err := l.Asides(ctx, 10)
			if !died || !done || err != nil || len(asides) != 1 {
				t.Errorf("dead at %s: %v; done with: %v; set aside: %v, %v; want one", at, died, done, asides, err)
			}
			if n := len(queued(t, l, detailer)); n != 1 {
				t.Errorf("dead at %s: the owner has %d messages, want 1", at, n)
			}
		})
	}
}

// A store that is away is not the event's fault: nothing is put aside, and the
// event is applied when it is back.
func TestStoreAwayIsNotPoison(t *testing.T) {
	server := ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", "always")
	rdb := ledgertest.Client(t, "redis://"+server.Addr+"/0")
	d, l := newDesk(t, rdb, nil)
	server.Kill()
	for range 5 {
		if _, err := d.Handle(context.Background(), text("u1", 101, "hello")); err == nil {
			t.Fatal("handled without a store")
		}
	}
	server.Start()
	if _, err := d.Handle(context.Background(), text("u1", 101, "hello")); err != nil {
		t.Fatal(err)
	}
	if n := len(queued(t, l, 101)); n != 1 {
		t.Errorf("%d messages queued, want 1", n)
	}
	if asides, err := l.Asides(context.Background(), 10); err != nil || len(asides) != 0 {
		t.Errorf("set aside: %v, %v; want nothing", asides, err)
	}
}
