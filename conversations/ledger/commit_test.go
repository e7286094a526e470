package ledger_test

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.org/dryhand/conversations/ledger"
)

// awkward is a body with everything in it that an encoding may trip over.
var awkward = func() []byte {
	all := []byte("1|2|3\n|\r\n%d %1 \\ \"")
	for c := range 256 {
		all = append(all, byte(c))
	}
	return all
}()

func testCommitAndLoad(t *testing.T, l bench) {
	got := l.load("u:1", "chat:1", "enq:1")
	want := ledger.Loaded{Docs: map[string]ledger.Doc{"chat:1": {Key: "chat:1"}, "enq:1": {Key: "enq:1"}}}
	l.same("an empty ledger", got, want)

	l.commit(ledger.Change{
		Op: "u:1", Read: map[string]int64{"chat:1": 0, "enq:1": 0},
		Put: []ledger.Doc{
			{Key: "chat:1", Links: []string{"enq:1", "day:2026-10-26"}, Body: awkward},
			{Key: "enq:1", Links: []string{"chat:1"}},
		},
	}, ledger.Committed)

	got = l.load("u:1", "chat:1")
	want = ledger.Loaded{Seen: true, Docs: map[string]ledger.Doc{
		"chat:1":         {Key: "chat:1", Version: number(noon, 0), Links: []string{"enq:1", "day:2026-10-26"}, Body: awkward},
		"enq:1":          {Key: "enq:1", Version: number(noon, 0), Links: []string{"chat:1"}},
		"day:2026-10-26": {Key: "day:2026-10-26"},
	}}
	if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("after the commit (-want +got):\n%s", diff)
	}
	if l.load("").Seen {
		t.Error("an event without a name was seen")
	}
}

func testCommitOutcomes(t *testing.T, l bench) {
	one := ledger.Change{Op: "u:1", Read: map[string]int64{"a": 0}, Put: []ledger.Doc{{Key: "a", Body: []byte("one")}},
		Send: []ledger.Out{{Chat: 7, Body: []byte("hello")}}, Set: []ledger.Due{{ID: "d", At: noon}}}
	l.commit(one, ledger.Committed)
	l.commit(one, ledger.Repeated)

	stale := one
	stale.Op = "u:2"
	l.commit(stale, ledger.Conflict)
	// A conflict leaves no trace: the same event may be applied later.
	l.same("seen after a conflict", l.load("u:2").Seen, false)
	stale.Read = map[string]int64{"a": number(noon, 0)}
	l.commit(stale, ledger.Committed)

	// Reading is enough to conflict, whatever is written.
	l.commit(ledger.Change{Op: "u:3", Read: map[string]int64{"a": number(noon, 0), "b": 0}, Put: []ledger.Doc{{Key: "b"}}}, ledger.Conflict)
	l.commit(ledger.Change{Op: "u:3", Read: map[string]int64{"b": 9}}, ledger.Conflict)
	l.same("b", l.load("", "b").Docs["b"], ledger.Doc{Key: "b"})
	l.same("counts", l.counts(), map[string]int64{"commits": 2, "queued": 2})
}

// A document that was deleted and made again is not the one that was read.
func testCommitDeletedAndMadeAgain(t *testing.T, l bench) {
	l.put("u:1", ledger.Doc{Key: "a", Body: []byte("same")})
	read := map[string]int64{"a": l.load("", "a").Docs["a"].Version}
	l.commit(ledger.Change{Op: "u:2", Read: read, Drop: []string{"a"}}, ledger.Committed)
	l.commit(ledger.Change{Op: "u:3", Read: read}, ledger.Conflict)
	l.put("u:4", ledger.Doc{Key: "a", Body: []byte("same")})
	l.commit(ledger.Change{Op: "u:5", Read: read}, ledger.Conflict)
}

func testLoadFollowsLinks(t *testing.T, l bench) {
	l.put("u:1", ledger.Doc{Key: "a", Links: []string{"b"}}, ledger.Doc{Key: "b", Links: []string{"c", "a"}},
		ledger.Doc{Key: "c", Links: []string{"c"}}, ledger.Doc{Key: "other"})
	l.same("from a", keysOf(l.load("", "a")), "a b c")

	// The chain is longer than what one load brings. Its near end comes.
	chain := make([]ledger.Doc, 1100)
	for i := range chain {
		chain[i] = ledger.Doc{Key: fmt.Sprint("n", i), Links: []string{fmt.Sprint("n", i+1)}}
	}
	l.put("u:2", chain[:600]...)
	l.put("u:3", chain[600:]...)
	got := l.load("", "n0", "other")
	l.same("documents of a long chain", len(got.Docs), 1024)
	_, near := got.Docs["n1022"]
	_, far := got.Docs["n1023"]
	l.same("near and far end", []bool{near, far}, []bool{true, false})
}

