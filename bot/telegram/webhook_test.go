package telegram_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/telegram"
)

// unreadable is a body nobody may look at.
type unreadable struct{ t *testing.T }

func (u unreadable) Read([]byte) (int, error) {
	u.t.Error("the body was read")
	return 0, io.EOF
}

const greeting = `{"update_id":7,"message":{"message_id":1,"date":1763923200,"chat":{"id":101,"type":"private"},"from":{"id":101,"first_name":"Mia"},"text":"Hello"}}`

// post makes a request to the webhook as the platform does.
func post(h http.Handler, body io.Reader, shown string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, "/telegram", body)
	if shown != "" {
		r.Header.Set("X-Telegram-Bot-Api-Secret-Token", shown)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

// failing is a handler whose call fails the test.
func failing(t *testing.T) func(context.Context, bot.Event) (string, error) {
	return func(context.Context, bot.Event) (string, error) {
		t.Error("handled")
		return "", nil
	}
}

func TestOnlyThePlatformIsLetIn(t *testing.T) {
	for _, c := range []struct{ name, secret, shown string }{
		{"none", secret, ""},
		{"wrong", secret, "guess"},
		{"beginning", secret, secret[:len(secret)-1]},
		{"longer", secret, secret + "x"},
		{"case", secret, strings.ToUpper(secret)},
		{"not configured", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := &telegram.Webhook{Secret: c.secret, Handle: failing(t), Log: (&logged{}).logger()}
			got := post(h, unreadable{t}, c.shown)
			if got.Code != http.StatusUnauthorized || got.Body.Len() != 0 {
				t.Errorf("answered %d %q, want 401 and nothing else", got.Code, got.Body)
			}
		})
	}
}

func TestRequestsThatAreNoUpdates(t *testing.T) {
	h := &telegram.Webhook{Secret: secret, Handle: failing(t), Log: (&logged{}).logger()}
	for _, method := range []string{http.MethodGet, http.MethodHead, http.MethodPut, http.MethodDelete} {
		r := httptest.NewRequest(method, "/telegram", unreadable{t})
		r.Header.Set("X-Telegram-Bot-Api-Secret-Token", secret)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != http.StatusMethodNotAllowed || w.Header().Get("Allow") != "POST" {
			t.Errorf("%s: %d, Allow %q; want 405, POST", method, w.Code, w.Header().Get("Allow"))
		}
	}
	if got := post(h, bytes.NewReader(make([]byte, 2<<20)), secret); got.Code != http.StatusRequestEntityTooLarge {
		t.Errorf("2 MiB: %d, want 413", got.Code)
	}
	if got := post(h, io.MultiReader(strings.NewReader(`{"upd`), broken{}), secret); got.Code != http.StatusBadRequest {
		t.Errorf("cut off: %d, want 400", got.Code)
	}
}

// broken is a connection that ends early.
type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

func TestLargeUpdateIsTaken(t *testing.T) {
	var got []string
	h := &telegram.Webhook{Secret: secret, Log: (&logged{}).logger(), Handle: func(_ context.Context, e bot.Event) (string, error) {
		got = append(got, e.Op)
		return "", nil
	}}
	padded := greeting[:1] + strings.Repeat(" ", 1<<20-len(greeting)) + greeting[1:]
	if answer := post(h, strings.NewReader(padded), secret); answer.Code != http.StatusOK {
		t.Errorf("1 MiB: %d, want 200", answer.Code)
	}
	if diff := cmp.Diff([]string{"u7"}, got); diff != "" {
		t.Errorf("handled (-want +got):\n%s", diff)
	}
}

func TestUndecodableUpdateIsKept(t *testing.T) {
	type kept struct{ op, raw string }
	for _, raw := range []string{``, `{`, `[]`, `"x"`, `{"update_id":"seven"}`, `{"message":{}}`, `{"update_id":7,"message":{"chat":{"id":"x"}}}`} {
		var got []kept
		var fails error
		log := &logged{}
		h := &telegram.Webhook{Secret: secret, Handle: failing(t), Log: log.logger(),
			Undecodable: func(_ context.Context, op string, raw []byte, cause error) error {
				if cause == nil {
					t.Error("kept without a cause")
				}
				got = append(got, kept{op, string(raw)})
				return fails
			}}
		first := post(h, strings.NewReader(raw), secret)
		fails = errors.New("no store")
		second := post(h, strings.NewReader(raw), secret)
		if first.Code != http.StatusOK || second.Code != http.StatusServiceUnavailable {
			t.Errorf("%s: answered %d, and %d when it cannot be kept; want 200, 503", raw, first.Code, second.Code)
		}
		if len(got) != 2 || got[0] != got[1] || got[0].raw != raw || got[0].op == "" {
			t.Errorf("%s: kept as %v, want the bytes under the same name", raw, got)
		}
	}
	h := &telegram.Webhook{Secret: secret, Handle: failing(t), Log: (&logged{}).logger()}
	if got := post(h, strings.NewReader("{"), secret); got.Code != http.StatusOK {
		t.Errorf("nobody keeps it: %d, want 200", got.Code)
	}
}

