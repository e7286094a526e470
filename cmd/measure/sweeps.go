package main

import (
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/reminders/sweep"
)

// sweeps schedules very many reminders and measures what they cost: a sweep that finds
// none of them due, in turns with a PING and with the sweep of an empty set; memory;
// and how fast they are claimed once they are due.
func (l *lab) sweeps(ctx context.Context) ([]figure, error) {
	s, err := l.startStore(ctx)
	if err != nil {
		return nil, err
	}
	full, err := ledger.New(s.rdb, "full")
	if err != nil {
		return nil, err
	}
	empty, err := ledger.New(s.rdb, "empty")
	if err != nil {
		return nil, err
	}
	now := time.Date(2027, 4, 12, 9, 0, 0, 0, time.UTC)
	n := pick(l, 1_000_000, 2000)
	before, err := s.memoryUsed(ctx)
	if err != nil {
		return nil, err
	}
	if err := schedule(ctx, full, n, now.AddDate(0, 0, 1)); err != nil {
		return nil, err
	}
	after, err := s.memoryUsed(ctx)
	if err != nil {
		return nil, err
	}
	acts := []func(context.Context) error{func(ctx context.Context) error { return s.rdb.Ping(ctx).Err() }, sweepOf(empty, now), sweepOf(full, now)}
	var toPing, toEmpty []float64
	var last [3]time.Duration
	for range l.rounds {
		if last, err = inTurns(ctx, pick(l, 1500, 20), acts); err != nil {
			return nil, err
		}
		toPing = append(toPing, float64(last[2])/float64(last[0]))
		toEmpty = append(toEmpty, float64(last[2])/float64(last[1]))
	}
	claimed, began := 0, time.Now()
	for claimed < min(n/2, 100_000) {
		items, err := full.ClaimDue(ctx, now.AddDate(2, 0, 0), time.Hour, 16)
		if err != nil {
			return nil, err
		}
		claimed += len(items)
	}
	perSecond := float64(claimed) / time.Since(began).Seconds()
	found := "of " + thousands(int64(n)) + " none due: " + micros(last[2])
	return []figure{
		figure{What: "sweep that finds nothing", Measured: found, Anchor: "PING " + micros(last[0]), Unit: "x"}.over(toPing).atMost(1.5),
		figure{What: "the same", Measured: found, Anchor: "empty set " + micros(last[1]), Unit: "x"}.over(toEmpty).atMost(1.1),
		{What: "memory of a reminder in Redis", Measured: fmt.Sprintf("%s of them", thousands(int64(n))), Unit: "bytes", Value: (after - before) / float64(n)},
		{What: "reminders claimed, 16 at a time", Measured: fmt.Sprintf("%s of them", thousands(int64(claimed))), Unit: "a second", Value: perSecond},
	}, nil
}

func micros(d time.Duration) string { return fmt.Sprintf("%d µs", d.Microseconds()) }

// schedule sets reminders as the desk does, many to a commit, over a year.
func schedule(ctx context.Context, l *ledger.Ledger, n int, from time.Time) error {
	const each = 500
	for begin := 0; begin < n; begin += each {
		c := ledger.Change{Op: fmt.Sprint("measured:", begin), Now: from}
		for i := begin; i < min(n, begin+each); i++ {
			id := strconv.FormatInt(int64(100_000_000+i), 36) + "-1"
			body, err := json.Marshal(conversations.Came{Kind: conversations.CameNudge, Enquiry: id})
			if err != nil {
				return err
			}
			at := from.Add(time.Duration(i%365) * 24 * time.Hour).Add(time.Duration(i%10) * time.Hour)
			c.Set = append(c.Set, ledger.Due{ID: "nudge:" + id, At: at, Body: body})
		}
		if _, err := l.Commit(ctx, c); err != nil {
			return err
		}
	}
	return nil
}

// sweepOf is one sweep at a moment at which nothing is due.
func sweepOf(l *ledger.Ledger, now time.Time) func(context.Context) error {
	s := &sweep.Sweep{Ledger: l, Now: func() time.Time { return now }, Log: slog.New(slog.DiscardHandler)}
	return func(ctx context.Context) error {
		done, err := s.Work(ctx)
		if err == nil && done > 0 {
			err = fmt.Errorf("swept %d, want nothing", done)
		}
		return err
	}
}

// inTurns does three things many times in turn, and returns the median time of each.
func inTurns(ctx context.Context, turns int, acts []func(context.Context) error) (medians [3]time.Duration, err error) {
	var took [3][]time.Duration
	for i := range turns {
		for j := range acts {
			k := (i + j) % len(acts) // nobody always comes first
			began := time.Now()
			if err := acts[k](ctx); err != nil {
				return medians, err
			}
			took[k] = append(took[k], time.Since(began))
		}
	}
	for k := range took {
		slices.Sort(took[k])
		medians[k] = took[k][turns/2]
	}
	return medians, nil
}

// memoryUsed is what the server says it uses, in bytes.
func (s *store) memoryUsed(ctx context.Context) (float64, error) {
	info, err := s.rdb.Info(ctx, "memory").Result()
	if err != nil {
		return 0, err
	}
	_, rest, _ := strings.Cut(info, "used_memory:")
	line, _, _ := strings.Cut(rest, "\r\n")
	return strconv.ParseFloat(line, 64)
}
