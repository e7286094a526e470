package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
)

// SeeUnbooked looks through all enquiries for those that should have been cleared
// out, and for those of earlier releases, which did not remember when they were last
// touched and count from now. It returns how many of them were handled. Each is its
// own event, so that one that changes meanwhile is decided anew; what is looked for
// is only names, whatever the number of documents. The error is the store's; what was
// not reached is found the next time.
func (d *Desk) SeeUnbooked(ctx context.Context) (int, error) {
	now := d.Now()
	months := d.Talk().Rules.Quotes.ClearMonths()
	var found []string
	err := d.Ledger.Each(ctx, func(r ledger.Record) error {
		var e conversations.Enquiry
		if r.Kind != "doc" || !strings.HasPrefix(r.Key, "enq:") || json.Unmarshal(r.Body, &e) != nil {
			return nil // what cannot be read is told of when somebody comes to it
		}
		if conversations.ToClear(&e, months, now) {
			found = append(found, e.ID)
		}
		return nil
	})
	if err != nil {
		return 0, fmt.Errorf("desk: looking for enquiries to clear out: %w", err)
	}
	for n, id := range found {
		what := conversations.Came{Kind: conversations.CameClear, Enquiry: id}
		if _, err := d.Handle(ctx, bot.Event{Op: fmt.Sprintf("d:clear:%s@%d", id, now.UnixMilli()), At: now, What: what}); err != nil {
			return n, err
		}
	}
	return len(found), nil
}
