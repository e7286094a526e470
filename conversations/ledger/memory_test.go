package ledger_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
)

// What is remembered is what a load would bring, after every way a document can change
// by this process's hand.
func testRecall(t *testing.T, l bench) {
	_, whole := l.Recall("chat:1")
	l.same("before anything", whole, false)
	l.put("u:1", ledger.Doc{Key: "chat:1", Links: []string{"enq:1", "gone"}, Body: []byte("one")}, ledger.Doc{Key: "enq:1"})
	_, whole = l.Recall("chat:1")
	l.same("with a link nobody has followed", whole, false)
	l.remembered("as loaded", l.load("", "chat:1"), "chat:1")

	read := func() map[string]int64 { return l.versions([]ledger.Doc{{Key: "chat:1"}, {Key: "enq:1"}}) }
	l.commit(ledger.Change{Op: "u:2", Read: read(), Put: []ledger.Doc{{Key: "chat:1", Links: []string{"enq:1"}, Body: []byte("two")}}}, ledger.Committed)
	l.remembered("as committed", l.load("", "chat:1"), "chat:1")
	l.commit(ledger.Change{Op: "u:3", Read: read(), Drop: []string{"enq:1"}}, ledger.Committed)
	l.remembered("as dropped", l.load("", "chat:1"), "chat:1")

	l.ok(l.Erase(context.Background(), []string{"chat:1"}, nil, 0))
	_, whole = l.Recall("chat:1")
	l.same("of somebody erased", whole, false)
}

// remembered wants to recall what was loaded.
func (b bench) remembered(what string, want ledger.Loaded, keys ...string) {
	b.t.Helper()
	got, whole := b.Recall(keys...)
	b.same(what+", whole", whole, true)
	for key, d := range want.Docs {
		g := got.Docs[key]
		b.same(what+", "+key, fmt.Sprint(g.Version, g.Links, string(g.Body)), fmt.Sprint(d.Version, d.Links, string(d.Body)))
	}
	b.same(what+", documents", len(got.Docs), len(want.Docs))
}

// A decision on what somebody else has moved meanwhile is refused, and what was
// remembered is put right by the refusal.
func testRecallOfWhatHasMoved(t *testing.T, l bench) {
	ctx := context.Background()
	other := l.other()
	l.put("u:1", ledger.Doc{Key: "a", Body: []byte("one")})
	l.load("", "a", "new")
	other.put("u:2", ledger.Doc{Key: "a", Body: []byte("two")}, ledger.Doc{Key: "new"})
	old, whole := l.Recall("a", "new")
	l.same("remembered", fmt.Sprint(whole, " ", string(old.Docs["a"].Body), " ", old.Docs["new"].Version), "true one 0")
	for i, written := range []string{"a", "new", "b"} {
		c := ledger.Change{Op: fmt.Sprint("u:3", i), Now: noon, Read: map[string]int64{"b": 0}, Put: []ledger.Doc{{Key: written, Body: []byte("three")}}}
		outcome, again, err := l.CommitOrReload(ctx, c, old, "a", "new")
		l.ok(err)
		l.same("on what has moved", outcome, ledger.Conflict)
		l.same("what there is now", string(again.Docs["a"].Body), "two")
	}
	l.remembered("put right", other.load("", "a", "new"), "a", "new")

	// Erased by somebody else.
	l.ok(other.Erase(ctx, []string{"a"}, nil, 0))
	old, _ = l.Recall("a")
	outcome, again, err := l.CommitOrReload(ctx, ledger.Change{Op: "u:4", Now: noon, Put: []ledger.Doc{{Key: "a"}}}, old, "a")
	l.ok(err)
	l.same("on what is gone", fmt.Sprint(outcome, again.Docs["a"].Version), "conflict 0")
}

// other is the same business as another process has it.
func (b bench) other() bench {
	b.t.Helper()
	business := b.prefix[len("dh:{") : len(b.prefix)-len("}:")]
	return open(b.t, b.rdb, business)
}

// A store that comes back with an older state, its counter included, gives none of the
// numbers again that are remembered: else a decision on lost knowledge would pass.
func testNumbersAfterALoss(t *testing.T, l bench) {
	ctx := context.Background()
	l.put("u:1", ledger.Doc{Key: "day", Body: []byte("free")})
	var saved []string
	for _, part := range []string{"docs", "ver"} {
		saved = append(saved, l.rdb.HGet(ctx, l.prefix+part, "day").Val())
	}
	seq := l.rdb.Get(ctx, l.prefix+"seq").Val()
	bookAt := func(b bench, op string, second int, body string) {
		b.commit(ledger.Change{Op: op, Now: after(second), Read: b.versions([]ledger.Doc{{Key: "day"}}), Put: []ledger.Doc{{Key: "day", Body: []byte(body)}}}, ledger.Committed)
	}
	bookAt(l, "u:2", 1, "lost") // and remembered

	_, err := l.rdb.Pipelined(ctx, func(p redis.Pipeliner) error {
		p.HSet(ctx, l.prefix+"docs", "day", saved[0])
		p.HSet(ctx, l.prefix+"ver", "day", saved[1])
		return p.Set(ctx, l.prefix+"seq", seq, 0).Err()
	})
	l.ok(err)
	bookAt(l.other(), "u:3", 2, "taken by the other")

	old, _ := l.Recall("day")
	l.same("remembered", string(old.Docs["day"].Body), "lost")
	outcome, again, err := l.CommitOrReload(ctx, ledger.Change{Op: "u:4", Now: after(3), Put: []ledger.Doc{{Key: "day", Body: []byte("mine")}}}, old, "day")
	l.ok(err)
	l.same("on what was lost", fmt.Sprint(outcome, " ", string(again.Docs["day"].Body)), "conflict taken by the other")
}

// What is remembered is bounded, and what is asked for all the time stays.
func testMemoryIsBounded(t *testing.T, l bench) {
	l.put("u:0", ledger.Doc{Key: "often"})
	const size, many = 64 << 10, 400 // 25 MB in all
	for i := range many {
		l.put(fmt.Sprint("u:", i+1), ledger.Doc{Key: fmt.Sprint("doc:", i), Body: make([]byte, size)})
		l.Recall("often")
	}
	n := 0
	for i := range many {
		if _, whole := l.Recall(fmt.Sprint("doc:", i)); whole {
			n++
		}
	}
	if n < 60 || n > 130 {
		t.Errorf("%d documents of 64 kB are remembered, want between 4 and 8 MB", n)
	}
	_, often := l.Recall("often")
	_, last := l.Recall(fmt.Sprint("doc:", many-1))
	l.same("what is in use is remembered", []bool{often, last}, []bool{true, true})
}
