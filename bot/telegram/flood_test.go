package telegram_test

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/telegram"
)

// flooded is a webhook that counts what gets through it.
type flooded struct {
	*telegram.Webhook
	t        *testing.T
	now      time.Time
	update   int
	through  map[bot.ChatID]int
	stopped  map[bot.ChatID]int
	warnings map[bot.ChatID]int
}

func newFlooded(t *testing.T) *flooded {
	w := newWorld(t, standin.Config{})
	f := &flooded{t: t, now: start, through: map[bot.ChatID]int{}, stopped: map[bot.ChatID]int{}, warnings: map[bot.ChatID]int{}}
	f.Webhook = &telegram.Webhook{Secret: secret, Client: w.client, Log: w.log.logger(), Now: func() time.Time { return f.now },
		Exempt: func(c bot.ChatID) bool { return c == 7 },
		Handle: func(_ context.Context, e bot.Event) (string, error) { f.through[e.Chat]++; return "", nil },
		TooFast: func(_ context.Context, e bot.Event, first bool) error {
			f.stopped[e.Chat]++
			if first {
				f.warnings[e.Chat]++
			}
			return nil
		}}
	t.Cleanup(f.Wait)
	return f
}

// say brings a text somebody wrote at a moment; the platform must be content.
func (f *flooded) say(chat int64, at time.Time) {
	f.t.Helper()
	f.bring(fmt.Sprintf(`"message":{"message_id":1,"from":{"id":%d},"chat":{"id":%d,"type":"private"},"date":%d,"text":"x"}`, chat, chat, at.Unix()))
}

func (f *flooded) tap(chat int64) {
	f.t.Helper()
	f.bring(fmt.Sprintf(`"callback_query":{"id":"q%d","from":{"id":%d},"message":{"message_id":1,"chat":{"id":%d,"type":"private"}},"data":"x"}`, f.update, chat, chat))
}

func (f *flooded) bring(what string) {
	f.t.Helper()
	f.update++
	r := httptest.NewRequest(http.MethodPost, "/", strings.NewReader(fmt.Sprintf(`{"update_id":%d,%s}`, f.update, what)))
	r.Header.Set("X-Telegram-Bot-Api-Secret-Token", secret)
	got := httptest.NewRecorder()
	f.ServeHTTP(got, r)
	if got.Code != http.StatusOK {
		f.t.Fatalf("answered %d: the platform would bring it again, and slow everybody's updates down", got.Code)
	}
}

// Somebody who sends ten a second is stopped after forty, hears so once, and gets
// one through every other second; nobody else notices, nor does the owner.
func TestAFloodIsStoppedAndHurtsNobodyElse(t *testing.T) {
	f := newFlooded(t)
	for i := range 600 {
		at := start.Add(time.Duration(i) * 100 * time.Millisecond)
		f.say(5, at)
		f.say(7, at)
		if i%20 == 0 {
			f.say(6, at)
		}
	}
	// 40 at once and one for each 2 of the 60 seconds; dates are whole seconds.
	if got := f.through[5]; got < 68 || got > 71 {
		t.Errorf("%d of 600 got through, want 40 and 30", got)
	}
	if f.warnings[5] != 1 {
		t.Errorf("told %d times, want once", f.warnings[5])
	}
	if f.through[6] != 30 || f.stopped[6] != 0 || f.through[7] != 600 {
		t.Errorf("another: %d through, %d stopped; the owner: %d", f.through[6], f.stopped[6], f.through[7])
	}
}

// Presses carry no time and are counted when they come.
func TestAFloodOfPresses(t *testing.T) {
	f := newFlooded(t)
	for range 100 {
		f.tap(5)
	}
	if f.through[5] != 40 || f.stopped[5] != 60 || f.warnings[5] != 1 {
		t.Errorf("%d through, %d stopped, told %d times", f.through[5], f.stopped[5], f.warnings[5])
	}
	f.now = f.now.Add(time.Minute)
	f.tap(5)
	if f.through[5] != 41 {
		t.Error("a minute later a press still does not get through")
	}
}

// After an outage a day's messages arrive within seconds. They were no flood when
// they were written, whatever else came first.
func TestADaysMessagesAreNoFlood(t *testing.T) {
	f := newFlooded(t)
	f.now = start.Add(24 * time.Hour)
	f.tap(5)
	for i := range 400 {
		f.say(5, start.Add(time.Duration(i)*3*time.Minute))
	}
	f.say(5, f.now)
	f.say(5, start) // and one of long ago once more
	if f.through[5] != 403 || f.stopped[5] != 0 {
		t.Errorf("%d through, %d stopped", f.through[5], f.stopped[5])
	}
}
