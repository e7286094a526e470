package main

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/telegram"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/photos"
)

// outcome is what a schedule's end shows.
type outcome struct {
	// moments are reminders, lapsed holds and the like that came among the updates.
	updates, redelivered, moments int
	// lost were answered 200 and never applied, or were bookings that are gone;
	// doubled were applied more than once, or are times given to two people.
	lost, doubled int
	// breaches are updates applied before an earlier one of their queue.
	breaches int
	// aside are updates nobody could handle.
	aside    int
	bookings int
	// unlike is empty if the end is the one the same updates lead to when they
	// come one by one in the order in which they were applied.
	unlike string
}

// judge compares a schedule's end with what must be.
func (s *schedule) judge(ctx context.Context, from scene) (o outcome, err error) {
	j, err := readJournal(s.server, s.from, s.business)
	if err != nil {
		return o, err
	}
	for _, r := range from.records {
		if r.Kind == "due" {
			j.due[fmt.Sprintf("%s@%d", r.Key, r.At.UnixMilli())] = r.Body
		}
	}
	o.updates = len(s.updates)
	o.redelivered = int(s.requests.Load()) - len(s.updates)
	o.bookings = len(s.booked)
	s.tallied(&o, j)
	got, err := whole(ctx, s.ledger)
	if err != nil {
		return o, err
	}
	counts, err := s.ledger.Counts(ctx)
	if err != nil {
		return o, err
	}
	o.aside = int(counts["aside:event"])
	o.doubled += max(0, int(counts["commits"])-len(j.order)) + got.clashes()
	for member, body := range s.spoken {
		got.Said[member] = body
	}
	want, err := s.oneByOne(ctx, from, j)
	if err != nil {
		o.unlike = err.Error()
		return o, nil
	}
	o.unlike = cmp.Diff(want, got)
	// A booking that was seen must be there, unless somebody called it off or moved
	// it; then it is not where the same updates, one by one, leave it either.
	kept := func(w state, id string) bool {
		e := w.enquiry(id)
		return e.Slot != nil && *e.Slot == s.booked[id] && (e.Stage == conversations.Booked || e.Stage == conversations.Done)
	}
	for id := range s.booked {
		if !kept(got, id) && kept(want, id) {
			o.lost++
		}
	}
	return o, nil
}

// tallied holds the journal against what was handed over.
func (s *schedule) tallied(o *outcome, j journal) {
	at := map[string]int{}
	for i, a := range j.order {
		if _, twice := at[a.op]; twice {
			o.doubled++
			continue
		}
		if strings.HasPrefix(a.op, "d:") {
			o.moments++
		}
		at[a.op] = i
	}
	last := map[string]int{}
	for _, id := range s.posted {
		u := s.updates[id]
		i, applied := at[u.op()]
		if !applied {
			o.lost++
			continue
		}
		if before, ok := last[u.queue]; ok && i < before {
			o.breaches++
		}
		last[u.queue] = i
	}
}

// state is everything that is known and was said.
type state struct {
	Docs, Due map[string]ledger.Record
	Said      map[string]string
}

// whole reads a ledger's state.
func whole(ctx context.Context, l *ledger.Ledger) (state, error) {
	st := state{map[string]ledger.Record{}, map[string]ledger.Record{}, map[string]string{}}
	return st, l.Each(ctx, func(r ledger.Record) error {
		switch r.Kind {
		case "doc":
			st.Docs[r.Key] = r
		case "due":
			st.Due[r.Key] = r
		case "out":
			st.Said[r.Key] = string(r.Body)
		}
		return nil
	})
}

func (st state) enquiry(id string) (e conversations.Enquiry) {
	_ = json.Unmarshal(st.Docs["enq:"+id].Body, &e)
	return e
}

// clashes counts pairs of enquiries that were promised overlapping times.
func (st state) clashes() (n int) {
	var taken []conversations.Span
	for key := range st.Docs {
		id, ok := strings.CutPrefix(key, "enq:")
		e := st.enquiry(id)
		if !ok || e.Slot == nil || e.Stage == conversations.Closed || e.Stage == conversations.Done {
			continue
		}
		for _, t := range taken {
			if t.Start.Before(e.Slot.End) && e.Slot.Start.Before(t.End) {
				n++
			}
		}
		taken = append(taken, *e.Slot)
	}
	return n
}

// oneByOne is the oracle: the same events, in the order in which the store's
// journal has them, one after the other on a store of their own, each at the
// moment at which it was applied. Nothing happens at once, nothing comes twice.
func (s *schedule) oneByOne(ctx context.Context, from scene, j journal) (state, error) {
	if err := s.oracle.FlushDB(ctx).Err(); err != nil {
		return state{}, err
	}
	clock := standin.NewClock(time.Time{})
	b := newFaultsBot(s.oracle, "http://127.0.0.1:0", clock.Now)
	p, err := b.of(s.business)
	if err != nil {
		return state{}, err
	}
	if err := p.ledger.Restore(ctx, from.records...); err != nil {
		return state{}, err
	}
	done := map[string]bool{}
	for _, a := range j.order {
		if done[a.op] {
			continue
		}
		done[a.op] = true
		clock.Set(time.UnixMilli(a.ms).UTC())
		if err := s.again(ctx, p.parts, j, a); err != nil {
			return state{}, fmt.Errorf("%s, alone: %w", a.op, err)
		}
	}
	return whole(ctx, p.ledger)
}

// again applies one event of the journal.
func (s *schedule) again(ctx context.Context, p *parts, j journal, a applied) error {
	if number, ok := strings.CutPrefix(a.op, "u"); ok {
		id, err := strconv.ParseInt(number, 10, 64)
		if err != nil {
			return err
		}
		e, _, err := telegram.Decode(s.updates[id].raw)
		if err != nil {
			return err
		}
		_, err = p.desk.Handle(ctx, e)
		return err
	}
	if strings.HasSuffix(a.op, "!again") { // a claim that came back after its work was done
		return nil
	}
	name := strings.TrimPrefix(a.op, "d:")
	body, ok := j.due[name]
	at := name[strings.LastIndex(name, "@")+1:]
	ms, err := strconv.ParseInt(at, 10, 64)
	if !ok || err != nil {
		return fmt.Errorf("nobody asked for it: %v", err)
	}
	item := ledger.Due{ID: strings.TrimSuffix(name, "@"+at), At: time.UnixMilli(ms).UTC(), Body: body}
	var w conversations.Came
	if err := json.Unmarshal(body, &w); err != nil {
		return err
	}
	if w.File == "" {
		return p.desk.Came(ctx, item, w)
	}
	return p.desk.Came(ctx, item, measuredAs(ctx, w))
}

// measuredAs is what a sweep makes of the one picture there is.
func measuredAs(ctx context.Context, w conversations.Came) conversations.Measured {
	m := conversations.Measured{Came: w}
	var err error
	if m.Report, err = photos.Measure(ctx, faultsPicture()); err != nil {
		m.Failed = conversations.FailedUnread
	}
	return m
}