// A diary of more than a year comes whole with the enquiry that looks for a time
// in it, and can be rested on.
func testLoadOfAYear(t *testing.T, l bench) {
	enquiry := ledger.Doc{Key: "enq:1", Links: []string{"chat:1"}}
	for i := range 371 {
		enquiry.Links = append(enquiry.Links, fmt.Sprint("day:", i))
	}
	l.put("u:1", enquiry, ledger.Doc{Key: "day:0", Body: awkward}, ledger.Doc{Key: "day:370", Body: awkward})
	got := l.load("", "chat:1", "enq:1")
	l.same("documents", len(got.Docs), 373)
	l.same("the last day", got.Docs["day:370"].Body, awkward)

	ctx := context.Background()
	outcome, _, err := l.CommitOrReload(ctx, ledger.Change{Op: "u:2", Now: noon, Put: []ledger.Doc{{Key: "day:200"}}}, got, "chat:1", "enq:1")
	l.ok(err)
	l.same("on what was read", outcome, ledger.Committed)
	outcome, again, err := l.CommitOrReload(ctx, ledger.Change{Op: "u:3", Now: noon, Put: []ledger.Doc{{Key: "day:1"}}}, got, "chat:1", "enq:1")
	l.ok(err)
	l.same("on what has moved", outcome, ledger.Conflict)
	l.same("what a load would bring", again, l.load("", "chat:1", "enq:1"))
}

func keysOf(loaded ledger.Loaded) string {
	var keys []string
	for key := range loaded.Docs {
		keys = append(keys, key)
	}
	return strings.Join(sorted(keys), " ")
}

// An event is remembered for longer than the platform brings it back, and not for
// ever.
func testCommitForgetsOldEvents(t *testing.T, l bench) {
	for i := range 50 {
		l.commit(ledger.Change{Op: fmt.Sprint("old:", i)}, ledger.Committed)
	}
	l.commit(ledger.Change{Op: "day later", Now: after(24 * 3600)}, ledger.Committed)
	l.same("after a day", l.load("old:0").Seen, true)
	l.commit(ledger.Change{Op: "two days later", Now: after(48*3600 + 1)}, ledger.Committed)
	l.commit(ledger.Change{Op: "and another", Now: after(48*3600 + 1)}, ledger.Committed)
	for _, op := range []string{"old:0", "old:49"} {
		l.same("after two days "+op, l.load(op).Seen, false)
	}
	l.same("of a day ago", l.load("day later").Seen, true)
}

func testCommitOneWinner(t *testing.T, l bench) {
	const runners = 64
	outcomes := make([]ledger.Outcome, runners)
	errs := make([]error, runners)
	start := make(chan struct{})
	var wg sync.WaitGroup
	for i := range runners {
		wg.Go(func() {
			<-start
			outcomes[i], errs[i] = l.Commit(context.Background(), ledger.Change{
				Op: fmt.Sprint("u:", i), Now: noon, Read: map[string]int64{"slot": 0},
				Put: []ledger.Doc{{Key: "slot", Body: fmt.Appendf(nil, "%d", i)}},
			})
		})
	}
	close(start)
	wg.Wait()
	winner, won := -1, 0
	for i, err := range errs {
		l.ok(err)
		if outcomes[i] == ledger.Committed {
			winner, won = i, won+1
		}
	}
	if won != 1 {
		t.Fatalf("%d of %d commits against one version won", won, runners)
	}
	l.same("the slot is the winner's", string(l.load("", "slot").Docs["slot"].Body), fmt.Sprint(winner))
}

// What cannot be stored is refused before anything is written.
func testCommitRefuses(t *testing.T, l bench) {
	read := map[string]int64{"a": 0, "a b": 0, "a|b": 0, "": 0}
	for name, c := range map[string]ledger.Change{
		"no op":           {Now: noon},
		"no time":         {Op: "u:1"},
		"unread":          {Op: "u:1", Now: noon, Put: []ledger.Doc{{Key: "b"}}},
		"unread drop":     {Op: "u:1", Now: noon, Drop: []string{"b"}},
		"put twice":       {Op: "u:1", Now: noon, Read: read, Put: []ledger.Doc{{Key: "a"}, {Key: "a"}}},
		"put and dropped": {Op: "u:1", Now: noon, Read: read, Put: []ledger.Doc{{Key: "a"}}, Drop: []string{"a"}},
		"empty key":       {Op: "u:1", Now: noon, Read: read, Put: []ledger.Doc{{}}},
		"space in key":    {Op: "u:1", Now: noon, Read: read, Put: []ledger.Doc{{Key: "a b"}}},
		"bar in link":     {Op: "u:1", Now: noon, Read: read, Put: []ledger.Doc{{Key: "a", Links: []string{"a|b"}}}},
		"due without id":  {Op: "u:1", Now: noon, Set: []ledger.Due{{At: noon}}},
		"no chat":         {Op: "u:1", Now: noon, Send: []ledger.Out{{}}},
	} {
		if o, err := l.Commit(context.Background(), c); err == nil {
			t.Errorf("%s: %v, want an error", name, o)
		}
	}
	empty, err := l.Empty(context.Background())
	l.ok(err)
	l.same("empty", empty, true)
}

// The name of a business becomes part of its keys.
func TestNewRefusesNames(t *testing.T) {
	for _, name := range []string{"", "Desk", "a b", "a}b", "a:b", strings.Repeat("a", 33)} {
		if _, err := ledger.New(nil, name); err == nil {
			t.Errorf("New(%q): want an error", name)
		}
	}
}
