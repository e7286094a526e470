package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync"
	"time"

	"example.org/dryhand/conversations/ledger"
)

// twoBots has people write to one bot and, in turn, to two of the same business on one
// Redis; then every update comes to both at the same moment. Each is to have been
// applied once.
func (l *lab) twoBots(ctx context.Context) ([]figure, error) {
	const business = "pair"
	s, p, err := l.surroundings(ctx)
	if err != nil {
		return nil, err
	}
	var bots []*server
	for _, name := range []string{"first", "second"} {
		b, err := l.startBot(s, p, name, business, "DRYHAND_SEND_EVERY=24h")
		if err != nil {
			return nil, err
		}
		bots = append(bots, b)
	}
	p.know(people)
	c := l.newCrowd(ordinary, 0)
	if err := c.everybody(ctx, bots[0].hook); err != nil {
		return nil, err
	}
	length := pick(l, 1500*time.Millisecond, 30*time.Millisecond)
	var one, two []spell
	for range l.rounds {
		single, err := c.timed(ctx, 16, length, bots[0])
		if err != nil {
			return nil, err
		}
		double, err := c.timed(ctx, 16, length, bots...)
		if err != nil {
			return nil, err
		}
		one, two = append(one, single), append(two, double)
	}
	if err := c.toBoth(ctx, pick(l, 2000, 32), bots); err != nil {
		return nil, err
	}
	book, err := ledger.New(s.rdb, business)
	if err != nil {
		return nil, err
	}
	counts, err := book.Counts(ctx)
	if err != nil {
		return nil, err
	}
	written := 0
	for _, n := range c.written {
		written += n
	}
	applied, err := s.rdb.ZCard(ctx, "dh:{"+business+"}:ops").Result()
	if err != nil {
		return nil, err
	}
	rate := func(s []spell) string { return short(median(each(s, spell.rate))) + "/s" }
	return []figure{
		figure{What: "two bots on one Redis, 16 at once: rate", Measured: rate(two), Anchor: "one bot " + rate(one), Unit: "x"}.
			over(ratios(two, one, spell.rate)).atLeast(1),
		figure{What: "two bots: updates lost", Measured: fmt.Sprintf("%s written, %s applied", thousands(int64(written)), thousands(applied)), Unit: "lost",
			Value: math.Abs(float64(int64(written) - applied))}.atMost(0),
		// Every update has one answer.
		figure{What: "two bots: updates doubled", Measured: fmt.Sprintf("%s answers", thousands(counts["queued"])), Unit: "doubled",
			Value: math.Abs(float64(counts["queued"] - applied))}.atMost(0),
	}, nil
}

// toBoth has people write, and every update come to all bots at the same moment.
func (c *crowd) toBoth(ctx context.Context, updates int, bots []*server) error {
	const at = 8
	errs := make([]error, at)
	var all sync.WaitGroup
	for w := range at {
		mine := len(c.written) / at
		all.Go(func() {
			for n := range updates / at {
				raw := c.next(w*mine + n%mine)
				heard := make([]error, len(bots))
				var both sync.WaitGroup
				for i, b := range bots {
					both.Go(func() { heard[i] = c.post(ctx, b.hook, raw) })
				}
				both.Wait()
				if errs[w] = errors.Join(heard...); errs[w] != nil {
					return
				}
			}
		})
	}
	all.Wait()
	return errors.Join(errs...)
}
