package telegram

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"runtime/debug"
	"time"

	"example.org/dryhand/bot"
)

// Webhook takes the platform's updates. It answers 200 only when an update's
// effects are safe, or can never be; everything else comes again.
type Webhook struct {
	// Secret is what the platform must show. While it is empty nobody is let in.
	Secret string
	// Handle carries an event through. Its first result is the short answer to
	// a tap.
	Handle func(context.Context, bot.Event) (string, error)
	// Undecodable keeps what cannot be read. op names it, the same for the same
	// bytes. Left out, it is only logged.
	Undecodable func(ctx context.Context, op string, raw []byte, cause error) error
	// TooFast, if set, carries through an event of somebody who sends more than
	// anyone can mean, in place of Handle. first is true of the first in a row. Left
	// out, nobody is too fast.
	TooFast func(ctx context.Context, e bot.Event, first bool) error
	// Exempt, if set, is a chat that is never too fast: the owner's.
	Exempt func(bot.ChatID) bool
	// Now is the time for presses, which carry none. It goes with TooFast.
	Now func() time.Time
	// Taken, if set, is told of each update: the kind of what it brought ("text",
	// "tap" …), what became of it ("taken", "failed", "unreadable", "not ours", "too
	// fast"), and how long that took.
	Taken func(kind, what string, took time.Duration)
	// Client answers taps.
	Client *Client
	Log    *slog.Logger
	// Point, if set, is told the named moments "ack:before" and "ack:after".
	Point func(name, op string)

	taps  taps
	flood flood
}

const (
	// largest bounds an update's body; the platform's are a few kilobytes.
	largest = 1 << 20
	// patience bounds how long one update is worked on. The platform waits 60
	// seconds for an answer (platform's server, WebhookActor.cpp) and then brings
	// the update again.
	patience = 30 * time.Second
)

// ServeHTTP takes one update.
func (h *Webhook) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodPost {
		w.Header().Set("Allow", http.MethodPost)
		http.Error(w, "POST only", http.StatusMethodNotAllowed)
		return
	}
	if !h.admits(r.Header.Get("X-Telegram-Bot-Api-Secret-Token")) {
		w.WriteHeader(http.StatusUnauthorized)
		return
	}
	raw, err := io.ReadAll(http.MaxBytesReader(w, r.Body, largest))
	if err != nil {
		status := http.StatusBadRequest
		if tooLong := (*http.MaxBytesError)(nil); errors.As(err, &tooLong) {
			status = http.StatusRequestEntityTooLarge
		}
		w.WriteHeader(status)
		return
	}
	op, err := h.take(r.Context(), raw)
	if err != nil {
		w.Header().Set("Retry-After", "1")
		w.WriteHeader(http.StatusServiceUnavailable)
		return
	}
	h.point("ack:before", op)
	w.WriteHeader(http.StatusOK)
	if f, ok := w.(http.Flusher); ok && h.Point != nil {
		f.Flush()
	}
	h.point("ack:after", op)
}

// admits compares hashes, so that neither content nor length of the secret shows
// in the time it takes.
func (h *Webhook) admits(shown string) bool {
	got, want := sha256.Sum256([]byte(shown)), sha256.Sum256([]byte(h.Secret))
	return subtle.ConstantTimeCompare(got[:], want[:]) == 1 && h.Secret != ""
}

// Take carries one update through, however it came. An error means that nothing
// has happened yet, or not surely, and that the update must come again.
func (h *Webhook) Take(ctx context.Context, raw json.RawMessage) error {
	_, err := h.take(ctx, raw)
	return err
}

// take is Take, and tells what became of it.
func (h *Webhook) take(ctx context.Context, raw []byte) (op string, err error) {
	// Whoever brought the update may hang up; that is no reason to stop half-way.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
	defer cancel()
	began, kind, what := time.Now(), "", "taken"
	defer func() {
		if p := recover(); p != nil {
			// What it panicked with may quote what somebody wrote.
			h.Log.Error("update panicked", "op", op, "type", fmt.Sprintf("%T", p), "stack", string(debug.Stack()))
			err = errors.New("telegram: update panicked")
		}
		took := time.Since(began)
		if err != nil {
			what = "failed"
			h.Log.Warn("update not taken", "op", op, "kind", kind, "err", err)
		} else {
			h.Log.Info("update "+what, "op", op, "kind", kind, "took", took.Round(10*time.Microsecond).Seconds())
		}
		if h.Taken != nil {
			h.Taken(kind, what, took)
		}
	}()
	e, ours, err := Decode(raw)
	op, kind = e.Op, kindOf(e)
	if err != nil {
		op, what = fmt.Sprintf("x%x", sha256.Sum256(raw))[:17], "unreadable"
		return op, h.keep(ctx, op, raw, err)
	}
	tapped, isTap := e.What.(bot.Tap)
	answer := func(string) {}
	if isTap {
		answer = h.press(ctx, tapped.ID)
	}
	switch {
	case !ours:
		what = "not ours"
		answer("")
		return op, nil
	case h.tooFast(e):
		what = "too fast"
		answer("")
		return op, h.TooFast(ctx, e, h.flood.first(sourceOf(e)))
	}
	words, err := h.Handle(ctx, e)
	if err == nil {
		answer(words)
	}
	return op, err
}

// kindOf is a constant word for what an event brought.
func kindOf(e bot.Event) string {
	switch what := e.What.(type) {
	case bot.Text:
		if what.Edited {
			return "edit"
		}
		return "text"
	case bot.Tap:
		return "tap"
	case bot.Photo:
		return "photo"
	case bot.Place:
		return "place"
	case bot.Membership:
		return "membership"
	}
	return "other"
}

// keep puts aside what cannot be read: it would fail for ever, and hold up its
// chat for a day.
func (h *Webhook) keep(ctx context.Context, op string, raw []byte, cause error) error {
	h.Log.Warn("update not understood", "op", op, "bytes", len(raw))
	if h.Undecodable == nil {
		return nil
	}
	return h.Undecodable(ctx, op, raw, cause)
}

// Wait waits until every tap taken so far has been answered. No update may be on
// its way in meanwhile: stop the server first.
func (h *Webhook) Wait() { h.taps.underWay.Wait() }

func (h *Webhook) point(name, op string) {
	if h.Point != nil {
		h.Point(name, op)
	}
}
