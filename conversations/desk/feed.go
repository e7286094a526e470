package desk

import (
	"context"
	"fmt"

	"example.org/dryhand/conversations"
)

// Feed is the owner's diary as a calendar others can subscribe to, as of now.
func (d *Desk) Feed(ctx context.Context) ([]byte, error) {
	talk, now := d.Talk(), d.Now()
	keys := conversations.FeedKeys(talk, now)
	for range tries {
		loaded, err := d.Ledger.Load(ctx, "", keys...)
		if err != nil {
			return nil, fmt.Errorf("desk: load for the feed: %w", err)
		}
		docs := make(map[string][]byte, len(loaded.Docs))
		for key, doc := range loaded.Docs {
			docs[key] = nil
			if doc.Version != 0 {
				docs[key] = doc.Body
			}
		}
		feed, need, err := conversations.Feed(talk, docs, now)
		if err != nil || len(need) == 0 {
			return feed, err
		}
		keys = append(keys, need...)
	}
	return nil, ErrBusy
}
