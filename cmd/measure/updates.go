package main

import (
	"context"
	"fmt"
	"time"

	"example.org/dryhand/conversations/ledger"
)

// updates measures how updates are taken, in turns with a handler that does nothing.
// One bot keeps its answers for a day, so that what is measured is taking updates and
// nothing else; another sends them as fast as it can, which the real platform would
// not have.
func (l *lab) updates(ctx context.Context) ([]figure, error) {
	u := &updating{lab: l, spell: pick(l, 1500*time.Millisecond, 30*time.Millisecond),
		toFloor: l.newCrowd(ordinary, 0), toQuiet: l.newCrowd(ordinary, 0), toSpoken: l.newCrowd(ordinary, 0), inWhole: l.newCrowd(whole, 1)}
	u.toSpoken.row = 1 // whoever has had an answer waits a second for the next
	if err := u.begin(ctx); err != nil {
		return nil, err
	}
	for range l.rounds {
		if err := u.round(ctx); err != nil {
			return nil, err
		}
	}
	calls, err := u.calls(ctx)
	if err != nil {
		return nil, err
	}
	return append(u.figures(), calls...), nil
}

// nextUpdate is an update's number, never given twice.
func (l *lab) nextUpdate() int64 { return 700_000_000 + l.updateID.Add(1) }

// updating is what a round of updates needs, and what the rounds have brought.
type updating struct {
	*lab
	store                               *store
	platform                            *platform
	floor, quiet, spoken                *server
	toFloor, toQuiet, toSpoken, inWhole *crowd
	outbox                              *ledger.Ledger
	spell                               time.Duration

	bare, taken, always, taken64, always64, enquiries, sent []spell
	// sends and conns are what reached the platform in all.
	sends, conns int64
}

// begin starts everything, and has everybody write for the first time.
func (u *updating) begin(ctx context.Context) (err error) {
	if u.store, err = u.startStore(ctx); err != nil {
		return err
	}
	if u.platform, err = u.startPlatform(false); err != nil {
		return err
	}
	if u.floor, err = u.startBare(); err != nil {
		return err
	}
	if u.quiet, err = u.startBot(u.store, u.platform, "quiet", "quiet", "DRYHAND_SEND_EVERY=24h"); err != nil {
		return err
	}
	if u.spoken, err = u.startBot(u.store, u.platform, "spoken", "spoken", "DRYHAND_SEND_EVERY=0s"); err != nil {
		return err
	}
	if u.outbox, err = ledger.New(u.store.rdb, "spoken"); err != nil {
		return err
	}
	u.platform.know(2 * people)
	for _, first := range []func() error{
		func() error { return u.toFloor.everybody(ctx, u.floor.hook) },
		func() error { return u.toQuiet.everybody(ctx, u.quiet.hook) },
		func() error { return u.inWhole.everybody(ctx, u.quiet.hook) },
		func() error { return u.toSpoken.everybody(ctx, u.spoken.hook) },
		func() error { return settled(ctx, u.outbox) },
	} {
		if err := first(); err != nil {
			return err
		}
	}
	return nil
}

