package ledger_test

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"example.org/dryhand/conversations/ledger"
)

// say queues texts for a chat, in one commit.
func (b bench) say(op string, chat int64, texts ...string) {
	b.t.Helper()
	c := ledger.Change{Op: op}
	for _, text := range texts {
		c.Send = append(c.Send, ledger.Out{Chat: chat, Body: []byte(text)})
	}
	b.commit(c, ledger.Committed)
}

func testClaimOutInOrder(t *testing.T, l bench) {
	ctx := context.Background()
	// Chats whose numbers begin alike, and a group's, which is negative.
	l.say("u:1", 12, "a1", "a2")
	l.say("u:2", 123, "b1")
	l.say("u:3", -12, "c1")
	l.say("u:4", 12, "a3")
	l.next(time.Time{}, noon)
	l.same("before", bodies(l.claimOut(after(-1), 9)), []string(nil))
	claimed := l.claimOut(noon, 9)
	l.same("heads", sorted(bodies(claimed)), []string{"a1", "b1", "c1"})
	l.same("all leased", bodies(l.claimOut(after(59), 9)), []string(nil))
	l.next(time.Time{}, after(60))
	for _, s := range claimed {
		l.ok(l.Sent(ctx, s, after(1)))
	}
	l.next(time.Time{}, after(1))
	l.same("too soon for the chat", bodies(l.claimOut(noon, 9)), []string(nil))
	for _, want := range []string{"a2", "a3"} {
		got := l.claimOut(after(1), 9)
		l.same("the rest, one by one", bodies(got), []string{want})
		l.ok(l.Sent(ctx, got[0], after(1)))
	}
	l.next(time.Time{}, time.Time{})
	l.same("nothing left", bodies(l.claimOut(after(99), 9)), []string(nil))
	l.same("counts", l.counts(), map[string]int64{"commits": 4, "queued": 5, "sent": 5})
}

func testOutIsKeptWhole(t *testing.T, l bench) {
	want := ledger.Out{Chat: 1 << 52, Body: awkward, Once: true, NotAfter: after(3600)}
	l.commit(ledger.Change{Op: "u:1", Send: []ledger.Out{want}}, ledger.Committed)
	got := l.claimOut(noon, 1)
	l.same("claimed", got, []ledger.Sending{{Out: want, Member: member(1<<52, number(noon, 0)), Attempt: 1}})
}

// The pace of a chat outlasts its queue: a message queued right after the last
// one was sent waits for it too.
func testPaceOfAnEmptyQueue(t *testing.T, l bench) {
	l.say("u:1", 5, "one")
	l.ok(l.Sent(context.Background(), l.claimOut(noon, 1)[0], after(3)))
	l.next(time.Time{}, time.Time{})
	l.say("u:2", 5, "two")
	l.next(time.Time{}, after(3))
	l.same("before the pace", bodies(l.claimOut(after(2), 1)), []string(nil))
	l.same("after it", bodies(l.claimOut(after(3), 1)), []string{"two"})
}

// Chats with nothing queued do not keep those behind them from being claimed, nor
// from being foretold.
func testEmptyQueuesInFront(t *testing.T, l bench) {
	for i := range 40 {
		l.say(fmt.Sprint("u:", i), int64(100+i), "x")
	}
	for _, s := range l.claimOut(noon, 40) {
		l.ok(l.Sent(context.Background(), s, after(1)))
	}
	l.commit(ledger.Change{Op: "last", Now: after(2), Send: []ledger.Out{{Chat: 7, Body: []byte("behind")}}}, ledger.Committed)
	l.next(time.Time{}, after(2))
	l.same("claimed", bodies(l.claimOut(after(2), 16)), []string{"behind"})
}

func testLater(t *testing.T, l bench) {
	ctx := context.Background()
	l.say("u:1", 5, "one", "two")
	first := l.claimOut(noon, 1)[0]
	l.ok(l.Begin(ctx, first))
	l.ok(l.Later(ctx, first, after(30)))
	l.next(time.Time{}, after(30))
	second := l.claimOut(after(30), 1)
	l.same("still first, and not begun", second, []ledger.Sending{{Out: first.Out, Member: first.Member, Attempt: 2}})
	l.same("counted", l.counts()["later"], int64(1))

	// The first claim is history. It frees nothing.
	l.ok(l.Later(ctx, first, after(31)))
	l.next(time.Time{}, after(90))
	l.same("counted once", l.counts()["later"], int64(1))
}

// An attempt that began and never reported is told to whoever claims next.
func testBegin(t *testing.T, l bench) {
	ctx := context.Background()
	l.say("u:1", 5, "one")
	l.claimOut(noon, 1) // this sender died before it began
	second := l.claimOut(after(60), 1)[0]
	l.same("after a claim that did not begin", second.Began, false)
	l.ok(l.Begin(ctx, second))
	l.ok(l.Begin(ctx, second))
	third := l.claimOut(after(120), 1)[0]
	l.same("after a claim that began", []any{third.Began, third.Attempt}, []any{true, 3})

	if err := l.Begin(ctx, second); !errors.Is(err, ledger.ErrClaimLost) {
		t.Errorf("Begin of a lost claim: %v, want ErrClaimLost", err)
	}
	l.ok(l.Sent(ctx, third, after(121)))
	if err := l.Begin(ctx, third); !errors.Is(err, ledger.ErrClaimLost) {
		t.Errorf("Begin of a message that is gone: %v, want ErrClaimLost", err)
	}
}

// A sender that was slow and lost its lease may still say that the message was
// sent, but the chat stays with the one that has it now.
func testSentAfterTheLease(t *testing.T, l bench) {
	ctx := context.Background()
	l.say("u:1", 5, "one", "two")
	slow := l.claimOut(noon, 1)[0]
	quick := l.claimOut(after(60), 1)[0]
	l.ok(l.SetAside(ctx, slow, "uncertain", after(61), after(61)))
	l.same("nothing put aside by a lost claim", len(l.asides()), 0)
	l.ok(l.Sent(ctx, slow, after(61)))
	l.same("still leased", bodies(l.claimOut(after(119), 1)), []string(nil))
	l.ok(l.Sent(ctx, quick, after(62)))
	l.same("sent is counted once", l.counts()["sent"], int64(1))
	l.same("after the lease", bodies(l.claimOut(after(120), 1)), []string{"two"})
}

func testClaimRefuses(t *testing.T, l bench) {
	for _, bad := range []struct {
		lease time.Duration
		n     int
	}{{0, 1}, {-time.Second, 1}, {time.Second, 0}, {time.Second, 1000}} {
		if _, err := l.ClaimOut(context.Background(), noon, bad.lease, bad.n); err == nil {
			t.Errorf("ClaimOut of %+v: want an error", bad)
		}
		if _, err := l.ClaimDue(context.Background(), noon, bad.lease, bad.n); err == nil {
			t.Errorf("ClaimDue of %+v: want an error", bad)
		}
	}
}
