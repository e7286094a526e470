package ledger

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Change is everything one event changes.
type Change struct {
	// Op names the event, and is applied once. It must not be empty.
	Op string
	// Now is when the event is applied.
	Now time.Time
	// Read are the versions on which the decision rests, 0 for a document that
	// must still not exist. Whatever is put or dropped must be among them.
	Read map[string]int64
	// Put are the documents written whole, links included. Their Version is not
	// looked at: each gets a new one.
	Put []Doc
	// Drop are the keys of the documents deleted. Whoever has read one of them
	// will meet a conflict.
	Drop []string
	// Finish, if set, removes the due item it is about, if that still waits for
	// the moment it was claimed for. One that was moved meanwhile, or is moved
	// by Set, stays.
	Finish *Due
	// Unset drops due items by id, whatever their moment; then Set adds or
	// replaces some.
	Unset []string
	Set   []Due
	// Send are messages to queue, in this order.
	Send []Out
}

// Outcome is what became of a change.
type Outcome int

// The outcomes. After Conflict and Repeated nothing was done.
const (
	// Committed: everything was written.
	Committed Outcome = iota
	// Repeated: the event was applied, or put aside, before.
	Repeated
	// Conflict: a document is no longer of the version that was read.
	Conflict
)

// String names the outcome.
func (o Outcome) String() string {
	switch o {
	case Committed:
		return "committed"
	case Repeated:
		return "repeated"
	case Conflict:
		return "conflict"
	}
	return fmt.Sprintf("outcome %d", int(o))
}

// opMemory is how long an applied event is remembered. The platform brings an
// update back for at most a day.
const opMemory = 48 * time.Hour

// Commit applies a change, all of it or nothing, in one round trip. After an
// error it is unknown whether it was applied; calling again with the same Op is
// safe and then gives Repeated if it was.
func (l *Ledger) Commit(ctx context.Context, c Change) (Outcome, error) {
	outcome, _, err := l.commit(ctx, c)
	return outcome, err
}

// commit is Commit, and after Conflict returns the documents that are not of the
// version that was read.
func (l *Ledger) commit(ctx context.Context, c Change) (Outcome, []Doc, error) {
	if err := c.check(); err != nil {
		return 0, nil, err
	}
	k := l.key
	keys := []string{k.docs, k.ops, k.due, k.dueBody, k.out, k.outBody, k.chats, k.seq, k.trouble, k.counts, k.ver}
	reply, err := l.run(ctx, commitScript, keys, c.args()...).Result()
	if err != nil {
		return 0, nil, fmt.Errorf("ledger: commit: %w", err)
	}
	switch reply := reply.(type) {
	case int64:
		return Repeated, nil, nil
	case string:
		version, err := strconv.ParseInt(reply, 10, 64)
		if err != nil {
			return 0, nil, fmt.Errorf("ledger: commit: version %q", reply)
		}
		l.memory.committed(c, version)
		return Committed, nil, nil
	case []any:
		moved, err := movedDocs(reply)
		l.memory.keep(moved)
		return Conflict, moved, err
	}
	return 0, nil, fmt.Errorf("ledger: commit: reply %v", reply)
}

// maxRead bounds what a commit rests on. A script can hand some thousands of
// values to one command, and each document that is put takes two.
const maxRead = 1024

// args are the change as the script reads it: lists, each after its length.
func (c Change) args() []any {
	// Room for all of it: three values and seven lengths first, and two of Finish.
	a := make([]any, 0, 12+2*len(c.Read)+3*len(c.Put)+len(c.Drop)+len(c.Unset)+3*len(c.Set)+3*len(c.Send))
	a = append(a, c.Op, ms(c.Now), ms(c.Now.Add(-opMemory)), len(c.Read))
	for key := range c.Read {
		a = append(a, key)
	}
	for _, key := range a[len(a)-len(c.Read):] {
		a = append(a, c.Read[key.(string)])
	}
	a = append(a, len(c.Put))
	for _, d := range c.Put {
		a = append(a, d.Key, strings.Join(d.Links, " "), d.Body)
	}
	a = append(a, len(c.Drop))
	for _, key := range c.Drop {
		a = append(a, key)
	}
	if c.Finish == nil {
		a = append(a, 0)
	} else {
		a = append(a, 1, c.Finish.ID, ms(c.Finish.At))
	}
	a = append(a, len(c.Unset))
	for _, id := range c.Unset {
		a = append(a, id)
	}
	a = append(a, len(c.Set))
	for _, d := range c.Set {
		a = append(a, d.ID, ms(d.At), d.Body)
	}
	a = append(a, len(c.Send))
	for _, m := range c.Send {
		a = append(a, m.Chat, m.flags(), m.Body)
	}
	return a
}

// check refuses what could not be stored, before anything is sent.
func (c Change) check() error {
	if c.Op == "" {
		return errors.New("ledger: commit without an op")
	}
	if c.Now.IsZero() {
		return errors.New("ledger: commit without a time")
	}
	if len(c.Read) > maxRead {
		return fmt.Errorf("ledger: commit rests on %d documents: at most %d", len(c.Read), maxRead)
	}
	written := slices.Clone(c.Drop)
	for _, d := range c.Put {
		written = append(written, d.Key)
		for _, link := range d.Links {
			if err := checkKey("link", link); err != nil {
				return err
			}
		}
	}
	for i, key := range written {
		if err := checkKey("document", key); err != nil {
			return err
		}
		if _, read := c.Read[key]; !read {
			return fmt.Errorf("ledger: commit writes %s without having read it", key)
		}
		if slices.Contains(written[:i], key) {
			return fmt.Errorf("ledger: commit writes %s twice", key)
		}
	}
	for _, d := range c.Set {
		if err := checkKey("due item", d.ID); err != nil {
			return err
		}
	}
	for _, m := range c.Send {
		if m.Chat == 0 {
			return errors.New("ledger: message to no chat")
		}
	}
	return nil
}
