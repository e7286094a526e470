package ledger

import (
	"context"
	"fmt"
	"strconv"
	"strings"
)

// Erase forgets a person: documents and due items by key, and everything queued
// for or put aside from sending to the chat, zero for none. It may be repeated.
// Whoever has read one of the documents will meet a conflict.
//
// Events that were put aside do not say whom they are about: see
// [Ledger.EraseAsides]. The names of applied events stay until they are
// forgotten, after 48 hours.
func (l *Ledger) Erase(ctx context.Context, keys, dueIDs []string, chat int64) error {
	args := make([]any, 0, 2+len(keys)+len(dueIDs))
	args = append(args, chat, len(keys))
	for _, key := range keys {
		args = append(args, key)
	}
	for _, id := range dueIDs {
		args = append(args, id)
	}
	l.memory.clear()
	k := l.key
	scriptKeys := []string{k.docs, k.due, k.dueBody, k.out, k.outBody, k.chats, k.ver}
	if err := eraseScript.Run(ctx, l.rdb, scriptKeys, args...).Err(); err != nil {
		return fmt.Errorf("ledger: erase: %w", err)
	}
	l.memory.clear() // of what came in between, too
	if chat == 0 {
		return nil
	}
	prefix := strconv.FormatInt(chat, 10) + "|"
	_, err := l.EraseAsides(ctx, func(a Aside) bool {
		return a.Kind == asideMessage && strings.HasPrefix(a.Key, prefix)
	})
	return err
}

// EraseAsides forgets everything put aside that matches, and returns how much
// that was.
func (l *Ledger) EraseAsides(ctx context.Context, match func(Aside) bool) (n int, err error) {
	for cursor := uint64(0); ; {
		found, next, err := l.rdb.ZScan(ctx, l.key.aside, cursor, "", page).Result()
		if err != nil {
			return n, fmt.Errorf("ledger: erasing what was put aside: %w", err)
		}
		for i := 0; i+1 < len(found); i += 2 {
			r, err := asideRecord(found[i], found[i+1])
			if err != nil {
				return n, err
			}
			if !match(Aside{At: r.At, Kind: r.Of, Key: r.Key, Reason: r.Reason, Body: r.Body}) {
				continue
			}
			gone, err := l.rdb.ZRem(ctx, l.key.aside, found[i]).Result()
			if err != nil {
				return n, fmt.Errorf("ledger: erasing what was put aside: %w", err)
			}
			n += int(gone)
		}
		if cursor = next; cursor == 0 {
			return n, nil
		}
	}
}
