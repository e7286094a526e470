package standin_test

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"sync/atomic"
	"testing"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
)

// The rules of delivery tested here are those of core.telegram.org/bots/api
// (#setwebhook, #getting-updates) and of tdlib/telegram-bot-api, WebhookActor.cpp
// and Client.cpp @ 01a3679c (May 2026).

func TestDeliveryCarriesTheSecret(t *testing.T) {
	w := newWorld(t, standin.Config{FirstUpdate: 500})
	h := w.listen(nil)
	mia := w.customer(101, "Mia")
	mia.Say("Hello")
	w.quiet()
	h.mu.Lock()
	defer h.mu.Unlock()
	for i, u := range h.got {
		if want := int64(500 + i); u.ID != want {
			t.Errorf("update_id = %d, want %d", u.ID, want)
		}
		if got := h.headers[i].Get("X-Telegram-Bot-Api-Secret-Token"); got != "a-secret" {
			t.Errorf("secret = %q", got)
		}
		if got := h.headers[i].Get("Content-Type"); got != "application/json" {
			t.Errorf("content type = %q", got)
		}
	}
	if got, want := w.Deliveries(), (standin.Deliveries{Requests: 2, Accepted: 2}); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
}

// Only the head of a queue is under way; queues do not wait for each other.
func TestOneQueuePerChatAndKind(t *testing.T) {
	w := newWorld(t, standin.Config{})
	hold := make(chan struct{})
	var held atomic.Int64
	h := w.listen(func(u models.Update, _ http.ResponseWriter) {
		if u.Message != nil && u.Message.Text == "first" {
			held.Add(1)
			<-hold
		}
	})
	mia, ben := w.customer(101, "Mia"), w.customer(102, "Ben")
	w.quiet()
	w.call("sendMessage", object{"chat_id": 101, "text": "Which?", "reply_markup": button(object{"text": "Go", "callback_data": "g"})})
	id := mia.Say("first")
	mia.Say("second")
	if err := mia.Edit(id, "first, better"); err != nil {
		t.Fatal(err)
	}
	if err := mia.Tap(0, "Go"); err != nil {
		t.Fatal(err)
	}
	ben.Say("Ben's")
	// Everything but Mia's messages arrives while her first is held up.
	w.until("the others arrive", func() bool { return w.Waiting() == 3 })
	close(hold)
	w.quiet()
	var got []string
	for _, u := range h.updates()[2:] {
		switch {
		case u.EditedMessage != nil:
			got = append(got, "edit: "+u.EditedMessage.Text)
		case u.Message != nil && u.Message.Chat.ID == 101:
			got = append(got, u.Message.Text)
		}
	}
	if diff := cmp.Diff([]string{"first", "second", "edit: first, better"}, got); diff != "" {
		t.Error(diff)
	}
}

func TestMaxConnections(t *testing.T) {
	w := newWorld(t, standin.Config{})
	hold := make(chan struct{})
	var now, most atomic.Int64
	w.listen(func(models.Update, http.ResponseWriter) {
		n := now.Add(1)
		for {
			m := most.Load()
			if n <= m || most.CompareAndSwap(m, n) {
				break
			}
		}
		<-hold
		now.Add(-1)
	}, func(p *tg.SetWebhookParams) { p.MaxConnections = 2 })
	for i := range int64(5) {
		w.customer(101+i, "Somebody")
	}
	w.until("two are under way", func() bool { return w.Deliveries().Requests == 2 })
	close(hold)
	w.quiet()
	if most.Load() > 2 {
		t.Errorf("%d at once, want at most 2", most.Load())
	}
}

