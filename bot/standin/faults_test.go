package standin_test

import (
	"context"
	"errors"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
)

func (w *world) send(text string) error {
	_, err := w.client.SendMessage(w.t.Context(), &tg.SendMessageParams{ChatID: 101, Text: text})
	return err
}

// heard is what the bot has said to a person.
func heard(p *standin.Person) (all []string) {
	for _, l := range p.Chat() {
		if l.Bot {
			all = append(all, l.Text)
		}
	}
	return all
}

func TestFaults(t *testing.T) {
	tests := []struct {
		name    string
		fault   standin.Fault
		effect  bool
		check   func(error) bool
		refused string
	}{
		{"server error", standin.Fault{Status: 500}, false, func(err error) bool { return strings.Contains(err.Error(), "500 Internal Server Error") }, "Internal Server Error"},
		{"forbidden", standin.Fault{Status: 403, Description: "Forbidden: user is deactivated"}, false, func(err error) bool { return errors.Is(err, tg.ErrorForbidden) }, "Forbidden: user is deactivated"},
		{"a proxy's page", standin.Fault{HTML: true}, false, func(err error) bool { return strings.Contains(err.Error(), "<html>") }, "Bad Gateway"},
		{"cut before", standin.Fault{DropBefore: true}, false, func(err error) bool { return errors.Is(err, io.EOF) }, "Bad Gateway"},
		{"cut after", standin.Fault{DropAfter: true}, true, func(err error) bool { return errors.Is(err, io.EOF) }, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			w := newWorld(t, standin.Config{})
			mia := w.customer(101, "Mia")
			tt.fault.Times = 1
			w.Fault("sendMessage", tt.fault)
			if _, err := w.client.GetMe(t.Context()); err != nil {
				t.Errorf("another method met it: %v", err)
			}
			if err := w.send("first"); err == nil || !tt.check(err) {
				t.Errorf("got %v", err)
			}
			if err := w.send("second"); err != nil {
				t.Errorf("met it twice: %v", err)
			}
			want := []string{"second"}
			if tt.effect {
				want = []string{"first", "second"}
			}
			if diff := cmp.Diff(want, heard(mia)); diff != "" {
				t.Error(diff)
			}
			refused := w.Refusals()
			if tt.refused == "" {
				if len(refused) != 0 {
					t.Errorf("refusals: %+v", refused)
				}
			} else if len(refused) != 1 || !refused[0].Fault || refused[0].Description != tt.refused || refused[0].Chat != 101 {
				t.Errorf("refusals: %+v", refused)
			}
		})
	}
}

// A 429 holds for that chat until its time, and for no other.
func TestFault429Holds(t *testing.T) {
	w := newWorld(t, standin.Config{})
	mia := w.customer(101, "Mia")
	w.customer(102, "Ben")
	w.Fault("", standin.Fault{Times: 1, Chat: 101, Status: 429, RetryAfter: 30})
	for _, left := range []int{30, 30, 20, 1} {
		var tooMany *tg.TooManyRequestsError
		if err := w.send("Hello"); !errors.As(err, &tooMany) || tooMany.RetryAfter != left {
			t.Errorf("got %v, want to wait %d s", err, left)
		}
		switch left {
		case 20:
			w.clock.Advance(19500 * time.Millisecond)
		case 30:
			if len(w.Refusals()) == 2 {
				w.clock.Advance(10 * time.Second)
			}
		}
	}
	if r := w.call("sendMessage", object{"chat_id": 102, "text": "Hello"}); !r.OK {
		t.Errorf("another chat: %+v", r)
	}
	w.clock.Advance(500 * time.Millisecond)
	if err := w.send("Hello"); err != nil {
		t.Errorf("after its time: %v", err)
	}
	if got := heard(mia); len(got) != 1 {
		t.Errorf("heard %q", got)
	}
}

// A slow answer comes when the clock says so, and the caller may go before.
func TestFaultDelay(t *testing.T) {
	w := newWorld(t, standin.Config{})
	mia := w.customer(101, "Mia")
	w.Fault("sendMessage", standin.Fault{Delay: 20 * time.Second})
	done := make(chan error, 1)
	go func() { done <- w.send("slowly") }()
	w.until("the effect", func() bool { return len(heard(mia)) == 1 })
	w.waitsUntil(start.Add(20 * time.Second))
	select {
	case err := <-done:
		t.Fatalf("answered at once: %v", err)
	default:
	}
	w.clock.Advance(20 * time.Second)
	if err := <-done; err != nil {
		t.Errorf("late: %v", err)
	}
	ctx, stop := context.WithCancel(t.Context())
	go func() {
		_, err := w.client.SendMessage(ctx, &tg.SendMessageParams{ChatID: 101, Text: "too slowly"})
		done <- err
	}()
	w.until("the effect of what is given up", func() bool { return len(heard(mia)) == 2 })
	stop()
	if err := <-done; !errors.Is(err, context.Canceled) {
		t.Errorf("given up: %v", err)
	}
	w.ClearFaults()
	if err := w.send("quickly"); err != nil {
		t.Error(err)
	}
	if diff := cmp.Diff([]string{"slowly", "too slowly", "quickly"}, heard(mia)); diff != "" {
		t.Error(diff)
	}
}

