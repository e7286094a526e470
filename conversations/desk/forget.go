package desk

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/ledger"
)

// Forgotten is what was erased, counted, and the times that stay blocked.
type Forgotten struct {
	Documents, Moments, Messages, Asides, Entries int
	// Kept are booked times that are not over yet, now without a name or a place.
	Kept []diary.Entry
}

// errRestless tells that new things about the person kept coming.
var errRestless = errors.New("desk: something new about the person comes in again and again; try once more")

// Forget erases everything about the person, also while the desk is at work. A
// booked time that is not over at now stays blocked, without a name. Repeating it
// is safe. It does not reach the names of applied events and the counts of
// failures, which hold the ids of enquiries until the ledger forgets them by
// itself, after 48 hours and a week.
func (p *Person) Forget(ctx context.Context, l *ledger.Ledger, now time.Time) (Forgotten, error) {
	var sum Forgotten
	// What an event that is under way still brings is found by the next look.
	const looks = 5
	for range looks {
		before := sum
		if err := p.forgetOnce(ctx, l, now, &sum); err != nil {
			return sum, fmt.Errorf("desk: forgetting a person: %w", err)
		}
		if sum.total() == before.total() {
			return sum, nil
		}
	}
	return sum, errRestless
}

func (f Forgotten) total() int { return f.Documents + f.Moments + f.Messages + f.Asides + f.Entries }

