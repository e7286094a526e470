// Package desk is the one loop every event goes through: recall or load what it
// may touch, let the conversation decide, commit everything at once; and again from
// the start when something moved meanwhile.
//
// A message, a tap, a photo that has been measured and a moment that has come
// all take this way. When [Desk.Handle] returns without an error the event's
// effects are safe in the ledger and it may be acknowledged. After an error nothing
// is sure: a commit may have gone through whose reply was lost. The event must come
// again, and counts once.
package desk

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"runtime"
	"runtime/debug"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/wording"
)

// Desk handles events. All fields are needed unless they say otherwise.
type Desk struct {
	Ledger *ledger.Ledger
	// Talk returns what the conversation knows besides its state, as of now:
	// the rules may be reloaded between two events.
	Talk func() conversations.Talk
	Now  func() time.Time
	Log  *slog.Logger
	// Woken, if set, is called after a commit that left something to send, or to be
	// reminded of, so that nobody has to poll for it; due is the earliest moment of
	// those, zero if there is none.
	Woken func(send bool, due time.Time)
	// Claimed, if set, is told who has become the owner.
	Claimed func(bot.ChatID)
	// Tried, if set, is told of every commit that the store has answered.
	Tried func(Try)
	// Point, if set, is called at the named moments of the path, for tests that
	// kill the process there: "recalled", or "load:before" and "load:after", then
	// "commit:before" and "commit:after"; where an event is put aside "aside:told", when
	// the owner's message is queued, and "aside:put".
	Point func(name, op string)
}

// Try is one commit and what became of it.
type Try struct {
	Decision conversations.Decision
	Outcome  ledger.Outcome
	// Took is how long the store took, by the machine's own clock.
	Took time.Duration
}

// tries bounds how often one event is decided anew because something moved
// under it. With one customer's updates in order and one owner, more than a few
// means a fault.
const tries = 40

// patience is how often an event may fail before it is put aside, so that it
// blocks its chat no longer.
const patience = 3

// ErrBusy tells that an event met a conflict at every try. It is worth trying
// again later.
var ErrBusy = errors.New("desk: too many conflicts")

// Handle carries one event through. It returns the short answer to a tap. What
// keeps failing is put aside after a few deliveries, logged, and the owner told.
func (d *Desk) Handle(ctx context.Context, e bot.Event) (toast string, err error) {
	return d.handle(ctx, e, nil)
}

// Came carries a moment that has come through; the item is done with in the same
// commit.
func (d *Desk) Came(ctx context.Context, item ledger.Due, what any) error {
	_, err := d.handle(ctx, bot.Event{Op: CameOp(item), At: item.At, What: what}, &item)
	return err
}

// CameOp names the event that a moment is when it comes.
func CameOp(item ledger.Due) string { return fmt.Sprintf("d:%s@%d", item.ID, item.At.UnixMilli()) }

func (d *Desk) handle(ctx context.Context, e bot.Event, item *ledger.Due) (string, error) {
	toast, err := d.attempt(ctx, e, item)
	var broken *brokenError
	if err == nil || !errors.As(err, &broken) {
		return toast, err
	}
	d.Log.Error("event failed", "op", Ref(e.Op), "err", broken.err, "stack", broken.stack)
	n, ferr := d.Ledger.Failed(ctx, e.Op)
	if ferr != nil || n < patience {
		return "", errors.Join(err, ferr)
	}
	return "", d.setAside(ctx, e, item, broken.err)
}

// brokenError is a fault of ours on this event, as against a store that is away.
type brokenError struct {
	err   error
	stack string
}

func (b *brokenError) Error() string { return b.err.Error() }
func (b *brokenError) Unwrap() error { return b.err }

