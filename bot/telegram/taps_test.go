package telegram_test

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/telegram"
)

// The presses that are remembered are bounded: one that was pushed out is taken
// for new, and the latest are not.
func TestOnlyLatePressesAreRemembered(t *testing.T) {
	w := newWorld(t, standin.Config{})
	h := &telegram.Webhook{Client: w.client, Log: w.log.logger(), Handle: func(context.Context, bot.Event) (string, error) { return "", nil }}
	press := func(n int) {
		raw, err := json.Marshal(map[string]any{"update_id": n, "callback_query": map[string]any{
			"id": fmt.Sprint("press ", n), "data": "x", "from": map[string]any{"id": mia, "first_name": "Mia"}}})
		if err != nil {
			t.Fatal(err)
		}
		if err := h.Take(t.Context(), raw); err != nil {
			t.Fatal(err)
		}
	}
	calls := func() int { h.Wait(); return w.Calls()["answerCallbackQuery"].Calls }
	const remembered = 512
	for n := range remembered {
		press(n)
		if n%16 == 0 { // an answer is given up after five seconds, and all at once take their time
			h.Wait()
		}
	}
	press(0)
	if got := calls(); got != remembered {
		t.Errorf("%d answers to %d presses and a repeated one", got, remembered)
	}
	press(remembered) // pushes the first one out
	press(remembered)
	press(1)
	if got := calls(); got != remembered+1 {
		t.Errorf("%d answers, want one more for one more press", got)
	}
	press(0)
	if got := calls(); got != remembered+2 {
		t.Errorf("%d answers, want one more for a press long forgotten", got)
	}
}
