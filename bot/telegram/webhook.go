package telegram

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"runtime/debug"
	"sync"
	"time"

	tg "github.com/go-telegram/bot"

	"example.org/dryhand/bot"
)

// Webhook takes the platform's updates. It answers 200 only when an update's
// effects are safe, or can never be; everything else comes again.
type Webhook struct {
	// Secret is what the platform must show.
	Secret string
	// Handle carries an event through. Its first result is the short answer to
	// a tap.
	Handle func(context.Context, bot.Event) (string, error)
	// Undecodable keeps what cannot be read. op names it.
	Undecodable func(ctx context.Context, op string, raw []byte, cause error) error
	// Client answers taps.
	Client *Client
	Log    *slog.Logger
	// Point, if set, is told the named moments "ack:before" and "ack:after".
	Point func(name, op string)

	taps sync.WaitGroup
}

const (
	// largest bounds an update's body; the platform's are a few kilobytes.
	largest = 1 << 20
	// spin is how long a pressed button may show that something is happening
	// before the press is answered without words.
	spin = 1500 * time.Millisecond
)

// ServeHTTP takes one update.
func (h *Webhook) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodPost {
		w.Header().Set("Allow", http.MethodPost)
		http.Error(w, "POST only", http.StatusMethodNotAllowed)
		return
	}
	// Hashed, so that neither content nor length shows in the time it takes.
	got, want := sha256.Sum256([]byte(r.Header.Get("X-Telegram-Bot-Api-Secret-Token"))), sha256.Sum256([]byte(h.Secret))
	if subtle.ConstantTimeCompare(got[:], want[:]) != 1 {
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
		h.Log.Warn("update not taken", "op", op, "err", err)
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

// take carries an update through. An error means that it must come again.
func (h *Webhook) take(ctx context.Context, raw []byte) (op string, err error) {
	defer func() {
		if p := recover(); p != nil {
			h.Log.Error("update panicked", "op", op, "stack", string(debug.Stack()))
			err = fmt.Errorf("telegram: update panicked: %v", p)
		}
	}()
	e, ours, err := Decode(raw)
	op = e.Op
	switch {
	case err != nil:
		sum := sha256.Sum256(raw)
		op = fmt.Sprintf("x%x", sum[:8])
		h.Log.Warn("update not understood", "op", op, "err", err)
		return op, h.Undecodable(ctx, op, raw, err)
	case !ours:
		return op, nil
	}
	tapped, ok := e.What.(bot.Tap)
	if !ok {
		_, err = h.Handle(ctx, e)
		return op, err
	}
	var once sync.Once
	answer := func(words string) {
		once.Do(func() { h.taps.Go(func() { h.answer(ctx, tapped.ID, words) }) })
	}
	late := time.AfterFunc(spin, func() { answer("") })
	words, err := h.Handle(ctx, e)
	if err == nil {
		late.Stop()
		answer(words)
	}
	return op, err
}

// answer stops a pressed button from spinning. It is free, waits for nothing,
// and is forgotten if it fails: the platform lets presses grow too old.
func (h *Webhook) answer(ctx context.Context, id, words string) {
	const within = 5 * time.Second
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), within)
	defer cancel()
	const longest = 200
	_, err := h.Client.AnswerCallbackQuery(ctx, &tg.AnswerCallbackQueryParams{CallbackQueryID: id, Text: cut(words, longest)})
	if err != nil {
		h.Log.Debug("tap not answered", "err", h.Client.scrub(err))
	}
}

// Wait waits until every tap has been answered.
func (h *Webhook) Wait() { h.taps.Wait() }

func (h *Webhook) point(name, op string) {
	if h.Point != nil {
		h.Point(name, op)
	}
}