func (d *Desk) attempt(ctx context.Context, e bot.Event, item *ledger.Due) (string, error) {
	keys := conversations.Touches(e)
	var lists []conversations.List
	var worked conversations.Worked
	loaded, recalled, err := d.recall(ctx, e, keys)
	if err != nil {
		return "", err
	}
	for range tries {
		if loaded.Seen {
			return "", d.finish(ctx, e.Op+"!again", item)
		}
		found, err := d.lists(ctx, lists)
		if err != nil {
			return "", err
		}
		decision, err := d.decide(loaded, found, e, &worked)
		if err != nil && recalled {
			// The event may have been put aside long ago, or what it meets have moved.
			recalled = false
			if loaded, err = d.load(ctx, e, keys); err != nil {
				return "", err
			}
			continue
		}
		if err != nil {
			return "", err
		}
		if len(decision.Need) > 0 {
			more, asked := conversations.Lists(decision.Need)
			keys, lists = append(keys, more...), append(lists, asked...)
			if loaded, recalled, err = d.recall(ctx, e, keys); err != nil {
				return "", err
			}
			continue
		}
		change, err := d.change(e, item, decision)
		if err != nil {
			return "", &brokenError{err: err}
		}
		d.point("commit:before", e.Op)
		began := time.Now() // not Now: how long it took is the machine's matter
		outcome, again, err := d.Ledger.CommitOrReload(ctx, change, loaded, keys...)
		if err != nil {
			return "", fmt.Errorf("desk: commit of %s: %w", Ref(e.Op), err)
		}
		d.point("commit:after", e.Op)
		if d.Tried != nil {
			d.Tried(Try{Decision: decision, Outcome: outcome, Took: time.Since(began)})
		}
		switch outcome {
		case ledger.Conflict:
			loaded, recalled = again, false
			continue
		case ledger.Repeated:
			return "", d.finish(ctx, e.Op+"!again", item)
		}
		if decision.Claimed != 0 && d.Claimed != nil {
			d.Claimed(decision.Claimed)
		}
		d.wake(change)
		return decision.Toast, nil
	}
	return "", ErrBusy
}

// recall brings what an event may touch, from memory if this process has had all of it
// in hand lately: then the commit is the only round trip, and tells if that was wrong.
func (d *Desk) recall(ctx context.Context, e bot.Event, keys []string) (loaded ledger.Loaded, recalled bool, err error) {
	if loaded, recalled = d.Ledger.Recall(keys...); recalled {
		d.point("recalled", e.Op)
		return loaded, true, nil
	}
	loaded, err = d.load(ctx, e, keys)
	return loaded, false, err
}

func (d *Desk) load(ctx context.Context, e bot.Event, keys []string) (ledger.Loaded, error) {
	d.point("load:before", e.Op)
	loaded, err := d.Ledger.Load(ctx, e.Op, keys...)
	if err != nil {
		return loaded, fmt.Errorf("desk: load for %s: %w", Ref(e.Op), err)
	}
	d.point("load:after", e.Op)
	return loaded, nil
}

// decide runs the conversation's step. What an earlier one has worked out for the
// same event is not worked out again. A panic there is a fault on this event, not the
// end of the process.
func (d *Desk) decide(loaded ledger.Loaded, lists map[string][]byte, e bot.Event, worked *conversations.Worked) (decision conversations.Decision, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &brokenError{err: fmt.Errorf("desk: step panicked: %s", panicked(p)), stack: string(debug.Stack())}
		}
	}()
	docs := make(map[string][]byte, len(loaded.Docs))
	for key, doc := range loaded.Docs {
		docs[key] = nil
		if doc.Version != 0 {
			docs[key] = doc.Body
		}
	}
	maps.Copy(docs, lists)
	talk := d.Talk()
	talk.Worked = worked
	decision, err = conversations.Step(talk, docs, e, d.Now())
	if err != nil {
		err = &brokenError{err: err}
	}
	return decision, err
}

// panicked words a panic for the log: the machine's own errors are told, but what
// else it panicked with may quote what somebody wrote.
func panicked(with any) string {
	if err, ok := with.(runtime.Error); ok {
		return err.Error()
	}
	return fmt.Sprintf("%T", with)
}

// TooFast carries an event of somebody who sends more than anyone can mean, in
// place of [Desk.Handle]. Nothing of it counts; with the first in a row they are
// told so. The error is the store's.
func (d *Desk) TooFast(ctx context.Context, e bot.Event, first bool) error {
	if !first {
		return nil
	}
	now := d.Now()
	out, err := Queue(bot.Message{Chat: e.Chat, Text: d.Talk().Words.Say(wording.TooFast, wording.Facts{}), Kind: "too-fast",
		NotAfter: now.Add(tooFastFor), Ref: Ref(e.Op), Said: now})
	if err != nil {
		return err
	}
	change := ledger.Change{Op: e.Op, Now: now, Send: []ledger.Out{out}}
	if _, err := d.Ledger.Commit(ctx, change); err != nil {
		return fmt.Errorf("desk: telling somebody of %s: %w", Ref(e.Op), err)
	}
	d.wake(change)
	return nil
}