func TestHandledBeforeAcknowledged(t *testing.T) {
	log := &logged{}
	var done []string
	var fails error
	h := &telegram.Webhook{Secret: secret, Log: log.logger(), Point: func(name, op string) { done = append(done, name+" "+op) },
		Handle: func(context.Context, bot.Event) (string, error) {
			done = append(done, "handled")
			return "", fails
		}}
	if got := post(h, strings.NewReader(greeting), secret); got.Code != http.StatusOK {
		t.Errorf("answered %d, want 200", got.Code)
	}
	if diff := cmp.Diff([]string{"handled", "ack:before u7", "ack:after u7"}, done); diff != "" {
		t.Errorf("order (-want +got):\n%s", diff)
	}
	fails = errors.New("no store")
	got := post(h, strings.NewReader(greeting), secret)
	if got.Code != http.StatusServiceUnavailable || got.Header().Get("Retry-After") != "1" {
		t.Errorf("answered %d, Retry-After %q; want 503, 1", got.Code, got.Header().Get("Retry-After"))
	}
	log.without(t, "Hello", "Mia")
}

func TestPanicIsAFailure(t *testing.T) {
	log := &logged{}
	h := &telegram.Webhook{Secret: secret, Log: log.logger(), Handle: func(context.Context, bot.Event) (string, error) { panic("Hello") }}
	got := post(h, strings.NewReader(greeting), secret)
	if got.Code != http.StatusServiceUnavailable || got.Header().Get("Retry-After") != "1" {
		t.Errorf("answered %d, Retry-After %q; want 503, 1", got.Code, got.Header().Get("Retry-After"))
	}
	if !strings.Contains(log.String(), "TestPanicIsAFailure") {
		t.Error("the stack was not logged")
	}
	log.without(t, `"Hello"`, "=Hello")
}

// Whoever brings an update may hang up; it is carried through all the same.
func TestHandleOutlivesItsRequest(t *testing.T) {
	h := &telegram.Webhook{Secret: secret, Log: (&logged{}).logger(), Handle: func(ctx context.Context, _ bot.Event) (string, error) {
		if _, limited := ctx.Deadline(); !limited {
			t.Error("no deadline")
		}
		return "", ctx.Err()
	}}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := h.Take(ctx, json.RawMessage(greeting)); err != nil {
		t.Error(err)
	}
}

// hook registers a webhook with the stand-in.
func (w *world) hook(handle func(context.Context, bot.Event) (string, error)) *telegram.Webhook {
	w.t.Helper()
	h := &telegram.Webhook{Secret: secret, Client: w.client, Handle: handle, Log: w.log.logger()}
	server := httptest.NewServer(h)
	w.t.Cleanup(func() {
		w.Close()
		server.Close()
		h.Wait()
	})
	if err := w.client.Register(context.Background(), server.URL, secret); err != nil {
		w.t.Fatal(err)
	}
	return h
}

func (w *world) quiet() {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	if err := w.Quiet(ctx); err != nil {
		w.t.Fatal(err)
	}
}

// toasts are the answers to taps so far.
func (w *world) toasts() (texts []string) {
	events, _ := w.Since(0)
	for _, e := range events {
		if e.Kind == standin.Toast {
			texts = append(texts, e.Text)
		}
	}
	return texts
}

func TestUpdatesOfEveryKindOverHTTP(t *testing.T) {
	w := newWorld(t, standin.Config{})
	var got []string
	w.hook(func(_ context.Context, e bot.Event) (string, error) {
		got = append(got, fmt.Sprintf("%d %T", e.Chat, e.What))
		return "", nil
	})
	p := w.Person(mia, "Mia")
	id := p.Say("Hello")
	w.quiet()
	for _, do := range []func(){
		func() { p.Edit(id, "Hello!") }, func() { p.SendPhoto(picture(t), "") }, func() { p.SendFile("car.jpg", "image/jpeg", picture(t)) },
		func() { p.SendLocation(51.5, -0.1) }, func() { p.SendSticker("🚗") }, func() { p.SendVoice(3) }, func() { p.TapData(999, "x") },
		p.Block, p.Unblock, func() { p.SendFile("list.pdf", "application/pdf", []byte("%PDF")) },
	} {
		do()
		w.quiet()
	}
	want := []string{"bot.Text", "bot.Text", "bot.Photo", "bot.Photo", "bot.Place", "bot.Other", "bot.Other", "bot.Tap", "bot.Membership", "bot.Membership", "bot.Other"}
	for i := range want {
		want[i] = "101 " + want[i]
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("events (-want +got):\n%s", diff)
	}
}

