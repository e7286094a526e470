package ledger_test

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/redis/go-redis/v9"
	"pgregory.net/rapid"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// model says what the ledger must do, in maps and slices. It knows documents by
// the event that wrote them, as versions are the ledger's own affair.
type model struct {
	now    time.Time
	docs   map[string]string
	ops    map[string]bool
	due    map[string]waiting
	queues map[int64][]*message
	free   map[int64]time.Time // when a chat may be claimed next
	counts map[string]int64
	asides []string
}

type waiting struct {
	at, next time.Time
	body     string
}

type message struct {
	body    string
	attempt int
	began   bool
}

// machine is a model and the ledger it speaks of.
type machine struct {
	model
	l *ledger.Ledger
	// claims made so far, settled and lost ones among them.
	items []ledger.Due
	sends []ledger.Sending
	// old are documents as they were read at some time.
	old []map[string]ledger.Doc
	n   int
}

var (
	modelDocs  = []string{"a", "b", "c"}
	modelDue   = []string{"x", "y", "z"}
	modelChats = []int64{1, 12, -1}
)

func newMachine(t *rapid.T, rdb redis.UniversalClient, business string) *machine {
	l, err := ledger.New(rdb, business)
	if err != nil {
		t.Fatal(err)
	}
	return &machine{l: l, model: model{
		now: noon, docs: map[string]string{}, ops: map[string]bool{}, due: map[string]waiting{},
		queues: map[int64][]*message{}, free: map[int64]time.Time{}, counts: map[string]int64{},
	}}
}

// TestModel lets the ledger and the model do the same things in random order, and
// wants the same of both.
func TestModel(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		run := 0
		rapid.Check(t, func(t *rapid.T) {
			run++
			m := newMachine(t, rdb, fmt.Sprintf("model-%d", run))
			t.Repeat(map[string]func(*rapid.T){
				"":         m.compare,
				"pass":     func(t *rapid.T) { m.now = m.now.Add(seconds(t, "pass")) },
				"read":     m.read,
				"commit":   m.commit,
				"commit 2": m.commit,
				"claimDue": m.claimDue,
				"deferDue": m.deferDue,
				"claimOut": m.claimOut,
				"begin":    m.begin,
				"sent":     m.sent,
				"later":    m.later,
				"setAside": m.setAside,
				"dropChat": m.dropChat,
			})
		})
	})
}

func seconds(t *rapid.T, what string) time.Duration {
	return time.Duration(rapid.IntRange(1, 40).Draw(t, what)) * time.Second
}

func same(t *rapid.T, what string, got, want any) {
	if diff := cmp.Diff(want, got); diff != "" {
		t.Fatalf("%s (-model +ledger):\n%s", what, diff)
	}
}

func ok(t *rapid.T, err error) {
	if err != nil {
		t.Fatal(err)
	}
}

// compare looks at everything that can be seen without changing anything.
func (m *machine) compare(t *rapid.T) {
	ctx := context.Background()
	loaded, err := m.l.Load(ctx, "", modelDocs...)
	ok(t, err)
	got := map[string]string{}
	for key, d := range loaded.Docs {
		if d.Version != 0 {
			got[key] = string(d.Body)
		}
	}
	same(t, "documents", got, m.docs)
	at, have, err := m.l.NextDue(ctx)
	ok(t, err)
	same(t, "next due item", []any{at, have}, m.nextDue())
	at, have, err = m.l.NextOut(ctx)
	ok(t, err)
	if have && at.Before(m.now) {
		at = m.now // how long a chat has been free makes no difference
	}
	same(t, "next message", []any{at, have}, m.nextOut())
	counts, err := m.l.Counts(ctx)
	ok(t, err)
	same(t, "counts", counts, m.counts)
	found, err := m.l.Asides(ctx, 1000)
	ok(t, err)
	var asides []string
	for _, a := range found {
		asides = append(asides, a.Reason+": "+string(a.Body))
	}
	same(t, "put aside", sorted(asides), sorted(m.asides))
}

func (m *model) nextDue() []any {
	var first time.Time
	for _, d := range m.due {
		if first.IsZero() || d.next.Before(first) {
			first = d.next
		}
	}
	return []any{first, len(m.due) > 0}
}

