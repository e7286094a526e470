package telegram_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/telegram"
)

// texts reads what an update says.
func texts(t *testing.T, raw json.RawMessage) string {
	t.Helper()
	e, ours, err := telegram.Decode(raw)
	said, ok := e.What.(bot.Text)
	if err != nil || !ours || !ok {
		t.Errorf("update %s: %v", raw, err)
	}
	return said.Body
}

// poll polls until it is told to stop, in the background.
func (w *world) poll(take func(context.Context, json.RawMessage) error) (stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- w.client.Poll(ctx, take, w.log.logger()) }()
	return func() {
		w.t.Helper()
		cancel()
		if err := <-ended; !errors.Is(err, context.Canceled) {
			w.t.Errorf("polling ended with %v", err)
		}
	}
}

func TestPoll(t *testing.T) {
	w := newWorld(t, standin.Config{})
	// A webhook is in the way: the platform answers 409 while there is one.
	if err := w.client.Register(context.Background(), "http://127.0.0.1:1/telegram", secret); err != nil {
		t.Fatal(err)
	}
	p := w.Person(mia, "Mia")
	p.Say("one")
	p.Say("two")
	got := make(chan string, 10)
	fail := true
	stop := w.poll(func(_ context.Context, raw json.RawMessage) error {
		text := texts(t, raw)
		if text == "two" && fail {
			fail = false
			got <- "failed"
			return errors.New("no store")
		}
		got <- text
		return nil
	})
	want := []string{"one", "failed", "two"}
	for _, text := range want {
		if next := receive(t, got); next != text {
			t.Fatalf("took %q, want %q", next, text)
		}
	}
	p.Say("three") // comes to a poll that is waiting
	if next := receive(t, got); next != "three" {
		t.Fatalf("took %q, want three", next)
	}
	w.until("everything is confirmed", func() bool { return w.Waiting() == 0 })
	stop()
	if len(got) != 0 {
		t.Errorf("took %q besides", <-got)
	}
	w.log.without(t, "one", "two", "three")
}

func receive(t *testing.T, from <-chan string) string {
	t.Helper()
	select {
	case s := <-from:
		return s
	case <-time.After(patience):
		t.Fatal("nothing came")
		return ""
	}
}

// Whenever the process ends, what was not taken comes to the next one, in order.
func TestPollAfterARestart(t *testing.T) {
	for after := range 4 {
		t.Run(fmt.Sprintf("after %d", after), func(t *testing.T) {
			w := newWorld(t, standin.Config{})
			var want []string
			for i := range 4 {
				want = append(want, fmt.Sprint("message ", i))
				w.Person(mia, "Mia").Say(want[i])
			}
			var got []string
			ctx, cancel := context.WithCancel(context.Background())
			err := w.client.Poll(ctx, func(_ context.Context, raw json.RawMessage) error {
				if len(got) == after {
					cancel()
					return ctx.Err()
				}
				got = append(got, texts(t, raw))
				return nil
			}, w.log.logger())
			if !errors.Is(err, context.Canceled) {
				t.Fatal(err)
			}
			// Taken but not confirmed: those come twice, which the desk tells apart.
			again := make(chan string, 10)
			stop := w.poll(func(_ context.Context, raw json.RawMessage) error { again <- texts(t, raw); return nil })
			w.until("everything is confirmed", func() bool { return w.Waiting() == 0 })
			stop()
			close(again)
			seen := map[string]bool{}
			for _, text := range got {
				seen[text] = true
			}
			for text := range again {
				if !seen[text] {
					seen[text] = true
					got = append(got, text)
				}
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("taken (-want +got):\n%s", diff)
			}
		})
	}
}

func TestPollWithAWrongToken(t *testing.T) {
	w := newWorld(t, standin.Config{})
	c, err := telegram.NewClient("1000:another", w.server.URL)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	err = c.Poll(context.Background(), func(context.Context, json.RawMessage) error { return nil }, w.log.logger())
	if err == nil {
		t.Error("no error")
	}
}

// The library's reading of a batch fails on one kind it does not know; ours
// leaves that to whoever takes the updates.
func TestPollOfWhatNobodyKnows(t *testing.T) {
	w := newWorld(t, standin.Config{})
	p := w.Person(mia, "Mia")
	p.Say("before")
	w.Inject("my_chat_member", mia, map[string]any{"chat": "odd", "new_chat_member": map[string]any{"status": "tomorrow's"}})
	p.Say("after")
	var handled []string
	kept := 0
	h := &telegram.Webhook{Client: w.client, Log: w.log.logger(),
		Handle:      func(_ context.Context, e bot.Event) (string, error) { handled = append(handled, e.Op); return "", nil },
		Undecodable: func(context.Context, string, []byte, error) error { kept++; return nil },
	}
	stop := w.poll(h.Take)
	w.until("everything is confirmed", func() bool { return w.Waiting() == 0 })
	stop()
	if diff := cmp.Diff([]string{"u1", "u3"}, handled); diff != "" || kept != 1 {
		t.Errorf("kept %d, handled (-want +got):\n%s", kept, diff)
	}
}

// After a quiet week numbers may start anew, below an offset that was kept
// (core.telegram.org/bots/api#update): none may be sent that confirms nothing.
func TestPollKeepsNoOffset(t *testing.T) {
	offsets := make(chan int64)
	answers := make(chan string)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		var call struct {
			Offset  int64    `json:"offset"`
			Allowed []string `json:"allowed_updates"`
		}
		if err := json.NewDecoder(r.Body).Decode(&call); err != nil { // deleteWebhook's form
			fmt.Fprint(w, `{"ok":true,"result":true}`)
			return
		}
		if len(call.Allowed) != 4 {
			t.Errorf("asked for %v", call.Allowed)
		}
		select {
		case offsets <- call.Offset:
			fmt.Fprintf(w, `{"ok":true,"result":[%s]}`, <-answers)
		case <-r.Context().Done():
		}
	}))
	defer server.Close()
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() {
		ended <- newClient(t, server.URL).Poll(ctx, func(context.Context, json.RawMessage) error { return nil }, (&logged{}).logger())
	}()
	for i, c := range []struct {
		want   int64
		answer string
	}{{0, `{"update_id":900}`}, {901, ``}, {0, `{"update_id":5},{"update_id":6}`}, {7, ``}, {0, ``}} {
		if got := <-offsets; got != c.want {
			t.Errorf("request %d: offset %d, want %d", i, got, c.want)
		}
		answers <- c.answer
	}
	cancel()
	<-ended
}