// round takes turns.
func (u *updating) round(ctx context.Context) error {
	for _, step := range []func() error{
		func() error { return u.turn(ctx, &u.bare, u.toFloor, u.floor, 16, "everysec") },
		func() error { return u.turn(ctx, &u.taken, u.toQuiet, u.quiet, 16, "everysec") },
		func() error { return u.answered(ctx) },
		func() error { return u.turn(ctx, &u.always, u.toQuiet, u.quiet, 16, "always") },
		func() error { return u.turn(ctx, &u.taken64, u.toQuiet, u.quiet, 64, "everysec") },
		func() error { return u.turn(ctx, &u.always64, u.toQuiet, u.quiet, 64, "always") },
		func() error { return u.turn(ctx, &u.enquiries, u.inWhole, u.quiet, 16, "everysec") },
	} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// turn has people write to one server for a while.
func (u *updating) turn(ctx context.Context, to *[]spell, c *crowd, s *server, at int, fsync string) error {
	if err := u.store.rdb.ConfigSet(ctx, "appendfsync", fsync).Err(); err != nil {
		return err
	}
	got, err := c.timed(ctx, at, u.spell, s)
	if err == nil {
		*to = append(*to, got)
	}
	return err
}

// answered has people write, and waits until all their answers have arrived.
func (u *updating) answered(ctx context.Context) error {
	if err := u.store.rdb.ConfigSet(ctx, "appendfsync", "everysec").Err(); err != nil {
		return err
	}
	conns, sends := u.platform.conns.Load(), u.platform.calls()
	before, err := u.spoken.cpu()
	if err != nil {
		return err
	}
	began := time.Now()
	// Every other person once.
	s, err := u.toSpoken.write(ctx, 16, time.Minute, len(u.toSpoken.written)/2, u.spoken.hook)
	if err != nil {
		return err
	}
	if err := settled(ctx, u.outbox); err != nil {
		return err
	}
	s.took = time.Since(began)
	after, err := u.spoken.cpu()
	if err != nil {
		return err
	}
	s.cpu = after - before
	u.sent = append(u.sent, s)
	u.conns += u.platform.conns.Load() - conns
	u.sends += u.platform.calls() - sends
	return nil
}

// settled waits until no answer waits. It does not look too often: to look is work for
// the store, which is being measured.
func settled(ctx context.Context, outbox *ledger.Ledger) error {
	const patience, often = time.Minute, 20 * time.Millisecond
	for began := time.Now(); ; time.Sleep(often) {
		_, waiting, err := outbox.NextOut(ctx)
		if err != nil || !waiting {
			return err
		}
		if time.Since(began) > patience {
			return fmt.Errorf("answers still wait after %s", patience)
		}
	}
}

// figures are what the rounds come to.
func (u *updating) figures() []figure {
	rate := func(s []spell) string { return short(median(each(s, spell.rate))) + "/s" }
	micros := func(s []spell) string { return short(median(each(s, spell.micros))) + " µs" }
	millis := func(s []spell) string { return short(median(each(s, spell.p99))/1000) + " ms" }
	bare := "bare handler "
	return []figure{
		figure{What: "update, 16 at once: rate", Measured: rate(u.taken), Anchor: bare + rate(u.bare), Unit: "x"}.
			over(ratios(u.taken, u.bare, spell.rate)).atLeast(0.30),
		figure{What: "update: CPU of the bot", Measured: micros(u.taken), Anchor: bare + micros(u.bare), Unit: "x"}.
			over(ratios(u.taken, u.bare, spell.micros)).atMost(3.5),
		figure{What: "update: p99", Measured: millis(u.taken), Anchor: bare + millis(u.bare), Unit: "x"}.
			over(ratios(u.taken, u.bare, spell.p99)).atMost(4),
		figure{What: "update and answer sent: rate", Measured: rate(u.sent), Anchor: bare + rate(u.bare), Unit: "x"}.
			over(ratios(u.sent, u.bare, spell.rate)).atLeast(0.13),
		figure{What: "update and answer sent: CPU", Measured: micros(u.sent), Anchor: bare + micros(u.bare), Unit: "x"}.
			over(ratios(u.sent, u.bare, spell.micros)),
		figure{What: "new connections, per 1,000 sends", Measured: fmt.Sprintf("%d in %s sends", u.conns, thousands(u.sends)), Unit: "new",
			Value: 1000 * float64(u.conns) / float64(max(1, u.sends))}.atMost(10),
		figure{What: "whole enquiry, price and all: rate", Measured: rate(u.enquiries), Anchor: bare + rate(u.bare), Unit: "x"}.
			over(ratios(u.enquiries, u.bare, spell.rate)),
		figure{What: "whole enquiry: CPU of an update", Measured: micros(u.enquiries), Anchor: bare + micros(u.bare), Unit: "x"}.
			over(ratios(u.enquiries, u.bare, spell.micros)),
		figure{What: "synced always, 16 at once: rate", Measured: rate(u.always), Anchor: "everysec " + rate(u.taken), Unit: "x"}.
			over(ratios(u.always, u.taken, spell.rate)).atLeast(0.3),
		figure{What: "synced always, 64 at once: rate", Measured: rate(u.always64), Anchor: "everysec " + rate(u.taken64), Unit: "x"}.
			over(ratios(u.always64, u.taken64, spell.rate)).atLeast(0.6),
	}
}

// each is a figure of every spell.
func each(spells []spell, of func(spell) float64) (values []float64) {
	for _, s := range spells {
		values = append(values, of(s))
	}
	return values
}

// ratios are a figure of spells over that of others, round by round.
func ratios(these, those []spell, of func(spell) float64) (values []float64) {
	for i := range min(len(these), len(those)) {
		if below := of(those[i]); below > 0 {
			values = append(values, of(these[i])/below)
		}
	}
	return values
}
