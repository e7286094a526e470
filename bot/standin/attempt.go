package standin

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"strconv"
	"strings"
	"sync"
)

// outcome is how one try to deliver an update ended.
type outcome struct {
	failed     string // as getWebhookInfo words it; empty is accepted
	retryAfter int    // seconds, as the bot asked
	gone       bool
	body       []byte
}

var errSlow, errClosed = errors.New("no answer in time"), errors.New("closed")

// attempt delivers an update once, or as often as the disorder says; accepted
// once is accepted.
func (s *Standin) attempt(u *update, h webhook, d Disorder) {
	outs := make([]outcome, max(d.Copies, 1))
	var all sync.WaitGroup
	for i := range outs {
		push := func() { outs[i] = s.push(u, h) }
		if d.Together {
			all.Go(push)
		} else {
			push()
		}
	}
	all.Wait()
	out := outs[len(outs)-1]
	for _, o := range outs {
		if o.failed == "" {
			s.obey(o.body)
			out.failed = ""
		}
	}
	s.settle(u, out)
}

// push posts an update and waits for the answer, at most 60 seconds by the
// clock.
func (s *Standin) push(u *update, h webhook) outcome {
	ctx, cancel := context.WithCancelCause(context.Background())
	defer cancel(nil)
	tooLong, stop := s.clock.wait(s.clock.Now().Add(answerLimit))
	defer stop()
	s.work.Go(func() {
		select {
		case <-tooLong:
			cancel(errSlow)
		case <-s.closed:
			cancel(errClosed)
		case <-ctx.Done():
		}
	})
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, h.url, bytes.NewReader(u.body))
	if err != nil {
		return outcome{failed: err.Error()}
	}
	r.Header.Set("Content-Type", "application/json")
	if h.secret != "" {
		r.Header.Set("X-Telegram-Bot-Api-Secret-Token", h.secret)
	}
	s.mu.Lock()
	s.journal.deliveries.Requests++
	s.note()
	s.mu.Unlock()
	response, err := s.client.Do(r)
	if err != nil {
		return outcome{failed: cause(ctx, err)}
	}
	defer response.Body.Close()
	const most = 1 << 20
	body, err := io.ReadAll(io.LimitReader(response.Body, most))
	if err != nil {
		return outcome{failed: cause(ctx, err)}
	}
	return readOutcome(response, body)
}

// cause is why a request failed: our own limit if that ended it.
func cause(ctx context.Context, err error) string {
	if context.Cause(ctx) == errSlow {
		return "Read timeout expired"
	}
	return err.Error()
}

func readOutcome(r *http.Response, body []byte) outcome {
	if r.StatusCode/100 == 2 {
		return outcome{body: body}
	}
	out := outcome{failed: "Wrong response from the webhook: " + r.Status, gone: r.StatusCode == http.StatusGone}
	out.retryAfter, _ = strconv.Atoi(r.Header.Get("Retry-After")) // a date is not understood
	return out
}

// obey carries out a call that came as the answer to an update. Nobody learns
// how it ended; calls that ask for something, and those that would change where
// updates go, are ignored (tdlib/telegram-bot-api, WebhookActor.cpp).
func (s *Standin) obey(body []byte) {
	var object map[string]json.RawMessage
	if json.Unmarshal(body, &object) != nil {
		return
	}
	p := params{text: map[string]string{}}
	for name, raw := range object {
		p.set(name, raw)
	}
	name := strings.ToLower(p.text["method"])
	delete(p.text, "method")
	if name == "" || strings.HasPrefix(name, "get") || strings.Contains(" setwebhook deletewebhook close logout ", " "+name+" ") {
		return
	}
	_, err := s.call(name, p)
	s.count(Refusal{Method: s.documented(name), Chat: p.integer("chat_id")}, err)
}