// After the first failure at once, then 2, 4, 8 … seconds, at most 60 without
// chance: WebhookActor::on_update_error. Nothing is tried before its time.
func TestRetryDelays(t *testing.T) {
	w := newWorld(t, standin.Config{})
	h := w.listen(refuse(http.StatusServiceUnavailable))
	w.customer(101, "Mia")
	waits := []int{0, 0, 2, 4, 8, 16, 32, 60, 60, 60}
	var want []time.Duration
	at := time.Duration(0)
	for i, wait := range waits {
		if wait > 0 {
			w.dueIn(wait) // a jump of the clock alone would hide a try that comes too early
			w.clock.Advance(time.Duration(wait) * time.Second)
		}
		at += time.Duration(wait) * time.Second
		want = append(want, at)
		w.until(fmt.Sprint("failure ", i+1), func() bool { return w.Deliveries().Failed >= i+1 })
	}
	if diff := cmp.Diff(want, h.waits()); diff != "" {
		t.Error(diff)
	}
	info, err := w.client.GetWebhookInfo(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if info.PendingUpdateCount != 1 || info.LastErrorMessage != "Wrong response from the webhook: 503 Service Unavailable" || int64(info.LastErrorDate) != w.clock.Now().Unix() {
		t.Errorf("%+v", info)
	}
}

// Retry-After is honoured up to an hour, and does not spend the other delays.
func TestRetryAfter(t *testing.T) {
	w := newWorld(t, standin.Config{})
	ask := []string{"30", "5000", "", ""}
	n := 0
	h := w.listen(func(_ models.Update, rw http.ResponseWriter) {
		if n < len(ask) {
			rw.Header().Set("Retry-After", ask[n])
			rw.WriteHeader(http.StatusServiceUnavailable)
		}
		n++
	})
	w.customer(101, "Mia")
	for i, wait := range []int{30, 3600, 2, 4} {
		w.until("a failure", func() bool { return w.Deliveries().Failed == i+1 })
		w.dueIn(wait)
		w.clock.Advance(time.Duration(wait) * time.Second)
	}
	w.quiet()
	want := []time.Duration{0, 30 * time.Second, 3630 * time.Second, 3632 * time.Second, 3636 * time.Second}
	if diff := cmp.Diff(want, h.waits()); diff != "" {
		t.Error(diff)
	}
}

// Any 2xx is done; a redirect is a failure.
func TestWhatCountsAsAccepted(t *testing.T) {
	for status, want := range map[int]bool{200: true, 204: true, 299: true, 301: false, 307: false, 400: false, 401: false, 500: false} {
		w := newWorld(t, standin.Config{})
		w.listen(func(_ models.Update, rw http.ResponseWriter) {
			rw.Header().Set("Location", "/elsewhere")
			rw.WriteHeader(status)
		})
		w.customer(101, "Mia")
		w.until("a try", func() bool { d := w.Deliveries(); return d.Accepted+d.Failed > 0 })
		if got := w.Deliveries().Accepted == 1; got != want {
			t.Errorf("%d: accepted %v, want %v", status, got, want)
		}
	}
}

// A bot that does not answer within 60 seconds is brought the update again.
func TestAnswerLimit(t *testing.T) {
	w := newWorld(t, standin.Config{})
	arrived, hold := make(chan struct{}, 9), make(chan struct{})
	h := w.listen(func(models.Update, http.ResponseWriter) { arrived <- struct{}{}; <-hold })
	w.customer(101, "Mia")
	<-arrived
	w.clock.Advance(59 * time.Second)
	if got := w.Deliveries().Failed; got != 0 {
		t.Errorf("after 59 s %d failures", got)
	}
	w.clock.Advance(time.Second)
	<-arrived
	close(hold)
	w.quiet()
	if got := h.texts(); len(got) != 2 || got[0] != got[1] {
		t.Errorf("delivered %q", got)
	}
	if d := w.Deliveries(); d.Failed != 1 || d.Accepted != 1 {
		t.Errorf("%+v", d)
	}
}

// Taps live 150 seconds, messages 24 hours: Client.cpp, add_update.
func TestOldUpdatesAreLost(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.listen(nil)
	mia := w.customer(101, "Mia")
	w.call("sendMessage", object{"chat_id": 101, "text": "Which?", "reply_markup": button(object{"text": "Go", "callback_data": "g"})})
	w.quiet()
	if _, err := w.client.DeleteWebhook(t.Context(), &tg.DeleteWebhookParams{}); err != nil {
		t.Fatal(err)
	}
	mia.Say("Are you there?")
	if err := mia.Tap(0, "Go"); err != nil {
		t.Fatal(err)
	}
	w.clock.Advance(149 * time.Second)
	if n := w.Waiting(); n != 2 {
		t.Errorf("after 149 s %d are waiting, want 2", n)
	}
	w.clock.Advance(time.Second)
	w.until("the tap is lost", func() bool { return len(w.Lost()) == 1 })
	if got := w.Lost()[0]; got.Kind != "callback_query" || got.Chat != 101 || !got.At.Equal(w.clock.Now()) {
		t.Errorf("%+v", got)
	}
	w.clock.Set(start.Add(24*time.Hour - time.Second))
	if n := w.Waiting(); n != 1 {
		t.Errorf("after almost 24 h %d are waiting, want 1", n)
	}
	w.clock.Advance(time.Second)
	w.until("the message is lost", func() bool { return len(w.Lost()) == 2 })
	w.quiet()
	events, _ := w.Since(0)
	if last := events[len(events)-1]; last.Kind != standin.Unavailable || last.Text != "message" {
		t.Errorf("the last event is %+v", last)
	}
}

// An update whose next try would come too late is given up at once:
// WebhookActor::on_update_error.
func TestNoTryAfterExpiry(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.listen(func(u models.Update, rw http.ResponseWriter) {
		if u.CallbackQuery != nil {
			rw.Header().Set("Retry-After", "151")
			rw.WriteHeader(http.StatusServiceUnavailable)
		}
	})
	w.customer(101, "Mia").TapData(1, "g")
	w.quiet()
	if got := w.Lost(); len(got) != 1 || !got[0].At.Equal(start) {
		t.Errorf("%+v", got)
	}
}

// 410 for 23 hours takes the webhook away: WEBHOOK_DROP_TIMEOUT.
func TestGone(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.listen(func(_ models.Update, rw http.ResponseWriter) {
		rw.Header().Set("Retry-After", "3600")
		rw.WriteHeader(http.StatusGone)
	})
	w.customer(101, "Mia")
	url := func() string {
		info, err := w.client.GetWebhookInfo(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return info.URL
	}
	for hour := range 23 {
		w.until("a failure", func() bool { return w.Deliveries().Failed == hour+1 })
		if url() == "" {
			t.Fatalf("taken away after %d hours", hour)
		}
		w.clock.Advance(time.Hour)
	}
	w.until("the last failure", func() bool { return w.Deliveries().Failed == 24 })
	if url() != "" {
		t.Error("still there after 23 hours")
	}
}

// The answer to an update may be a call, except those that ask something or
// change where updates go (core.telegram.org/bots/faq; WebhookActor.cpp).
func TestCallAsAnswer(t *testing.T) {
	w := newWorld(t, standin.Config{})
	answers := []string{
		`{"method":"sendMessage","chat_id":101,"text":"At once"}`,
		`{"method":"deleteWebhook"}`, `{"method":"getMe"}`, `not JSON`, `{"ok":true}`, ``,
		`{"method":"sendMessage","chat_id":999,"text":"To nobody"}`,
	}
	n := 0
	w.listen(func(_ models.Update, rw http.ResponseWriter) {
		fmt.Fprint(rw, answers[n])
		n++
	})
	mia := w.customer(101, "Mia")
	for range len(answers) - 1 {
		mia.Say("Go on")
	}
	w.quiet()
	var said []string
	for _, l := range mia.Chat() {
		if l.Bot {
			said = append(said, l.Text)
		}
	}
	if diff := cmp.Diff([]string{"At once"}, said); diff != "" {
		t.Error(diff)
	}
	want := map[string]standin.Count{"sendMessage": {Calls: 2, Refused: 1}, "setWebhook": {Calls: 1}}
	if diff := cmp.Diff(want, w.Calls()); diff != "" {
		t.Error(diff)
	}
}

func TestAllowedUpdates(t *testing.T) {
	w := newWorld(t, standin.Config{})
	h := w.listen(nil, func(p *tg.SetWebhookParams) { p.AllowedUpdates = []string{"callback_query"} })
	mia := w.customer(101, "Mia")
	mia.TapData(1, "g")
	w.quiet()
	if got := h.updates(); len(got) != 1 || got[0].CallbackQuery == nil {
		t.Errorf("%d updates", len(got))
	}
	w.call("setWebhook", object{"url": h.url, "secret_token": "a-secret"}) // left out: as before
	mia.Say("Hello")
	w.call("setWebhook", object{"url": h.url, "secret_token": "a-secret", "allowed_updates": []string{}})
	mia.Say("Hello again")
	w.quiet()
	if diff := cmp.Diff([]string{"Hello again"}, h.texts()); diff != "" {
		t.Error(diff)
	}
}

func TestDropPending(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.customer(101, "Mia")
	h := w.listen(nil, func(p *tg.SetWebhookParams) { p.DropPendingUpdates = true })
	w.quiet()
	if got := h.texts(); len(got) != 0 {
		t.Errorf("delivered %q", got)
	}
}

func TestQuietGivesUp(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.customer(101, "Mia")
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if err := w.Quiet(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	go w.Close()
	if err := w.Quiet(t.Context()); err == nil {
		t.Error("quiet with an update waiting, after closing")
	}
}

// dueIn checks in how many seconds the next try is due.
func (w *world) dueIn(seconds int) {
	w.t.Helper()
	at, waiting := w.Due()
	if want := w.clock.Now().Add(time.Duration(seconds) * time.Second); !waiting || !at.Equal(want) {
		w.t.Errorf("the next try is due at %v (%v), want %v", at, waiting, want)
	}
}
