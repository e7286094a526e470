package main

import (
	"context"
	"fmt"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/ledger"
)

// fillRate has a bot send to many people at a platform that takes 30 messages a second
// and not one more, as the real one does over all chats, and looks how much of that is
// used. The few that leave at once after a rest do not count.
func (l *lab) fillRate(ctx context.Context) ([]figure, error) {
	const allowed, burst = 30, 20
	s, err := l.startStore(ctx)
	if err != nil {
		return nil, err
	}
	p, err := l.startPlatform(true)
	if err != nil {
		return nil, err
	}
	if _, err := l.startBot(s, p, "sender", "sender"); err != nil {
		return nil, err
	}
	outbox, err := ledger.New(s.rdb, "sender")
	if err != nil {
		return nil, err
	}
	n := pick(l, 300, burst+10)
	p.know(n)
	c := ledger.Change{Op: "measured", Now: time.Now()}
	for i := range n {
		out, err := desk.Queue(bot.Message{Chat: bot.ChatID(chatOf(i)), Text: "Hello", Delivery: bot.Once, Kind: "nudge"})
		if err != nil {
			return nil, err
		}
		c.Send = append(c.Send, out)
	}
	if _, err := outbox.Commit(ctx, c); err != nil {
		return nil, err
	}
	if err := settled(ctx, outbox); err != nil {
		return nil, err
	}
	var at []time.Time
	events, _ := p.Since(0)
	for _, e := range events {
		if e.Kind == standin.Said && e.Line.Bot {
			at = append(at, e.At)
		}
	}
	if len(at) != n {
		return nil, fmt.Errorf("%d of %d messages arrived", len(at), n)
	}
	rate := float64(n-burst) / at[n-1].Sub(at[burst-1]).Seconds()
	return []figure{
		figure{What: "sender against 30 a second", Measured: fmt.Sprintf("%.1f/s", rate), Anchor: "allowed 30/s", Unit: "x", Value: rate / allowed}.atLeast(0.93),
		figure{What: "sender: refused by the platform", Measured: fmt.Sprintf("of %d", n), Unit: "refused", Value: float64(len(p.Refusals()))}.atMost(0),
	}, nil
}