// forgetOnce erases what one look finds. The documents go last: should it be cut
// short, the names to look for are still known.
func (p *Person) forgetOnce(ctx context.Context, l *ledger.Ledger, now time.Time, sum *Forgotten) error {
	var docs, dues []string
	err := l.Each(ctx, func(r ledger.Record) error {
		part, theirs := p.Part(r)
		switch {
		case r.Kind == "doc" && p.pointsAt(r):
			return p.unpoint(ctx, l, r.Key, now)
		case r.Kind == "doc" && r.Key == handsKey && p.token.Match(r.Body):
			return p.unhand(ctx, l, now)
		case !theirs || r.Kind == "aside":
		case r.Kind == "doc" && strings.HasPrefix(r.Key, dayPrefix):
			return p.leaveDay(ctx, l, part.Key, now, sum)
		case r.Kind == "doc":
			docs = append(docs, r.Key)
		case r.Kind == "due":
			dues = append(dues, r.Key)
		case r.Kind == "out":
			sum.Messages++
			if !p.sentTo(r.Key) {
				return unsend(ctx, l, r.Key, now)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	n, err := l.EraseAsides(ctx, func(a ledger.Aside) bool {
		_, theirs := p.Part(ledger.Record{Kind: "aside", Key: a.Key, Reason: a.Reason, Body: a.Body})
		return theirs
	})
	if err != nil {
		return err
	}
	sum.Asides += n
	sum.Documents += len(docs)
	sum.Moments += len(dues)
	return l.Erase(ctx, docs, dues, int64(p.chat))
}

// unsend takes a message to somebody else out of the queue. No sender's claim has
// this attempt, so that the chat's pace is left alone.
func unsend(ctx context.Context, l *ledger.Ledger, member string, now time.Time) error {
	chat, _, _ := strings.Cut(member, "|")
	id, err := strconv.ParseInt(chat, 10, 64)
	if err != nil {
		return err
	}
	return l.Sent(ctx, ledger.Sending{Out: ledger.Out{Chat: id}, Member: member, Attempt: -1}, now)
}

// pointsAt tells whether somebody else's chat, the owner's, is in the middle of
// something with the person.
func (p *Person) pointsAt(r ledger.Record) bool {
	var c conversations.Chat
	if !strings.HasPrefix(r.Key, chatPrefix) || json.Unmarshal(r.Body, &c) != nil || c.ID == p.chat {
		return false
	}
	return p.takeOut(&c)
}

// unpoint ends what the owner was in the middle of.
func (p *Person) unpoint(ctx context.Context, l *ledger.Ledger, key string, now time.Time) error {
	return rewrite(ctx, l, key, now, func(c *conversations.Chat) { p.takeOut(c) })
}

const handsKey = "hands"

// unhand takes the person out of what the owner has his hands in. His hands may stay full:
// what waits of others then still comes at its time, by a moment that names nobody.
func (p *Person) unhand(ctx context.Context, l *ledger.Ledger, now time.Time) error {
	var until time.Time
	err := rewrite(ctx, l, handsKey, now, func(h *conversations.Hands) {
		h.Waiting = slices.DeleteFunc(h.Waiting, p.token.MatchString)
		if p.token.MatchString(h.Enquiry) {
			h.Enquiry, until = nobody, h.Until
		}
	})
	if err != nil || until.IsZero() {
		return err
	}
	body, err := json.Marshal(conversations.Came{Kind: conversations.CameHands, Enquiry: nobody})
	if err != nil {
		return err
	}
	due := ledger.Due{ID: conversations.CameHands + ":" + nobody, At: until, Body: body}
	_, err = l.Commit(ctx, ledger.Change{Op: fmt.Sprintf("forget:%s@%d", due.ID, until.UnixMilli()), Now: now, Set: []ledger.Due{due}})
	return err
}

// nobody stands for the job of somebody who is forgotten.
const nobody = "forgotten"

// takeOut takes the person out of somebody else's chat, and tells whether they were there.
func (p *Person) takeOut(c *conversations.Chat) (found bool) {
	for _, of := range []*string{&c.Writing, &c.Remark, &c.Finishing, &c.Job, &c.Noting, &c.Moving, &c.Meant} {
		if p.token.MatchString(*of) {
			*of, found = "", true
		}
	}
	if p.token.MatchString(strconv.FormatInt(int64(c.Guest), 10)) {
		c.Guest, found = 0, true
	}
	if c.Typing != nil && p.token.MatchString(c.Typing.Enquiry) {
		c.Typing, found = nil, true
	}
	if c.Shown != nil && (slices.ContainsFunc(c.Shown.Data, p.token.MatchString) || slices.ContainsFunc(c.Shown.Labels, p.named)) {
		c.Shown, found = nil, true
	}
	if slices.ContainsFunc(c.Talks, p.token.MatchString) {
		c.Talks, found = slices.DeleteFunc(c.Talks, p.token.MatchString), true
	}
	if p.named(c.Draft) {
		c.Draft, found = "", true
	}
	return found
}

// named tells whether a text has one of the person's names in it.
func (p *Person) named(text string) bool {
	for name := range p.names {
		if hasWord(text, name) {
			return true
		}
	}
	return false
}

// leaveDay takes the person out of a day.
func (p *Person) leaveDay(ctx context.Context, l *ledger.Ledger, key string, now time.Time, sum *Forgotten) error {
	var gone int
	var kept []diary.Entry
	err := rewrite(ctx, l, key, now, func(d *diary.Day) {
		gone, kept = 0, nil
		var rest []diary.Entry
		for _, e := range d.Entries {
			if !p.token.MatchString(e.ID) {
				rest = append(rest, e)
				continue
			}
			gone++
			if e.Kind == diary.Booked && e.End.After(now) {
				// Made from the start alone: the same in both days of a job over midnight.
				e = diary.Entry{ID: "kept:" + e.Start.UTC().Format("20060102T150405"), Start: e.Start, End: e.End, Kind: e.Kind}
				rest, kept = append(rest, e), append(kept, e)
			}
		}
		d.Entries = rest
	})
	sum.Entries += gone
	for _, e := range kept {
		if !slices.ContainsFunc(sum.Kept, func(k diary.Entry) bool { return k.ID == e.ID }) {
			sum.Kept = append(sum.Kept, e)
		}
	}
	return err
}

// rewrite changes one document that others may be changing, until it holds.
func rewrite[T any](ctx context.Context, l *ledger.Ledger, key string, now time.Time, change func(*T)) error {
	for range tries {
		loaded, err := l.Load(ctx, "", key)
		if err != nil {
			return err
		}
		doc := loaded.Docs[key]
		if doc.Version == 0 {
			return nil
		}
		var v T
		if err := json.Unmarshal(doc.Body, &v); err != nil {
			return fmt.Errorf("document %s: %w", key, err)
		}
		change(&v)
		if doc.Body, err = json.Marshal(v); err != nil {
			return fmt.Errorf("document %s: %w", key, err)
		}
		// No version is given twice, so the name is this change's alone.
		op := fmt.Sprintf("forget:%s@%d", key, doc.Version)
		outcome, err := l.Commit(ctx, ledger.Change{Op: op, Now: now, Read: map[string]int64{key: doc.Version}, Put: []ledger.Doc{doc}})
		if err != nil || outcome != ledger.Conflict {
			return err
		}
	}
	return ErrBusy
}
