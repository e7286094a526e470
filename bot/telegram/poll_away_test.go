package telegram_test

import (
	"context"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
)

// Whatever goes wrong between us and the platform passes: nothing is lost, and
// nothing taken twice that was confirmed.
func TestPollWhilePlatformIsIll(t *testing.T) {
	for _, c := range []struct {
		name, method string
		fault        standin.Fault
		// least is what must have gone by before the next try.
		least time.Duration
	}{
		{"webhook cannot be taken off", "deleteWebhook", standin.Fault{Times: 1, Status: 500}, time.Second},
		{"answer to taking it off lost", "deleteWebhook", standin.Fault{Times: 1, DropAfter: true}, time.Second},
		{"500", "getUpdates", standin.Fault{Times: 1, Status: 500}, time.Second},
		{"409", "getUpdates", standin.Fault{Times: 1, Status: 409}, time.Second},
		{"429", "getUpdates", standin.Fault{Times: 1, Status: 429, RetryAfter: 2}, 2 * time.Second},
		{"a proxy's page", "getUpdates", standin.Fault{Times: 1, HTML: true}, time.Second},
		{"cut off before", "getUpdates", standin.Fault{Times: 1, DropBefore: true}, 0}, // net/http may ask again itself
		{"cut off after", "getUpdates", standin.Fault{Times: 1, DropAfter: true}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t, standin.Config{})
			w.Fault(c.method, c.fault)
			p := w.Person(mia, "Mia")
			p.Say("one")
			p.Say("two")
			got := make(chan string, 10)
			began := time.Now()
			stop := w.poll(func(_ context.Context, raw json.RawMessage) error { got <- texts(t, raw); return nil })
			taken := []string{receive(t, got), receive(t, got)}
			if took := time.Since(began); took < c.least {
				t.Errorf("tried again after %v, want %v at least", took, c.least)
			}
			w.until("everything is confirmed", func() bool { return w.Waiting() == 0 })
			stop()
			if diff := cmp.Diff([]string{"one", "two"}, taken); diff != "" || len(got) != 0 {
				t.Errorf("%d more; taken (-want +got):\n%s", len(got), diff)
			}
		})
	}
}

// A token that is withdrawn while we poll does not come back by waiting.
func TestPollEndsWhenTheTokenIsWithdrawn(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.Fault("getUpdates", standin.Fault{Status: 401, Description: "Unauthorized"})
	ended := make(chan error, 1)
	go func() {
		ended <- w.client.Poll(t.Context(), func(context.Context, json.RawMessage) error { return nil }, w.log.logger())
	}()
	select {
	case err := <-ended:
		if err == nil || !strings.Contains(err.Error(), "401") || strings.Contains(err.Error(), token) {
			t.Errorf("error %v, want the platform's 401 and no token", err)
		}
	case <-time.After(patience):
		t.Fatal("polling goes on")
	}
}
