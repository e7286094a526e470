package ledger

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"
)

// Aside is something that was taken out of the way for a person to look at.
type Aside struct {
	At time.Time
	// Kind is "event" for one that kept failing and "message" for one that could
	// not be sent.
	Kind string
	// Key is the event's Op, or the message's Member, which begins with its chat.
	Key    string
	Reason string
	Body   []byte
}

// The kinds of things put aside.
const (
	asideEvent   = "event"
	asideMessage = "message"
)

// maxAsides is how many asides are kept. When nobody has looked at ten thousand,
// the oldest go.
const maxAsides = 10_000

// SetAside takes a claimed message out of the queue for a reason, and the chat's
// next one is not claimed before next. It does nothing if the claim was lost.
//
// Up to its first colon the reason is a short constant, under which it is
// counted; what follows is for the reader.
func (l *Ledger) SetAside(ctx context.Context, s Sending, reason string, now, next time.Time) error {
	k := l.key
	err := outAsideScript.Run(ctx, l.rdb, []string{k.out, k.outBody, k.chats, k.aside, k.counts},
		s.Member, s.Attempt, s.Chat, ms(next), asideHead(asideMessage, s.Member, reason), ms(now), countOf(reason), maxAsides).Err()
	if err != nil {
		return fmt.Errorf("ledger: setting message %s aside: %w", s.Member, err)
	}
	return nil
}

// DropChat puts everything aside that is queued for a chat, and returns how many
// messages that were. Reason is as for [Ledger.SetAside].
func (l *Ledger) DropChat(ctx context.Context, chat int64, reason string, now time.Time) (n int, err error) {
	k := l.key
	for {
		// The head's key length differs between messages, so the script makes it.
		took, err := outDropScript.Run(ctx, l.rdb, []string{k.out, k.outBody, k.chats, k.aside, k.counts},
			chat, maxClaim, asideMessage, reason, ms(now), countOf(reason), maxAsides).Int()
		if err != nil {
			return n, fmt.Errorf("ledger: dropping a chat's messages: %w", err)
		}
		n += took
		if took < maxClaim {
			return n, nil
		}
	}
}

// Failed counts one more failure of an event, and returns how many there were.
// A commit of the event, or putting it aside, ends the count. A lost reply may
// count twice.
func (l *Ledger) Failed(ctx context.Context, op string) (times int, err error) {
	const week = 7 * 24 * 60 * 60
	times, err = failedScript.Run(ctx, l.rdb, []string{l.key.trouble}, op, week).Int()
	if err != nil {
		return 0, fmt.Errorf("ledger: counting a failure: %w", err)
	}
	return times, nil
}

// Poison puts an event aside and marks it as seen, so that it is not applied any
// more. It does nothing to one that was applied or put aside before. Reason is as
// for [Ledger.SetAside].
func (l *Ledger) Poison(ctx context.Context, op string, body []byte, reason string, now time.Time) error {
	if op == "" {
		return errors.New("ledger: event to put aside without an op")
	}
	k := l.key
	err := poisonScript.Run(ctx, l.rdb, []string{k.ops, k.aside, k.trouble, k.counts},
		op, ms(now), asideHead(asideEvent, op, reason)+string(body), countOf("event"), maxAsides).Err()
	if err != nil {
		return fmt.Errorf("ledger: putting an event aside: %w", err)
	}
	return nil
}

// Asides returns the newest n things put aside, newest first.
func (l *Ledger) Asides(ctx context.Context, n int) ([]Aside, error) {
	if n < 1 {
		return nil, nil
	}
	found, err := l.rdb.ZRevRangeWithScores(ctx, l.key.aside, 0, int64(n)-1).Result()
	if err != nil {
		return nil, fmt.Errorf("ledger: what was put aside: %w", err)
	}
	asides := make([]Aside, 0, len(found))
	for _, z := range found {
		a, err := parseAside(z)
		if err != nil {
			return nil, err
		}
		asides = append(asides, a)
	}
	return asides, nil
}

// asideHead is what is stored before the body.
func asideHead(kind, key, reason string) string {
	return fmt.Sprintf("%s|%d|%d|%s%s", kind, len(key), len(reason), key, reason)
}

// parseAside reads kind|key length|reason length|key reason body.
func parseAside(z redis.Z) (Aside, error) {
	stored, _ := z.Member.(string)
	f := strings.SplitN(stored, "|", 4)
	if len(f) != 4 {
		return Aside{}, errors.New("ledger: something put aside: not as it is stored")
	}
	key, err1 := strconv.Atoi(f[1])
	reason, err2 := strconv.Atoi(f[2])
	if err1 != nil || err2 != nil || key < 0 || reason < 0 || reason > len(f[3]) || key > len(f[3])-reason {
		return Aside{}, errors.New("ledger: something put aside: lengths do not fit")
	}
	rest := f[3]
	return Aside{
		At: fromMS(int64(z.Score)), Kind: f[0], Key: rest[:key],
		Reason: rest[key : key+reason], Body: []byte(rest[key+reason:]),
	}, nil
}

// countOf is the name a reason is counted under. Long ones are not constants, and
// would make a new count each.
func countOf(reason string) string {
	constant, _, _ := strings.Cut(reason, ":")
	if len(constant) > 32 {
		constant = "other"
	}
	return countPrefix + constant
}
