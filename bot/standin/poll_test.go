package standin_test

import (
	"context"
	"encoding/json"
	"runtime"
	"testing"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
)

// ids are the update ids of a poll's answer.
func ids(t *testing.T, r reply) (all []int64) {
	t.Helper()
	var list []models.Update
	if err := json.Unmarshal(r.Result, &list); err != nil {
		t.Fatalf("%+v: %v", r, err)
	}
	for _, u := range list {
		all = append(all, u.ID)
	}
	return all
}

// core.telegram.org/bots/api#getupdates: an offset confirms what is before it, a
// negative one counts from the end and forgets the rest.
func TestPolling(t *testing.T) {
	w := newWorld(t, standin.Config{})
	for range 5 {
		w.customer(101, "Mia")
	}
	for _, tt := range []struct {
		ask  object
		want []int64
	}{
		{object{}, []int64{1, 2, 3, 4, 5}},
		{object{}, []int64{1, 2, 3, 4, 5}}, // not confirmed
		{object{"limit": 2}, []int64{1, 2}},
		{object{"offset": 3, "limit": 2}, []int64{3, 4}},
		{object{"offset": -1}, []int64{5}},
		{object{}, []int64{5}},
		{object{"offset": 6}, nil},
	} {
		if diff := cmp.Diff(tt.want, ids(t, w.call("getUpdates", tt.ask))); diff != "" {
			t.Errorf("%v: %s", tt.ask, diff)
		}
	}
	w.quiet()
}

func TestPollingConflicts(t *testing.T) {
	w := newWorld(t, standin.Config{})
	first := make(chan reply, 1)
	go func() { first <- w.call("getUpdates", object{"timeout": 50}) }()
	w.waitsUntil(start.Add(50 * time.Second))
	second := make(chan reply, 1)
	go func() { second <- w.call("getUpdates", object{"timeout": 30}) }()
	if r := <-first; r.Code != 409 || r.Description != "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running" {
		t.Errorf("%+v", r)
	}
	w.customer(101, "Mia")
	if diff := cmp.Diff([]int64{1}, ids(t, <-second)); diff != "" {
		t.Error(diff)
	}
	w.listen(nil)
	if r := w.call("getUpdates", object{}); r.Code != 409 || r.Description != "Conflict: can't use getUpdates method while webhook is active; use deleteWebhook to delete the webhook first" {
		t.Errorf("%+v", r)
	}
}

// A long poll ends when its time is over, by the clock.
func TestLongPollEnds(t *testing.T) {
	w := newWorld(t, standin.Config{})
	done := make(chan reply, 1)
	go func() { done <- w.call("getUpdates", object{"timeout": 50}) }()
	w.waitsUntil(start.Add(50 * time.Second))
	w.clock.Advance(50 * time.Second)
	if got := ids(t, <-done); len(got) != 0 {
		t.Errorf("got %v", got)
	}
}

// The client library's own polling works against it.
func TestClientLibraryPolls(t *testing.T) {
	w := newWorld(t, standin.Config{})
	got := make(chan string, 9)
	client, err := tg.New(token, tg.WithServerURL(w.url), tg.WithSkipGetMe(), tg.WithHTTPClient(time.Minute, w.http), tg.WithNotAsyncHandlers(),
		tg.WithDefaultHandler(func(_ context.Context, _ *tg.Bot, u *models.Update) { got <- u.Message.Text }))
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() { defer close(done); client.Start(ctx) }()
	mia := w.Person(101, "Mia")
	for _, text := range []string{"/start", "Hello", "How much?"} {
		mia.Say(text)
		if g := <-got; g != text {
			t.Errorf("got %q, want %q", g, text)
		}
	}
	w.quiet() // the next poll confirms the last
	stop()
	<-done
}

// waitsUntil returns once somebody waits for t, and nobody for less.
func (w *world) waitsUntil(t time.Time) {
	w.t.Helper()
	giveUp := time.Now().Add(patience)
	for next, ok := w.clock.Next(); !ok || !next.Equal(t); next, ok = w.clock.Next() {
		if time.Now().After(giveUp) {
			w.t.Fatalf("nobody waits for %v", t)
		}
		runtime.Gosched()
	}
}