func (m *model) nextOut() []any {
	var first time.Time
	for chat, queue := range m.queues {
		if at := later(m.free[chat], m.now); len(queue) > 0 && (first.IsZero() || at.Before(first)) {
			first = at
		}
	}
	return []any{first, !first.IsZero()}
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// read remembers the documents as they are, so that a later commit may rest on
// what is old by then.
func (m *machine) read(t *rapid.T) {
	loaded, err := m.l.Load(context.Background(), "", modelDocs...)
	ok(t, err)
	m.old = append(m.old, loaded.Docs)
}

func (m *machine) commit(t *rapid.T) {
	m.read(t)
	m.n++
	c := ledger.Change{Op: fmt.Sprint("u:", rapid.IntRange(1, m.n+1).Draw(t, "op")), Now: m.now, Read: map[string]int64{}}
	conflict := m.draw(t, &c)
	got, err := m.l.Commit(context.Background(), c)
	ok(t, err)
	want := ledger.Committed
	switch {
	case m.ops[c.Op]:
		want = ledger.Repeated
	case conflict:
		want = ledger.Conflict
	default:
		m.apply(c)
	}
	same(t, "outcome", got, want)
}

// draw makes up a change, and tells whether it rests on something old.
func (m *machine) draw(t *rapid.T, c *ledger.Change) (conflict bool) {
	from := m.old[len(m.old)-1]
	if rapid.IntRange(0, 4).Draw(t, "old knowledge") == 0 {
		from = rapid.SampledFrom(m.old).Draw(t, "read")
	}
	for _, key := range modelDocs {
		what := rapid.IntRange(0, 3).Draw(t, key)
		if what == 0 {
			continue
		}
		c.Read[key] = from[key].Version
		conflict = conflict || string(from[key].Body) != m.docs[key]
		switch what {
		case 1:
			c.Put = append(c.Put, ledger.Doc{Key: key, Body: fmt.Appendf(nil, "%s by %s", key, c.Op)})
		case 2:
			c.Drop = append(c.Drop, key)
		}
	}
	if len(m.items) > 0 && rapid.Bool().Draw(t, "finish") {
		c.Finish = new(rapid.SampledFrom(m.items).Draw(t, "item"))
	}
	for _, id := range modelDue {
		switch rapid.IntRange(0, 6).Draw(t, id) {
		case 0:
			c.Unset = append(c.Unset, id)
		case 1:
			c.Set = append(c.Set, ledger.Due{ID: id, At: m.now.Add(seconds(t, "due")), Body: []byte(c.Op)})
		}
	}
	for i := range rapid.IntRange(0, 2).Draw(t, "messages") {
		c.Send = append(c.Send, ledger.Out{Chat: rapid.SampledFrom(modelChats).Draw(t, "chat"), Body: fmt.Appendf(nil, "%s #%d", c.Op, i)})
	}
	return conflict
}

func (m *model) apply(c ledger.Change) {
	m.ops[c.Op] = true
	m.counts["commits"]++
	for _, d := range c.Put {
		m.docs[d.Key] = string(d.Body)
	}
	for _, key := range c.Drop {
		delete(m.docs, key)
	}
	if c.Finish != nil && m.due[c.Finish.ID].at.Equal(c.Finish.At) {
		delete(m.due, c.Finish.ID)
	}
	for _, id := range c.Unset {
		delete(m.due, id)
	}
	for _, d := range c.Set {
		m.due[d.ID] = waiting{at: d.At, next: d.At, body: string(d.Body)}
	}
	for _, s := range c.Send {
		m.queues[s.Chat] = append(m.queues[s.Chat], &message{body: string(s.Body)})
		m.counts["queued"]++
	}
}

func (m *machine) claimDue(t *rapid.T) {
	n, lease := rapid.IntRange(1, 3).Draw(t, "n"), seconds(t, "lease")
	ready := slices.DeleteFunc(slices.Sorted(maps.Keys(m.due)), func(id string) bool { return m.due[id].next.After(m.now) })
	slices.SortStableFunc(ready, func(a, b string) int { return m.due[a].next.Compare(m.due[b].next) })
	want := []ledger.Due{}
	for _, id := range ready[:min(n, len(ready))] {
		d := m.due[id]
		want = append(want, ledger.Due{ID: id, At: d.at, Body: []byte(d.body)})
		d.next = m.now.Add(lease)
		m.due[id] = d
	}
	got, err := m.l.ClaimDue(context.Background(), m.now, lease, n)
	ok(t, err)
	same(t, "claimed items", got, want)
	m.items = append(m.items, got...)
}

func (m *machine) deferDue(t *rapid.T) {
	if len(m.items) == 0 {
		return
	}
	item, until := rapid.SampledFrom(m.items).Draw(t, "item"), m.now.Add(seconds(t, "until"))
	ok(t, m.l.DeferDue(context.Background(), item, until))
	if d, there := m.due[item.ID]; there && d.at.Equal(item.At) {
		d.next = until
		m.due[item.ID] = d
	}
}

// claimOut wants the heads of as many free chats as asked for. Which of them come
// first is not the model's affair.
func (m *machine) claimOut(t *rapid.T) {
	n, lease := rapid.IntRange(1, 3).Draw(t, "n"), seconds(t, "lease")
	ready := 0
	for chat, queue := range m.queues {
		if len(queue) > 0 && !m.free[chat].After(m.now) {
			ready++
		}
	}
	got, err := m.l.ClaimOut(context.Background(), m.now, lease, n)
	ok(t, err)
	same(t, "how many messages", len(got), min(n, ready))
	for _, s := range got {
		if len(m.queues[s.Chat]) == 0 || m.free[s.Chat].After(m.now) {
			t.Fatalf("claimed %s of a chat that has nothing or is leased", s.Member)
		}
		head := m.queues[s.Chat][0]
		head.attempt++
		same(t, "claimed message", []any{string(s.Body), s.Attempt, s.Began}, []any{head.body, head.attempt, head.began})
		m.free[s.Chat] = m.now.Add(lease)
	}
	m.sends = append(m.sends, got...)
}

// settle picks a claim, calls f with it and, if its message is still queued, with
// that message and whether the claim still holds.
func (m *machine) settle(t *rapid.T, f func(s ledger.Sending, next time.Time, queued *message, held bool)) {
	if len(m.sends) == 0 {
		return
	}
	s, next := rapid.SampledFrom(m.sends).Draw(t, "claim"), m.now.Add(seconds(t, "next"))
	for _, q := range m.queues[s.Chat] {
		if q.body == string(s.Body) {
			f(s, next, q, q.attempt == s.Attempt)
			return
		}
	}
	f(s, next, nil, false)
}

// remove takes a message out of its queue.
func (m *model) remove(chat int64, q *message) {
	m.queues[chat] = slices.DeleteFunc(m.queues[chat], func(o *message) bool { return o == q })
}

func (m *machine) begin(t *rapid.T) {
	m.settle(t, func(s ledger.Sending, _ time.Time, q *message, held bool) {
		err := m.l.Begin(context.Background(), s)
		if !held {
			same(t, "begin of a lost claim is refused", errors.Is(err, ledger.ErrClaimLost), true)
			return
		}
		ok(t, err)
		q.began = true
	})
}

func (m *machine) sent(t *rapid.T) {
	m.settle(t, func(s ledger.Sending, next time.Time, q *message, held bool) {
		ok(t, m.l.Sent(context.Background(), s, next))
		if q == nil {
			return
		}
		m.remove(s.Chat, q)
		m.counts["sent"]++
		if held {
			m.free[s.Chat] = next
		}
	})
}

func (m *machine) later(t *rapid.T) {
	m.settle(t, func(s ledger.Sending, next time.Time, q *message, held bool) {
		ok(t, m.l.Later(context.Background(), s, next))
		if held {
			q.began = false
			m.free[s.Chat] = next
			m.counts["later"]++
		}
	})
}

func (m *machine) setAside(t *rapid.T) {
	m.settle(t, func(s ledger.Sending, next time.Time, q *message, held bool) {
		ok(t, m.l.SetAside(context.Background(), s, "refused", m.now, next))
		if held {
			m.remove(s.Chat, q)
			m.free[s.Chat] = next
			m.counts["aside:refused"]++
			m.asides = append(m.asides, "refused: "+q.body)
		}
	})
}

func (m *machine) dropChat(t *rapid.T) {
	chat := rapid.SampledFrom(modelChats).Draw(t, "chat")
	n, err := m.l.DropChat(context.Background(), chat, "blocked", m.now)
	ok(t, err)
	same(t, "dropped", n, len(m.queues[chat]))
	if n > 0 {
		m.counts["aside:blocked"] += int64(n)
		delete(m.free, chat)
	}
	for _, q := range m.queues[chat] {
		m.asides = append(m.asides, "blocked: "+q.body)
	}
	m.queues[chat] = nil
}
