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

// Nothing that was committed is lost when the server is killed, if it syncs
// always; nothing is applied twice when what was uncertain is tried again.
func TestKilledServer(t *testing.T) {
	s := ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", "always")
	l := open(t, ledgertest.Client(t, s.URL()), "desk")
	ctx := context.Background()
	const rounds, each = 4, 25
	var dead chan struct{} // closed when the server that is being killed is gone
	restart := func() {
		t.Helper()
		<-dead
		s.Start()
		dead = nil
		l.retry(func() error { return l.Ready(ctx) })
	}
	for round := range rounds {
		for i := range each {
			if i == each/2 { // between two calls, or during one
				dead = make(chan struct{})
				go func(gone chan<- struct{}) { defer close(gone); s.Kill() }(dead)
			}
			c := numbered(fmt.Sprintf("u:%d-%d", round, i))
			if _, err := l.Commit(ctx, c); err != nil {
				if dead == nil {
					t.Fatalf("a server that is up fails: %v", err)
				}
				restart()
				_, err = l.Commit(ctx, c)
				l.ok(err)
			}
		}
		if dead != nil {
			restart()
		}
	}
	for round := range rounds {
		for i := range each {
			op := fmt.Sprintf("u:%d-%d", round, i)
			loaded := l.load(op, "doc:"+op)
			if !loaded.Seen || string(loaded.Docs["doc:"+op].Body) != op {
				t.Errorf("lost: %s", op)
			}
		}
	}
	l.same("commits and messages", []int64{l.counts()["commits"], l.counts()["queued"]}, []int64{rounds * each, rounds * each})
	l.same("due items", len(l.claimDue(noon, 256)), rounds*each)
}

// numbered is a change with one of everything.
func numbered(op string) ledger.Change {
	return ledger.Change{
		Op: op, Now: noon, Read: map[string]int64{"doc:" + op: 0}, Put: []ledger.Doc{{Key: "doc:" + op, Body: []byte(op)}},
		Set: []ledger.Due{{ID: op, At: noon}}, Send: []ledger.Out{{Chat: 5, Body: []byte(op)}},
	}
}

// retry tries again while pooled connections to the dead server turn out broken.
func (b bench) retry(f func() error) {
	b.t.Helper()
	var err error
	for range 50 {
		if err = f(); err == nil {
			return
		}
	}
	b.t.Fatal(err)
}

// overLine runs f against every kind of Redis, over a line that can lose replies.
func overLine(t *testing.T, f func(t *testing.T, l bench, line *ledgertest.Line)) {
	ledgertest.EachURL(t, func(t *testing.T, url string) {
		o, err := ledger.Options(url)
		if err != nil {
			t.Fatal(err)
		}
		ledgertest.Patient(o)
		line := ledgertest.NewLine(o)
		rdb := redis.NewUniversalClient(o)
		t.Cleanup(func() { rdb.Close() })
		f(t, open(t, rdb, "desk"), line)
	})
}

// A commit whose reply is lost and that is tried again is applied once, and so is
// every settling of a message.
func TestLostReplies(t *testing.T) {
	overLine(t, func(t *testing.T, l bench, line *ledgertest.Line) {
		ctx := context.Background()
		lossy := func(f func() error) {
			t.Helper()
			l.ok(l.Ready(ctx)) // a connection is there, and no greeting will be lost instead
			line.Lose(1)
			err := f()
			if line.Left() != 0 {
				t.Fatal("no reply was lost")
			}
			if _, cluster := l.rdb.(*redis.ClusterClient); err == nil && !cluster {
				t.Fatal("a lost reply is no error")
			}
			l.ok(f())
		}
		for range 2 { // first with the scripts unknown to the server, then known
			for i := range 5 {
				op := fmt.Sprint("u:", i)
				lossy(func() error { _, err := l.Commit(ctx, numbered(op)); return err })
				l.commit(numbered(op), ledger.Repeated)
			}
			l.same("counts", l.counts(), map[string]int64{"commits": 5, "queued": 5})
		}
		sent := l.claimOut(noon, 1)[0]
		lossy(func() error { return l.Begin(ctx, sent) })
		lossy(func() error { return l.Sent(ctx, sent, after(1)) })
		later := l.claimOut(after(1), 1)[0]
		lossy(func() error { return l.Later(ctx, later, after(2)) })
		aside := l.claimOut(after(2), 1)[0]
		lossy(func() error { return l.SetAside(ctx, aside, "refused", after(2), after(3)) })
		lossy(func() error { _, err := l.DropChat(ctx, 5, "blocked", after(3)); return err })
		lossy(func() error { return l.Poison(ctx, "u:9", nil, "x", after(3)) })

		l.next(noon, time.Time{})
		l.same("asides", len(l.asides()), 5)
		got := l.counts()
		delete(got, "later") // tried again from after(2) on: may be counted twice, is one move
		l.same("counts", got, map[string]int64{"commits": 5, "queued": 5, "sent": 1, "aside:refused": 1, "aside:blocked": 3, "aside:event": 1})
	})
}

// However long a server was away and however many asked for it meanwhile, the first
// call after it is back succeeds.
func TestBackAtOnceAfterAnOutage(t *testing.T) {
	s := ledgertest.NewServer(t)
	l := open(t, ledgertest.Client(t, s.URL()), "desk")
	for range 3 {
		s.Kill()
		for range 200 {
			if err := l.Ready(context.Background()); err == nil {
				t.Fatal("a server that is gone answers")
			}
		}
		s.Start()
		if err := l.Ready(context.Background()); err != nil {
			t.Errorf("the first call after the server was back: %v", err)
		}
	}
}
