package main

import (
	"context"
	"time"
)

// tidyEvery is how often it is looked for enquiries that should have gone: each has
// its own moment to go at, so this finds only what came from elsewhere.
const tidyEvery = 24 * time.Hour

// tidies has enquiries nobody booked cleared out, at once and then every day, until
// ctx ends.
func (p *parts) tidies(ctx context.Context) {
	for {
		n, err := p.desk.SeeUnbooked(ctx)
		switch {
		case ctx.Err() != nil:
			return
		case err != nil:
			p.log.Warn("not all enquiries could be looked at for clearing out; tried again tomorrow", "err", err)
		case n > 0:
			p.log.Info("enquiries looked at for clearing out", "count", n)
		}
		if !sleep(ctx, tidyEvery) {
			return
		}
	}
}
