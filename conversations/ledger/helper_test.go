package ledger_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
)

// noon is when tests begin, on the day of a UK clock change as good as any other.
var noon = time.Date(2026, 10, 25, 12, 0, 0, 0, time.UTC)

// after is noon and so many seconds.
func after(seconds int) time.Time { return noon.Add(time.Duration(seconds) * time.Second) }

// number is the lowest version or sequence given out at a moment, and n further ones:
// a thousand a second since the beginning of 2020.
func number(at time.Time, n int64) int64 {
	return at.Truncate(time.Second).Sub(time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)).Milliseconds() + n
}

// member names the message of a number in the queue of a chat.
func member(chat, number int64) string { return fmt.Sprintf("%d|%016d", chat, number) }

// bench is a ledger with the calls a test makes all the time, failing the test
// where the ledger fails.
type bench struct {
	*ledger.Ledger
	t   testing.TB
	rdb redis.UniversalClient
	// prefix begins the names of its keys.
	prefix string
}

func open(t testing.TB, rdb redis.UniversalClient, business string) bench {
	t.Helper()
	l, err := ledger.New(rdb, business)
	if err != nil {
		t.Fatal(err)
	}
	return bench{l, t, rdb, "dh:{" + business + "}:"}
}

// sibling is the ledger of another business in the same Redis.
func (b bench) sibling(business string) bench {
	b.t.Helper()
	return open(b.t, b.rdb, business)
}

func (b bench) load(op string, keys ...string) ledger.Loaded {
	b.t.Helper()
	loaded, err := b.Load(context.Background(), op, keys...)
	if err != nil {
		b.t.Fatal(err)
	}
	return loaded
}

// commit commits, at noon unless the change says otherwise, and wants an outcome.
func (b bench) commit(c ledger.Change, want ledger.Outcome) {
	b.t.Helper()
	if c.Now.IsZero() {
		c.Now = noon
	}
	got, err := b.Commit(context.Background(), c)
	if err != nil {
		b.t.Fatal(err)
	}
	if got != want {
		b.t.Fatalf("commit of %s: got %v, want %v", c.Op, got, want)
	}
}

// put writes documents over whatever there is.
func (b bench) put(op string, docs ...ledger.Doc) {
	b.t.Helper()
	b.commit(ledger.Change{Op: op, Read: b.versions(docs), Put: docs}, ledger.Committed)
}

func (b bench) versions(docs []ledger.Doc) map[string]int64 {
	b.t.Helper()
	read := make(map[string]int64)
	for _, d := range docs {
		read[d.Key] = b.load("", d.Key).Docs[d.Key].Version
	}
	return read
}

func (b bench) claimDue(now time.Time, n int) []ledger.Due {
	b.t.Helper()
	items, err := b.ClaimDue(context.Background(), now, time.Minute, n)
	if err != nil {
		b.t.Fatal(err)
	}
	return items
}

func (b bench) claimOut(now time.Time, n int) []ledger.Sending {
	b.t.Helper()
	claimed, err := b.ClaimOut(context.Background(), now, time.Minute, n)
	if err != nil {
		b.t.Fatal(err)
	}
	return claimed
}

func (b bench) asides() []ledger.Aside {
	b.t.Helper()
	found, err := b.Asides(context.Background(), 1000)
	if err != nil {
		b.t.Fatal(err)
	}
	return found
}

func (b bench) counts() map[string]int64 {
	b.t.Helper()
	counts, err := b.Counts(context.Background())
	if err != nil {
		b.t.Fatal(err)
	}
	return counts
}

// next wants the moments of the next due item and the next message, zero for none.
func (b bench) next(wantDue, wantOut time.Time) {
	b.t.Helper()
	due, haveDue, err := b.NextDue(context.Background())
	b.ok(err)
	out, haveOut, err := b.NextOut(context.Background())
	b.ok(err)
	b.same("next due item", due, wantDue)
	b.same("next message", out, wantOut)
	b.same("whether there is a due item and a message", []bool{haveDue, haveOut}, []bool{!wantDue.IsZero(), !wantOut.IsZero()})
}

func (b bench) ok(err error) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
}

func (b bench) same(what string, got, want any) {
	b.t.Helper()
	if diff := cmp.Diff(want, got); diff != "" {
		b.t.Errorf("%s (-want +got):\n%s", what, diff)
	}
}

// bodies are the bodies of claimed messages, in order.
func bodies(claimed []ledger.Sending) []string {
	var all []string
	for _, s := range claimed {
		all = append(all, string(s.Body))
	}
	return all
}

// ids are the ids of due items, in order.
func ids(items []ledger.Due) []string {
	var all []string
	for _, d := range items {
		all = append(all, d.ID)
	}
	return all
}
