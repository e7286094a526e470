package ledger

import (
	"context"
	"fmt"
	"regexp"
	"strconv"
	"time"

	"github.com/redis/go-redis/v9"
)

// Ledger is the store of one business. It keeps nothing itself that counts, and any
// number of them, in any number of processes, may serve the same business.
type Ledger struct {
	// rdb is commands and no more: the type of a whole client brings 1,700 functions,
	// which are compiled anew in every package that knows a ledger.
	rdb    redis.Cmdable
	key    keys
	trips  trips
	memory memory
	// OutPace bounds how fast messages are claimed, over all chats and all
	// processes; the zero value does not. Set it before the first claim, and to the
	// same everywhere.
	OutPace Pace
}

// Pace is a rate with some slack: Burst at once, and one more every Every. Every is
// in whole milliseconds.
type Pace struct {
	Every time.Duration
	Burst int
}

// args are the pace as the scripts take it.
func (p Pace) args() (every int64, burst int) { return p.Every.Milliseconds(), max(1, p.Burst) }

// keys are the names of everything a business keeps.
type keys struct {
	docs, ops, due, dueBody, out, outBody, chats, aside, trouble, counts, seq, ver, pace string
}

func keysOf(business string) keys {
	name := func(part string) string { return "dh:{" + business + "}:" + part }
	return keys{
		docs: name("docs"), ops: name("ops"), due: name("due"), dueBody: name("due:body"),
		out: name("out"), outBody: name("out:body"), chats: name("out:chats"),
		aside: name("aside"), trouble: name("trouble"), counts: name("counts"), seq: name("seq"),
		ver: name("ver"), pace: name("out:pace"),
	}
}

var businessName = regexp.MustCompile(`^[a-z0-9-]{1,32}$`)

// New returns the ledger of a business, whose name is 1 to 32 of a-z, 0-9 and
// the hyphen. It does not talk to Redis yet. The client should be made with
// [Options].
func New(rdb redis.Cmdable, business string) (*Ledger, error) {
	if !businessName.MatchString(business) {
		return nil, fmt.Errorf("ledger: name of the business %q: want 1 to 32 of a-z, 0-9 and -", business)
	}
	return &Ledger{rdb: rdb, key: keysOf(business)}, nil
}

// Ready tells whether the ledger can be written to, by a write that changes
// nothing. A server that only reads, is full, or cannot save, is not ready.
func (l *Ledger) Ready(ctx context.Context) error {
	if err := l.rdb.HIncrBy(ctx, l.key.counts, countCommits, 0).Err(); err != nil {
		return fmt.Errorf("ledger: not ready: %w", err)
	}
	return nil
}

// What is counted, by the names of [Ledger.Counts]. The scripts count under the
// same names.
const (
	countCommits = "commits"
	countPrefix  = "aside:"
)

// Counts returns how often things have happened since the beginning: "commits";
// messages "queued", "sent" and "later" (tried again because surely not sent);
// "aside:" and a reason for what was put aside.
func (l *Ledger) Counts(ctx context.Context) (map[string]int64, error) {
	raw, err := l.rdb.HGetAll(ctx, l.key.counts).Result()
	if err != nil {
		return nil, fmt.Errorf("ledger: counts: %w", err)
	}
	counts := make(map[string]int64, len(raw))
	for name, v := range raw {
		if counts[name], err = strconv.ParseInt(v, 10, 64); err != nil {
			return nil, fmt.Errorf("ledger: count of %s: %w", name, err)
		}
	}
	return counts, nil
}

// ms is a moment as the scripts take it. They compare as doubles, which hold
// milliseconds exactly for longer than time.Time does.
func ms(t time.Time) string { return strconv.FormatInt(t.UnixMilli(), 10) }

// notBefore is ms rounded up: a moment before which nothing may happen must not
// come early by the fraction that the store does not keep.
func notBefore(t time.Time) string {
	return ms(t.Add(time.Millisecond - time.Nanosecond))
}

func fromMS(n int64) time.Time { return time.UnixMilli(n).UTC() }

// first is the lowest member and score of a sorted set, false if it is empty.
func (l *Ledger) first(ctx context.Context, key string) (time.Time, bool, error) {
	z, err := l.rdb.ZRangeWithScores(ctx, key, 0, 0).Result()
	if err != nil || len(z) == 0 {
		return time.Time{}, false, err
	}
	return fromMS(int64(z[0].Score)), true, nil
}

// checkKey refuses names that the encoding of documents has no room for.
func checkKey(what, key string) error {
	if key == "" || len(key) > 256 {
		return fmt.Errorf("ledger: %s %q: want 1 to 256 bytes", what, key)
	}
	for i := range len(key) {
		if c := key[i]; c <= ' ' || c == '|' || c == 0x7f {
			return fmt.Errorf("ledger: %s %q: spaces, control characters and | are not allowed", what, key)
		}
	}
	return nil
}