// R9 of the failure list this was built against: every press is answered once.
func TestTapIsAnsweredOnce(t *testing.T) {
	for _, c := range []struct {
		name string
		// handle returns what the n-th try gives; answered is closed once the
		// platform has an answer.
		handle   func(n int, answered <-chan struct{}) (string, error)
		disorder standin.Disorder
		want     string
		fails    bool
	}{
		{name: "quick", handle: func(int, <-chan struct{}) (string, error) { return "Noted", nil }, want: "Noted"},
		{name: "quick without words", handle: func(int, <-chan struct{}) (string, error) { return "", nil }},
		{name: "slow", handle: func(_ int, answered <-chan struct{}) (string, error) { <-answered; return "Too late", nil }},
		{name: "fails once", handle: func(n int, _ <-chan struct{}) (string, error) {
			if n == 1 {
				return "", errors.New("no store")
			}
			return "Noted", nil
		}, want: "Noted"},
		{name: "fails", fails: true, handle: func(int, <-chan struct{}) (string, error) { return "", errors.New("no store") }},
		{name: "panics", fails: true, handle: func(int, <-chan struct{}) (string, error) { panic("odd") }},
		{name: "three copies together", disorder: standin.Disorder{Copies: 3, Together: true}, want: "Noted",
			handle: func(int, <-chan struct{}) (string, error) { return "Noted", nil }},
		{name: "three copies in turn", disorder: standin.Disorder{Copies: 3}, want: "Noted",
			handle: func(n int, _ <-chan struct{}) (string, error) {
				if n == 1 {
					return "Noted", nil
				}
				return "", nil
			}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t, standin.Config{})
			answered := make(chan struct{})
			tries := make(chan int, 1)
			tries <- 0
			h := w.hook(func(_ context.Context, e bot.Event) (string, error) {
				if _, ok := e.What.(bot.Tap); !ok {
					return "", nil
				}
				n := <-tries + 1
				tries <- n
				return c.handle(n, answered)
			})
			p := w.customer(mia)
			w.quiet()
			w.SetDisorder(c.disorder)
			began := time.Now()
			p.TapData(999, "x")
			if c.name == "fails once" {
				w.until("the first try has failed", func() bool { return w.Deliveries().Failed == 1 })
				w.clock.Advance(time.Second)
			}
			w.until("the tap is answered", func() bool { return w.Unanswered() == 0 })
			if took := time.Since(began); took > 2*time.Second {
				t.Logf("answered after %v, want 2s at most on a machine with nothing else to do", took)
			}
			close(answered)
			if c.fails {
				w.until("the platform has tried again", func() bool { w.clock.Advance(time.Second); return w.Deliveries().Failed >= 3 })
			} else {
				w.quiet()
			}
			w.Close()
			h.Wait()
			if diff := cmp.Diff([]string{c.want}, w.toasts()); diff != "" {
				t.Errorf("answers (-want +got):\n%s", diff)
			}
			if got := w.Calls()["answerCallbackQuery"]; got != (standin.Count{Calls: 1}) {
				t.Errorf("calls: %+v, want one", got)
			}
		})
	}
}

func TestTapOutsideAPrivateChatStopsSpinning(t *testing.T) {
	w := newWorld(t, standin.Config{})
	h := w.hook(failing(t))
	w.Inject("callback_query", mia, map[string]any{"id": "1", "from": map[string]any{"id": mia, "first_name": "Mia"}, "data": "x",
		"message": map[string]any{"message_id": 3, "date": 1, "chat": map[string]any{"id": -5, "type": "group"}}})
	w.quiet()
	h.Wait()
	if got := w.Calls()["answerCallbackQuery"].Calls; got != 1 {
		t.Errorf("answered %d times, want once", got)
	}
}

// An answer that is refused, or never answered, holds nothing up.
func TestRefusedAnswerToATapIsForgotten(t *testing.T) {
	w := newWorld(t, standin.Config{})
	h := w.hook(func(context.Context, bot.Event) (string, error) { return "Noted", nil })
	p := w.customer(mia)
	w.quiet()
	w.Fault("answerCallbackQuery", standin.Fault{Times: 1, Status: 400,
		Description: "Bad Request: query is too old and response timeout expired or query ID is invalid"})
	w.Fault("answerCallbackQuery", standin.Fault{Times: 1, DropBefore: true})
	p.TapData(999, "x")
	p.TapData(999, "y")
	w.quiet()
	h.Wait()
	if got := w.Calls()["answerCallbackQuery"].Calls; got != 2 {
		t.Errorf("called %d times, want once for each tap", got)
	}
	if got := w.Deliveries(); got.Failed != 0 || got.Accepted != 3 {
		t.Errorf("deliveries %+v, want 3 accepted and none failed", got)
	}
	for _, level := range []string{"level=WARN", "level=ERROR"} {
		w.log.without(t, level)
	}
}

// R1, R19: copies are the desk's to tell apart; a flood with the right secret is
// not turned away.
func TestManyUpdates(t *testing.T) {
	w := newWorld(t, standin.Config{})
	seen := make(chan string, 1000)
	w.hook(func(_ context.Context, e bot.Event) (string, error) { seen <- e.Op; return "", nil })
	for chat := int64(1); chat <= 50; chat++ {
		for range 4 {
			w.Person(chat, "Mia").Say("Hello")
		}
	}
	w.quiet()
	if len(seen) != 200 || w.Deliveries().Failed != 0 {
		t.Errorf("handled %d of 200, %d deliveries failed", len(seen), w.Deliveries().Failed)
	}
}
