package ledger

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"github.com/redis/go-redis/v9"
)

// page is how many things are read or written at a time.
const page = 200

// Each calls do with everything the ledger holds, in bounded memory, until do
// fails. It is not one moment's picture: what changes meanwhile may be missing,
// or come twice. Leases, the pace of chats and counts of failures are left out.
func (l *Ledger) Each(ctx context.Context, do func(Record) error) error {
	parts := []struct {
		key  string
		scan func(context.Context, string, uint64, string, int64) *redis.ScanCmd
		// record makes a record of a field and its value, or a member and its score.
		record func(name, value string) (Record, error)
	}{
		{l.key.docs, l.rdb.HScan, docRecord},
		{l.key.dueBody, l.rdb.HScan, dueRecord},
		{l.key.outBody, l.rdb.HScan, outRecord},
		{l.key.ops, l.rdb.ZScan, opRecord},
		{l.key.aside, l.rdb.ZScan, asideRecord},
		{l.key.counts, l.rdb.HScan, countRecord},
	}
	for _, p := range parts {
		for cursor := uint64(0); ; {
			found, next, err := p.scan(ctx, p.key, cursor, "", page).Result()
			if err != nil {
				return fmt.Errorf("ledger: reading everything: %w", err)
			}
			for i := 0; i+1 < len(found); i += 2 {
				r, err := p.record(found[i], found[i+1])
				if err != nil {
					return err
				}
				if err := do(r); err != nil {
					return err
				}
			}
			if cursor = next; cursor == 0 {
				break
			}
		}
	}
	return nil
}

func docRecord(key, stored string) (Record, error) {
	d, err := parseDoc(key, stored)
	return Record{Kind: recordDoc, Key: key, Version: d.Version, Links: d.Links, Body: d.Body}, err
}

func dueRecord(id, stored string) (Record, error) {
	d, err := parseDue(id, stored)
	return Record{Kind: recordDue, Key: id, At: d.At, Body: d.Body}, err
}

func outRecord(member, stored string) (Record, error) {
	s, err := parseOut(member, stored)
	return Record{
		Kind: recordOut, Key: member, Attempt: s.Attempt, Began: s.Began,
		Once: s.Once, NotAfter: s.NotAfter, Body: s.Body,
	}, err
}

func opRecord(op, score string) (Record, error) {
	n, err := strconv.ParseFloat(score, 64)
	return Record{Kind: recordOp, Key: op, At: fromMS(int64(n))}, err
}

func asideRecord(stored, score string) (Record, error) {
	n, err := strconv.ParseFloat(score, 64)
	if err != nil {
		return Record{}, fmt.Errorf("ledger: something put aside: %w", err)
	}
	a, err := parseAside(redis.Z{Member: stored, Score: n})
	return Record{Kind: recordAside, Key: a.Key, At: a.At, Of: a.Kind, Reason: a.Reason, Body: a.Body}, err
}

func countRecord(name, value string) (Record, error) {
	n, err := strconv.ParseInt(value, 10, 64)
	return Record{Kind: recordCount, Key: name, Count: n}, err
}

// Empty tells whether the ledger holds nothing but counts.
func (l *Ledger) Empty(ctx context.Context) (bool, error) {
	k := l.key
	n, err := l.rdb.Exists(ctx, k.docs, k.ops, k.due, k.out, k.aside).Result()
	if err != nil {
		return false, fmt.Errorf("ledger: looking whether it is empty: %w", err)
	}
	return n == 0, nil
}

// Restore writes records back, over what is there under the same keys, and may be
// repeated. Messages can be claimed at once, due items from the moment they were
// set for. It is meant for an empty ledger that nobody serves yet.
func (l *Ledger) Restore(ctx context.Context, records ...Record) error {
	k := l.key
	keys := []string{k.docs, k.ops, k.due, k.dueBody, k.out, k.outBody, k.chats, k.aside, k.counts, k.seq, k.ver}
	for batch := range slices.Chunk(records, page) {
		args := make([]any, 0, 4*len(batch))
		for _, r := range batch {
			value, number, err := r.stored()
			if err != nil {
				return err
			}
			args = append(args, r.Kind, r.Key, value, number)
		}
		if err := restoreScript.Run(ctx, l.rdb, keys, args...).Err(); err != nil {
			return fmt.Errorf("ledger: restore: %w", err)
		}
	}
	return nil
}
