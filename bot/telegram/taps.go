package telegram

import (
	"context"
	"sync"
	"time"

	tg "github.com/go-telegram/bot"
)

const (
	// spin is how long a pressed button may show that something is happening
	// before the press is answered without words. People notice about a second.
	spin = 1500 * time.Millisecond
	// remembered is how many presses are known to have an answer, or one coming.
	// The platform gives a press up after 150 seconds.
	remembered = 512
	// longestToast is the platform's limit for the answer to a tap, in UTF-16 units.
	longestToast = 200
)

// taps are the presses of late. An update that comes again shares the answer of
// its first copy, so that every press is answered once: with words if one of the
// copies is handled in time, and without otherwise.
type taps struct {
	mu       sync.Mutex
	answers  map[string]func(words string)
	order    []string
	underWay sync.WaitGroup
}

// press begins the answer to a tap and returns what gives it. Only its first
// call counts; when none comes in time, the button stops spinning anyway.
func (h *Webhook) press(ctx context.Context, id string) (answer func(words string)) {
	t := &h.taps
	t.mu.Lock()
	defer t.mu.Unlock()
	if answer, ok := t.answers[id]; ok {
		return answer
	}
	t.underWay.Add(1)
	var once sync.Once
	give := func(words string) {
		once.Do(func() {
			go func() {
				defer t.underWay.Done()
				h.answer(ctx, id, words)
			}()
		})
	}
	late := time.AfterFunc(spin, func() { give("") })
	answer = func(words string) {
		late.Stop()
		give(words)
	}
	t.remember(id, answer)
	return answer
}

// remember keeps an answer, and forgets the oldest for it.
func (t *taps) remember(id string, answer func(string)) {
	if t.answers == nil {
		t.answers = make(map[string]func(string), remembered)
	}
	if len(t.order) == remembered {
		delete(t.answers, t.order[0])
		t.order = t.order[1:]
	}
	t.answers[id] = answer
	t.order = append(t.order, id)
}

// answer stops a pressed button from spinning. It is free at the platform, waits
// in no queue, and is forgotten if it fails: presses grow too old.
func (h *Webhook) answer(ctx context.Context, id, words string) {
	const within = 5 * time.Second
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), within)
	defer cancel()
	_, err := h.Client.AnswerCallbackQuery(ctx, &tg.AnswerCallbackQueryParams{CallbackQueryID: id, Text: cut(words, longestToast)})
	if err != nil {
		h.Log.Debug("tap not answered", "err", h.Client.scrub(err))
	}
}
