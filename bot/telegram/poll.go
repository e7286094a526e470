package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"time"

	tg "github.com/go-telegram/bot"
)

const (
	// pollFor is how long the platform may hold an empty answer back, in seconds;
	// less than fetchWithin.
	pollFor = 45
	// longestPollPause bounds the growing pause after something went wrong.
	longestPollPause = 30 * time.Second
)

// Poll fetches updates for a bot that the platform cannot reach, and gives each
// to take, one after the other, until ctx ends. It takes a registered webhook
// off first, as the platform allows only one of the two; waiting updates are
// kept. [Webhook.Take] is what take is made for.
//
// An update is asked for again, after growing pauses, until take has returned
// without an error, and those after it wait. The error is the wrong token's, or
// one's that was withdrawn meanwhile, or ctx's; everything else may pass and is
// logged.
func (c *Client) Poll(ctx context.Context, take func(ctx context.Context, raw json.RawMessage) error, log *slog.Logger) error {
	var offset int64
	polling := false
	for failures := 0; ctx.Err() == nil; {
		var err error
		if !polling {
			_, err = c.DeleteWebhook(ctx, &tg.DeleteWebhookParams{})
			if v, _ := judge(err); v == denied {
				return fmt.Errorf("telegram: taking the webhook off: %w", c.scrub(err))
			}
			polling = err == nil
		}
		if err == nil {
			offset, err = c.poll(ctx, offset, take)
		}
		if err == nil {
			failures = 0
			continue
		}
		if refused := (*refusedError)(nil); errors.As(err, &refused) && refused.code == http.StatusUnauthorized {
			return fmt.Errorf("telegram: polling: %w", c.scrub(err))
		}
		if ctx.Err() == nil {
			log.Warn("polling interrupted", "err", c.scrub(err))
		}
		failures++
		rest(ctx, max(backoff(failures, longestPollPause), asked(err)))
	}
	return ctx.Err()
}

// poll fetches once and hands on what came. It returns the offset that confirms
// what was taken, 0 if nothing is to be confirmed: numbers may start anew
// anywhere after a quiet week (core.telegram.org/bots/api#update), and an offset
// kept until then would hide everything below it.
func (c *Client) poll(ctx context.Context, offset int64, take func(context.Context, json.RawMessage) error) (int64, error) {
	updates, err := c.updates(ctx, offset)
	if err != nil {
		return offset, err
	}
	offset = 0
	for _, raw := range updates {
		if err := take(ctx, raw); err != nil {
			return offset, fmt.Errorf("update not taken: %w", err)
		}
		var numbered struct {
			ID int64 `json:"update_id"`
		}
		// One without a number was put aside by take, and the next one's confirms
		// it too.
		if json.Unmarshal(raw, &numbered) == nil && numbered.ID != 0 {
			offset = numbered.ID + 1
		}
		if ctx.Err() != nil {
			return offset, ctx.Err()
		}
	}
	return offset, nil
}

// updates calls getUpdates itself: the library's own reading fails a whole batch
// on one update of a kind it does not know.
func (c *Client) updates(ctx context.Context, offset int64) ([]json.RawMessage, error) {
	body, err := json.Marshal(struct {
		Offset  int64    `json:"offset,omitempty"`
		Timeout int      `json:"timeout"`
		Allowed []string `json:"allowed_updates"`
	}{offset, pollFor, updateKinds})
	if err != nil {
		return nil, err
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, c.server+"/bot"+c.token+"/getUpdates", bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	req.Header.Set("Content-Type", "application/json")
	resp, err := c.files.Do(req)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	var answer struct {
		OK          bool              `json:"ok"`
		Result      []json.RawMessage `json:"result"`
		Code        int               `json:"error_code"`
		Description string            `json:"description"`
		Parameters  struct {
			RetryAfter int `json:"retry_after"`
		} `json:"parameters"`
	}
	if err := json.NewDecoder(resp.Body).Decode(&answer); err != nil {
		return nil, fmt.Errorf("answer to getUpdates, status %d: %w", resp.StatusCode, err)
	}
	if !answer.OK {
		return nil, &refusedError{answer.Code, answer.Description, time.Duration(answer.Parameters.RetryAfter) * time.Second}
	}
	return answer.Result, nil
}

// refusedError is the platform's refusal of a call we made ourselves.
type refusedError struct {
	code  int
	words string
	wait  time.Duration
}

func (e *refusedError) Error() string {
	return fmt.Sprintf("getUpdates refused: %d %s", e.code, e.words)
}

// asked is how long the platform asked to wait, 0 if it did not.
func asked(err error) time.Duration {
	var refused *refusedError
	if errors.As(err, &refused) {
		return refused.wait
	}
	return 0
}

// rest waits for d, or until ctx ends.
func rest(ctx context.Context, d time.Duration) {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
	case <-timer.C:
	}
}
