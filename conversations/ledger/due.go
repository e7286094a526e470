package ledger

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"
)

// Due is something to come back to at a moment.
type Due struct {
	// ID names it: setting another of the same ID replaces it. 1 to 256 bytes
	// without spaces, control characters and '|'.
	ID string
	// At is the moment it was set for, to the millisecond, whatever has been
	// claimed or deferred since.
	At   time.Time
	Body []byte
}

// ClaimDue takes up to n items whose moment has come, the longest waiting first.
// They are left alone until the lease is over, and come back then unless a
// commit has finished, moved or dropped them.
func (l *Ledger) ClaimDue(ctx context.Context, now time.Time, lease time.Duration, n int) ([]Due, error) {
	if err := checkClaim(lease, n); err != nil {
		return nil, err
	}
	reply, err := dueClaimScript.Run(ctx, l.rdb, []string{l.key.due, l.key.dueBody},
		ms(now), ms(now.Add(lease)), n).StringSlice()
	if err != nil {
		return nil, fmt.Errorf("ledger: claim of due items: %w", err)
	}
	items := make([]Due, 0, len(reply)/2)
	for i := 0; i+1 < len(reply); i += 2 {
		d, err := parseDue(reply[i], reply[i+1])
		if err != nil {
			return nil, err
		}
		items = append(items, d)
	}
	return items, nil
}

// parseDue reads at|body.
func parseDue(id, stored string) (Due, error) {
	at, body, ok := strings.Cut(stored, "|")
	n, err := strconv.ParseInt(at, 10, 64)
	if !ok || err != nil {
		return Due{}, fmt.Errorf("ledger: due item %s: no moment before its body", id)
	}
	return Due{ID: id, At: fromMS(n), Body: []byte(body)}, nil
}

// DeferDue makes a claimed item come back at until instead of at the end of its
// lease. It does nothing to one that was dropped or moved meanwhile.
func (l *Ledger) DeferDue(ctx context.Context, d Due, until time.Time) error {
	err := dueDeferScript.Run(ctx, l.rdb, []string{l.key.due, l.key.dueBody}, d.ID, ms(d.At), ms(until)).Err()
	if err != nil {
		return fmt.Errorf("ledger: deferring due item: %w", err)
	}
	return nil
}

// NextDue is when the next item can be claimed, false if there is none.
func (l *Ledger) NextDue(ctx context.Context) (at time.Time, ok bool, err error) {
	at, ok, err = l.first(ctx, l.key.due)
	if err != nil {
		return at, false, fmt.Errorf("ledger: next due item: %w", err)
	}
	return at, ok, nil
}

// DueBetween returns up to n items that can be claimed from one moment to before
// another, the earliest first, without their bodies and without claiming them. At
// is when they can be claimed.
func (l *Ledger) DueBetween(ctx context.Context, from, to time.Time, n int) ([]Due, error) {
	found, err := l.rdb.ZRangeArgsWithScores(ctx, redis.ZRangeArgs{Key: l.key.due, ByScore: true, Start: ms(from), Stop: "(" + ms(to), Count: int64(n)}).Result()
	if err != nil {
		return nil, fmt.Errorf("ledger: due items: %w", err)
	}
	items := make([]Due, 0, len(found))
	for _, z := range found {
		id, _ := z.Member.(string)
		items = append(items, Due{ID: id, At: fromMS(int64(z.Score))})
	}
	return items, nil
}

// checkClaim refuses claims that would hold nothing, or everything.
func checkClaim(lease time.Duration, n int) error {
	if lease < time.Millisecond || n < 1 || n > maxClaim {
		return fmt.Errorf("ledger: claim of %d for %v: want 1 to %d, for at least a millisecond", n, lease, maxClaim)
	}
	return nil
}

// maxClaim bounds how long one claim keeps Redis busy.
const maxClaim = 256