// tooFastFor is how long it makes sense to tell somebody that they were too fast.
const tooFastFor = 5 * time.Minute

// finish ends a due item whose event was applied before, lest it be claimed for
// ever.
func (d *Desk) finish(ctx context.Context, op string, item *ledger.Due) error {
	if item == nil {
		return nil
	}
	if _, err := d.Ledger.Commit(ctx, ledger.Change{Op: op, Now: d.Now(), Finish: item}); err != nil {
		return fmt.Errorf("desk: finishing %s: %w", Ref(item.ID), err)
	}
	return nil
}

// change is the commit a decision asks for; it rests on all that was loaded.
func (d *Desk) change(e bot.Event, item *ledger.Due, dec conversations.Decision) (ledger.Change, error) {
	c := ledger.Change{Op: e.Op, Now: d.Now(), Drop: dec.Drop, Unset: dec.Unset, Finish: item}
	for _, doc := range dec.Put {
		c.Put = append(c.Put, ledger.Doc{Key: doc.Key, Links: doc.Links, Body: doc.Body})
	}
	for _, due := range dec.Set {
		body, err := json.Marshal(due.What)
		if err != nil {
			return c, fmt.Errorf("desk: due item %s: %w", Ref(due.ID), err)
		}
		c.Set = append(c.Set, ledger.Due{ID: due.ID, At: due.At, Body: body})
	}
	for _, m := range dec.Say {
		m.Ref, m.Said = Ref(e.Op), c.Now
		out, err := Queue(m)
		if err != nil {
			return c, err
		}
		c.Send = append(c.Send, out)
	}
	return c, nil
}

// Queue is a message as the ledger keeps it until it is sent.
func Queue(m bot.Message) (ledger.Out, error) {
	body, err := json.Marshal(m)
	if err != nil {
		return ledger.Out{}, fmt.Errorf("desk: message to queue: %w", err)
	}
	return ledger.Out{Chat: int64(m.Chat), Body: body, Once: m.Delivery == bot.Once, NotAfter: m.NotAfter}, nil
}

// setAside takes an event that keeps failing out of the way, and tells the owner. Its due
// item is done with last: whoever dies before comes here again, and none of it happens twice.
func (d *Desk) setAside(ctx context.Context, e bot.Event, item *ledger.Due, cause error) error {
	body, err := json.Marshal(e)
	if err != nil {
		body = []byte(e.Op)
	}
	tell := ledger.Change{Op: e.Op + "!owner", Now: d.Now()}
	if talk := d.Talk(); talk.Owner != 0 {
		out, err := Queue(bot.Message{Chat: talk.Owner, Text: talk.Words.Say(wording.OwnerPoison, wording.Facts{}), Kind: "poison", Ref: Ref(e.Op), Said: tell.Now})
		if err != nil {
			return err
		}
		tell.Send = []ledger.Out{out}
	}
	if _, err := d.Ledger.Commit(ctx, tell); err != nil {
		return fmt.Errorf("desk: telling the owner of %s: %w", Ref(e.Op), err)
	}
	d.wake(tell)
	d.point("aside:told", e.Op)
	if err := d.Ledger.Poison(ctx, e.Op, body, cause.Error(), d.Now()); err != nil {
		return fmt.Errorf("desk: setting %s aside: %w", Ref(e.Op), err)
	}
	d.point("aside:put", e.Op)
	return d.finish(ctx, e.Op+"!aside", item)
}

// wake tells whoever sends and sweeps what a change has left for them.
func (d *Desk) wake(c ledger.Change) {
	if d.Woken == nil || len(c.Send)+len(c.Set) == 0 {
		return
	}
	var due time.Time
	for _, item := range c.Set {
		if due.IsZero() || item.At.Before(due) {
			due = item.At
		}
	}
	d.Woken(len(c.Send) > 0, due)
}

func (d *Desk) point(name, op string) {
	if d.Point != nil {
		d.Point(name, op)
	}
}
