package desk

import (
	"context"
	"encoding/json"
	"fmt"

	"example.org/dryhand/conversations"
)

// mostListed bounds how many moments one list brings: far more than one person has
// in a month.
const mostListed = 2000

// lists makes the lists of what falls due that the conversation asked for. They are
// as of now and of no version: what is done about one of them is checked against the
// documents it leads to.
func (d *Desk) lists(ctx context.Context, wanted []conversations.List) (map[string][]byte, error) {
	found := map[string][]byte{}
	for _, l := range wanted {
		from, to := l.Span(d.Talk().Zone)
		items, err := d.Ledger.DueBetween(ctx, from, to, mostListed)
		if err != nil {
			return nil, fmt.Errorf("desk: what falls due: %w", err)
		}
		listed := []conversations.Listed{}
		for _, i := range items {
			listed = append(listed, conversations.Listed{ID: i.ID, At: i.At})
		}
		body, err := json.Marshal(listed)
		if err != nil {
			return nil, fmt.Errorf("desk: what falls due: %w", err)
		}
		found[string(l)] = body
	}
	return found, nil
}