func TestFaultsOfDownloads(t *testing.T) {
	w := newWorld(t, standin.Config{})
	data := jpegOf(t, 300, 200)
	if _, err := w.Person(101, "Mia").SendPhoto(data, ""); err != nil {
		t.Fatal(err)
	}
	file, err := w.client.GetFile(t.Context(), &tg.GetFileParams{FileID: w.Person(101, "").Chat()[0].File})
	if err != nil {
		t.Fatal(err)
	}
	link := w.client.FileDownloadLink(file)
	w.Fault(standin.Download, standin.Fault{Times: 1, Status: 503})
	w.Fault(standin.Download, standin.Fault{Times: 1, DropAfter: true})
	if r, err := w.http.Get(link); err != nil || r.StatusCode != http.StatusServiceUnavailable {
		t.Errorf("%v %v", r, err)
	} else {
		r.Body.Close()
	}
	r, err := w.http.Get(link)
	if err != nil {
		t.Fatal(err)
	}
	got, err := io.ReadAll(r.Body)
	r.Body.Close()
	if !errors.Is(err, io.ErrUnexpectedEOF) || len(got) != len(data)/2 {
		t.Errorf("%d of %d bytes, %v", len(got), len(data), err)
	}
	if diff := cmp.Diff(data, w.download(link)); diff != "" {
		t.Error("the third download differs")
	}
	if got := w.Calls()[standin.Download]; got != (standin.Count{Calls: 3, Refused: 1}) {
		t.Errorf("%+v", got)
	}
}

// About one message a second in a chat and thirty in all
// (core.telegram.org/bots/faq#my-bot-is-hitting-limits-how-do-i-avoid-this).
func TestStrictRates(t *testing.T) {
	w := newWorld(t, standin.Config{Strict: true})
	for i := range int64(32) {
		w.customer(101+i, "Somebody")
	}
	send := func(chat int64) reply {
		return w.call("sendMessage", object{"chat_id": chat, "text": "Hello"})
	}
	first := send(101)
	if !first.OK {
		t.Fatal(first)
	}
	edit := object{"chat_id": 101, "message_id": w.Person(101, "").Chat()[1].ID, "text": "Hello!"}
	for _, r := range []reply{send(101), w.call("editMessageText", edit)} { // edits count too: tdlib/telegram-bot-api#648
		if r.Code != 429 || r.Parameters.RetryAfter != 1 || r.Description != "Too Many Requests: retry after 1" {
			t.Errorf("%+v", r)
		}
	}
	for _, r := range []reply{w.call("sendChatAction", object{"chat_id": 101, "action": "typing"}), w.call("deleteMessage", object{"chat_id": 101, "message_id": 1})} {
		if !r.OK {
			t.Errorf("not a message, but refused: %+v", r)
		}
	}
	for i := range int64(29) {
		if r := send(102 + i); !r.OK {
			t.Errorf("message %d: %+v", i+2, r)
		}
	}
	if r := send(131); r.Code != 429 {
		t.Errorf("the 31st in a second: %+v", r)
	}
	w.clock.Advance(time.Second)
	if r := send(101); !r.OK {
		t.Errorf("a second later: %+v", r)
	}
	if r := send(131); !r.OK {
		t.Errorf("a refused call counted: %+v", r)
	}
}

// setWebhook itself is limited to about one a second: Client.cpp,
// process_set_webhook_query.
func TestStrictSetWebhook(t *testing.T) {
	w := newWorld(t, standin.Config{Strict: true})
	set := func() reply { return w.call("setWebhook", object{"url": "https://example.org/"}) }
	if r := set(); !r.OK || r.Description != "Webhook was set" {
		t.Errorf("%+v", r)
	}
	if r := set(); r.Code != 429 || r.Parameters.RetryAfter != 1 {
		t.Errorf("%+v", r)
	}
	w.clock.Advance(time.Second)
	if r := set(); !r.OK || r.Description != "Webhook is already set" {
		t.Errorf("%+v", r)
	}
}
