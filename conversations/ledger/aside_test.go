package ledger_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations/ledger"
)

func testSetAside(t *testing.T, l bench) {
	ctx := context.Background()
	l.commit(ledger.Change{Op: "u:1", Send: []ledger.Out{{Chat: 5, Body: awkward, Once: true}, {Chat: 5, Body: []byte("two")}}}, ledger.Committed)
	s := l.claimOut(noon, 1)[0]
	reason := "refused: 400|with|bars"
	l.ok(l.SetAside(ctx, s, reason, after(1), after(4)))
	l.ok(l.SetAside(ctx, s, reason, after(1), after(9))) // after a lost reply
	l.same("asides", l.asides(), []ledger.Aside{{At: after(1), Kind: "message", Key: s.Member, Reason: reason, Body: awkward}})
	l.next(time.Time{}, after(4))
	l.same("the next one", bodies(l.claimOut(after(4), 1)), []string{"two"})
	l.same("counts", l.counts(), map[string]int64{"commits": 1, "queued": 2, "aside:refused": 1})
}

// A reason that is not a short constant must not make a count of its own.
func testCountsOfReasons(t *testing.T, l bench) {
	l.say("u:1", 5, "one", "two")
	for _, reason := range []string{strings.Repeat("long ", 20), "short"} {
		s := l.claimOut(noon, 1)[0]
		l.ok(l.SetAside(context.Background(), s, reason, noon, noon))
	}
	l.same("counts", l.counts(), map[string]int64{"commits": 1, "queued": 2, "aside:other": 1, "aside:short": 1})
}

func testDropChat(t *testing.T, l bench) {
	ctx := context.Background()
	const many = 600 // more than one script takes at a time
	c := ledger.Change{Op: "u:1", Send: []ledger.Out{{Chat: 1, Body: []byte("before")}, {Chat: 55, Body: []byte("behind")}}}
	for i := range many {
		c.Send = append(c.Send, ledger.Out{Chat: 5, Body: fmt.Appendf(nil, "%d", i)})
	}
	l.commit(c, ledger.Committed)
	held := l.claimOut(noon, 9)
	l.same("claimed", sorted(bodies(held)), []string{"0", "before", "behind"})

	n, err := l.DropChat(ctx, 5, "blocked", after(1))
	l.ok(err)
	l.same("dropped", n, many)
	l.same("asides", len(l.asides()), many)
	l.same("the newest", l.asides()[0], ledger.Aside{At: after(1), Kind: "message", Key: member(5, number(noon, 601)), Reason: "blocked", Body: []byte("599")})
	for _, s := range held {
		l.ok(l.Sent(ctx, s, after(2))) // one of them is of the dropped chat, and comes too late
	}
	l.next(time.Time{}, time.Time{})
	l.same("counts", l.counts(), map[string]int64{"commits": 1, "queued": many + 2, "sent": 2, "aside:blocked": many})

	n, err = l.DropChat(ctx, 5, "blocked", after(1))
	l.ok(err)
	l.same("dropped again", n, 0)
}

// Whoever lets us in again right after a refusal hears at once, and not when the
// lease of what was refused is over.
func testDropFreesTheChat(t *testing.T, l bench) {
	l.say("u:1", 5, "shut out")
	l.same("claimed", bodies(l.claimOut(noon, 1)), []string{"shut out"})
	_, err := l.DropChat(context.Background(), 5, "blocked", after(1))
	l.ok(err)
	l.say("u:2", 5, "welcome back")
	l.same("let in again", bodies(l.claimOut(after(1), 1)), []string{"welcome back"})
}

func testPoison(t *testing.T, l bench) {
	ctx := context.Background()
	for want := 1; want <= 3; want++ {
		got, err := l.Failed(ctx, "u:1")
		l.ok(err)
		l.same("failures", got, want)
	}
	got, err := l.Failed(ctx, "u:2")
	l.ok(err)
	l.same("failures of another", got, 1)

	l.ok(l.Poison(ctx, "u:1", awkward, "step: no such question", noon))
	l.ok(l.Poison(ctx, "u:1", awkward, "step: no such question", after(1))) // after a lost reply
	l.same("asides", l.asides(), []ledger.Aside{{At: noon, Kind: "event", Key: "u:1", Reason: "step: no such question", Body: awkward}})
	l.same("seen", l.load("u:1").Seen, true)
	got, err = l.Failed(ctx, "u:1")
	l.ok(err)
	l.same("failures after it was put aside", got, 1)
	if left := l.rdb.TTL(ctx, l.prefix+"trouble").Val(); left <= 0 || left > 7*24*time.Hour {
		t.Errorf("counts of failures are forgotten after %v, want a week", left)
	}
	l.commit(ledger.Change{Op: "u:1"}, ledger.Repeated)

	// A success ends the count, and an applied event is not put aside.
	l.commit(ledger.Change{Op: "u:2"}, ledger.Committed)
	l.ok(l.Poison(ctx, "u:2", nil, "late", noon))
	l.same("asides", len(l.asides()), 1)
	got, err = l.Failed(ctx, "u:2")
	l.ok(err)
	l.same("failures after a success", got, 1)
	if err := l.Poison(ctx, "", nil, "nameless", noon); err == nil {
		t.Error("an event without a name was put aside")
	}
	l.same("counts", l.counts(), map[string]int64{"commits": 1, "aside:event": 1})
}

// The newest come first, and are all that is asked for.
func testAsidesNewestFirst(t *testing.T, l bench) {
	ctx := context.Background()
	for _, i := range []int{2, 0, 3, 1} {
		l.ok(l.Poison(ctx, fmt.Sprint("u:", i), nil, "x", after(i)))
	}
	found, err := l.Asides(ctx, 2)
	l.ok(err)
	l.same("keys", []string{found[0].Key, found[1].Key}, []string{"u:3", "u:2"})
	found, err = l.Asides(ctx, 0)
	l.ok(err)
	l.same("none", len(found), 0)
}

// What nobody looks at does not grow for ever.
func testAsidesAreBounded(t *testing.T, l bench) {
	ctx := context.Background()
	const most = 10_000
	full := make([]ledger.Record, most)
	for i := range full {
		full[i] = ledger.Record{Kind: "aside", Of: "event", Key: fmt.Sprint("old:", i), At: after(i)}
	}
	l.ok(l.Restore(ctx, full...))
	l.say("u:1", 5, "one", "two")
	bounded := func(newest, oldest string) {
		t.Helper()
		found, err := l.Asides(ctx, 2*most)
		l.ok(err)
		l.same("how many", len(found), most)
		l.same("newest and oldest", []string{found[0].Reason, found[most-1].Key}, []string{newest, oldest})
	}
	l.ok(l.Poison(ctx, "new:1", nil, "broken", after(most)))
	bounded("broken", "old:1")
	l.ok(l.SetAside(ctx, l.claimOut(noon, 1)[0], "refused", after(most+1), noon))
	bounded("refused", "old:2")
	_, err := l.DropChat(ctx, 5, "blocked", after(most+2))
	l.ok(err)
	bounded("blocked", "old:3")
}

func testReady(t *testing.T, l bench) {
	l.ok(l.Ready(context.Background()))
	empty, err := l.Empty(context.Background())
	l.ok(err)
	l.same("empty", empty, true)
}
