package ledger

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"
)

// Backlog is what the ledger holds at a moment that somebody ought to come for.
type Backlog struct {
	// Out is how many messages are queued, Oldest the body of the one queued first,
	// nil if there is none.
	Out    int64
	Oldest []byte
	// Due is how many moments are to come or have come, Late how many of them could
	// be claimed now, and LateSince since when the first of these could; zero if
	// there is none.
	Due, Late int64
	LateSince time.Time
	// Aside is how many things a person ought to look at.
	Aside int64
}

// mostNames bounds how many queued messages are looked through for the oldest.
const mostNames = 1000

// Backlog tells what waits, in two round trips that write nothing. Among more than
// a thousand messages the oldest is one of the first thousand by the number of
// their chat.
func (l *Ledger) Backlog(ctx context.Context, now time.Time) (Backlog, error) {
	k := l.key
	pipe := l.rdb.Pipeline()
	out, due, aside := pipe.ZCard(ctx, k.out), pipe.ZCard(ctx, k.due), pipe.ZCard(ctx, k.aside)
	late := pipe.ZCount(ctx, k.due, "-inf", ms(now))
	first := pipe.ZRangeByScoreWithScores(ctx, k.due, &redis.ZRangeBy{Min: "-inf", Max: ms(now), Count: 1})
	names := pipe.ZRange(ctx, k.out, 0, mostNames-1)
	if _, err := pipe.Exec(ctx); err != nil {
		return Backlog{}, fmt.Errorf("ledger: looking what waits: %w", err)
	}
	w := Backlog{Out: out.Val(), Due: due.Val(), Late: late.Val(), Aside: aside.Val()}
	for _, z := range first.Val() {
		w.LateSince = fromMS(int64(z.Score))
	}
	if len(names.Val()) == 0 {
		return w, nil
	}
	oldest := slices.MinFunc(names.Val(), byNumber)
	stored, err := l.rdb.HGet(ctx, k.outBody, oldest).Result()
	switch {
	case errors.Is(err, redis.Nil): // sent meanwhile
		return w, nil
	case err != nil:
		return Backlog{}, fmt.Errorf("ledger: looking what waits: %w", err)
	}
	s, err := parseOut(oldest, stored)
	if err != nil {
		return Backlog{}, err
	}
	w.Oldest = s.Body
	return w, nil
}

// byNumber compares the members of queues by when they were queued.
func byNumber(a, b string) int {
	number := func(member string) int64 {
		_, digits, _ := strings.Cut(member, "|")
		n, _ := strconv.ParseInt(digits, 10, 64) // as the commit wrote it
		return n
	}
	return cmp.Compare(number(a), number(b))
}
