package telegram_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/telegram"
)

func TestClientsSettings(t *testing.T) {
	for _, c := range []struct{ token, server string }{
		{"", ""}, {"no-number", ""}, {"1000:", ""}, {"1000:to ken", ""}, {"1000:to/ken", ""}, {"1000:token\n", ""},
		{token, "api.example.org"}, {token, "ftp://api.example.org"}, {token, "http://"}, {token, "http://a b"}, {token, "://"},
	} {
		_, err := telegram.NewClient(c.token, c.server)
		if err == nil {
			t.Errorf("token %q and server %q are taken", c.token, c.server)
			continue
		}
		if c.token != "" && strings.Contains(err.Error(), c.token) {
			t.Errorf("the error contains the token: %v", err)
		}
	}
}

func TestRegister(t *testing.T) {
	w := newWorld(t, standin.Config{})
	if err := w.client.Register(context.Background(), "https://example.org/telegram", secret); err != nil {
		t.Fatal(err)
	}
	info, err := w.client.GetWebhookInfo(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if info.URL != "https://example.org/telegram" || info.MaxConnections != 40 {
		t.Errorf("registered %s with %d connections", info.URL, info.MaxConnections)
	}
	if diff := cmp.Diff([]string{"message", "edited_message", "callback_query", "my_chat_member"}, info.AllowedUpdates); diff != "" {
		t.Errorf("kinds of updates (-want +got):\n%s", diff)
	}
	// The alphabet of secrets: core.telegram.org/bots/api#setwebhook.
	if err := w.client.Register(context.Background(), "https://example.org/telegram", "not a secret!"); err == nil {
		t.Error("a secret outside the platform's alphabet was registered")
	}
}

func TestMenu(t *testing.T) {
	w := newWorld(t, standin.Config{})
	mia, owner := w.customer(mia), w.customer(9)
	ctx := context.Background()
	if err := w.client.Menu(ctx, 0, telegram.Command{Name: "start", Words: "Begin"}); err != nil {
		t.Fatal(err)
	}
	if err := w.client.Menu(ctx, 9, telegram.Command{Name: "today", Words: "Today's work"}); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"/start Begin"}, mia.Commands()); diff != "" {
		t.Errorf("a customer's menu (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]string{"/today Today's work"}, owner.Commands()); diff != "" {
		t.Errorf("the owner's menu (-want +got):\n%s", diff)
	}
	if err := w.client.Menu(ctx, 0, telegram.Command{Name: "Not A Name"}); err == nil {
		t.Error("a name outside the platform's alphabet was set")
	}
}

func TestFetch(t *testing.T) {
	w := newWorld(t, standin.Config{})
	p := w.customer(mia)
	if _, err := p.SendPhoto(picture(t), ""); err != nil {
		t.Fatal(err)
	}
	id := bot.FileID(p.Chat()[1].File)
	want, ok := w.File(string(id))
	if !ok || len(want) == 0 {
		t.Fatal("the stand-in has no such file")
	}
	type outcome int
	const (
		fetched outcome = iota
		gone
		tooBig
		mayPass
	)
	const anyNumber = -1
	for _, c := range []struct {
		name   string
		method string
		fault  standin.Fault
		want   outcome
		called int // downloads
	}{
		{"well", "", standin.Fault{}, fetched, 1},
		{"cut off twice", standin.Download, standin.Fault{Times: 2, DropAfter: true}, fetched, 3},
		{"cut off each time", standin.Download, standin.Fault{DropAfter: true}, mayPass, 3},
		// net/http itself asks again when a connection it had kept is cut.
		{"no connection", standin.Download, standin.Fault{DropBefore: true}, mayPass, anyNumber},
		{"link grown old", standin.Download, standin.Fault{Status: 404}, gone, 1},
		{"a proxy's page", standin.Download, standin.Fault{HTML: true}, mayPass, 1},
		{"too many requests", "getFile", standin.Fault{Status: 429, RetryAfter: 3}, mayPass, 0},
		{"wrong id", "getFile", standin.Fault{Status: 400, Description: "Bad Request: invalid file_id"}, gone, 0},
		{"too big", "getFile", standin.Fault{Status: 400, Description: "Bad Request: file is too big"}, tooBig, 0},
		{"platform ill", "getFile", standin.Fault{Status: 500}, mayPass, 0},
		{"not the platform", "getFile", standin.Fault{HTML: true}, mayPass, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			w.ClearFaults()
			if c.method != "" {
				w.Fault(c.method, c.fault)
			}
			before := w.Calls()[standin.Download].Calls
			got, err := w.client.Fetch(context.Background(), id)
			is := mayPass
			switch {
			case err == nil:
				is = fetched
			case errors.Is(err, telegram.ErrGone):
				is = gone
			case errors.Is(err, telegram.ErrTooBig):
				is = tooBig
			}
			if is != c.want {
				t.Errorf("outcome %v (%v), want %v", is, err, c.want)
			}
			if is == fetched && !bytes.Equal(got, want) {
				t.Errorf("%d bytes, not those that were sent", len(got))
			}
			if err != nil && strings.Contains(err.Error(), token) {
				t.Errorf("the error contains the token: %v", err)
			}
			if n := w.Calls()[standin.Download].Calls - before; n != c.called && c.called != anyNumber {
				t.Errorf("%d downloads, want %d", n, c.called)
			}
		})
	}
}

// 20 MB: core.telegram.org/bots/api#getfile. Taken as 20 MiB, the looser reading;
// what the platform itself refuses is too big whatever the number.
const limit = 20 << 20

func TestFetchOfALargeFile(t *testing.T) {
	w := newWorld(t, standin.Config{})
	p := w.customer(mia)
	p.SendFile("big.bin", "application/octet-stream", make([]byte, limit+1))
	if _, err := w.client.Fetch(context.Background(), bot.FileID(p.Chat()[1].File)); !errors.Is(err, telegram.ErrTooBig) {
		t.Errorf("error %v, want too big", err)
	}
}

// files is a platform that says what it likes about a file, and hands over what
// it likes.
func files(t *testing.T, getFile string, hand http.HandlerFunc) *telegram.Client {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasSuffix(r.URL.Path, "/getFile") {
			fmt.Fprintf(w, `{"ok":true,"result":%s}`, getFile)
			return
		}
		hand(w, r)
	}))
	t.Cleanup(server.Close)
	return newClient(t, server.URL)
}

func TestFetchTrustsNoStatement(t *testing.T) {
	handed := 0
	hand := func(size int, stated bool) http.HandlerFunc {
		return func(w http.ResponseWriter, _ *http.Request) {
			handed++
			if stated {
				w.Header().Set("Content-Length", fmt.Sprint(size))
			}
			for block := make([]byte, 1<<20); size > 0; size -= len(block) {
				if _, err := w.Write(block[:min(size, len(block))]); err != nil {
					return
				}
			}
		}
	}
	for _, c := range []struct {
		name, file string
		hand       http.HandlerFunc
		want       error
		handed     int
	}{
		{"stated by getFile", `{"file_id":"x","file_path":"a","file_size":20971521}`, hand(1, true), telegram.ErrTooBig, 0},
		{"stated by the download", `{"file_id":"x","file_path":"a"}`, hand(limit+1, true), telegram.ErrTooBig, 1},
		{"not stated", `{"file_id":"x","file_path":"a","file_size":5}`, hand(limit+1, false), telegram.ErrTooBig, 1},
		{"just small enough", `{"file_id":"x","file_path":"a b/ü.jpg","file_size":20971520}`, hand(limit, false), nil, 1},
		{"no path", `{"file_id":"x"}`, hand(1, true), telegram.ErrGone, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			handed = 0
			got, err := files(t, c.file, c.hand).Fetch(context.Background(), "x")
			if !errors.Is(err, c.want) || err == nil && len(got) != limit {
				t.Errorf("%d bytes, error %v; want error %v", len(got), err, c.want)
			}
			if handed != c.handed {
				t.Errorf("downloaded %d times, want %d", handed, c.handed)
			}
		})
	}
}

// A download shorter than the platform said is begun again.
func TestFetchOfAShortFile(t *testing.T) {
	n := 0
	got, err := files(t, `{"file_id":"x","file_path":"a","file_size":5}`, func(w http.ResponseWriter, _ *http.Request) {
		n++
		fmt.Fprint(w, "hello"[:min(5, 2*n)])
	}).Fetch(context.Background(), "x")
	if string(got) != "hello" || err != nil {
		t.Errorf("%q, %v", got, err)
	}
}

// The link holds the token, which a Referer would carry to wherever it leads.
func TestRedirectsAreNotFollowed(t *testing.T) {
	elsewhere := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		t.Errorf("followed, with Referer %q", r.Referer())
	}))
	defer elsewhere.Close()
	redirect := func(w http.ResponseWriter, r *http.Request) {
		http.Redirect(w, r, elsewhere.URL, http.StatusTemporaryRedirect)
	}
	if _, err := files(t, `{"file_id":"x","file_path":"a"}`, redirect).Fetch(context.Background(), "x"); err == nil {
		t.Error("fetched")
	}
	server := httptest.NewServer(http.HandlerFunc(redirect))
	defer server.Close()
	if err := newClient(t, server.URL).Register(context.Background(), "https://example.org", secret); err == nil {
		t.Error("registered")
	}
}

// No failure says the token, on any path; nor is a proxy's page repeated whole.
func TestErrorsDoNotSayTheToken(t *testing.T) {
	address, _ := shutPort(t)
	closed := "http://" + address
	// A proxy that quotes the address it was asked for.
	quoting := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.WriteHeader(http.StatusBadGateway)
		fmt.Fprintf(w, "<html>no answer from %s %s", r.URL, strings.Repeat("…", 5000))
	}))
	defer quoting.Close()
	refusing := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasSuffix(r.URL.Path, "/getFile") {
			fmt.Fprint(w, `{"ok":true,"result":{"file_id":"x","file_path":"a\u0000b"}}`)
			return
		}
		if strings.HasPrefix(r.URL.Path, "/file/") {
			http.Error(w, r.URL.Path, http.StatusTeapot)
			return
		}
		fmt.Fprintf(w, `{"ok":false,"error_code":401,"description":"Unauthorized: %s"}`, token)
	}))
	defer refusing.Close()
	stopped, stop := context.WithCancel(context.Background())
	stop()
	for server, ctx := range map[string]context.Context{closed: context.Background(), quoting.URL: context.Background(), refusing.URL: context.Background(), closed + "/": stopped} {
		c := newClient(t, server)
		log := &logged{}
		polling, stop := context.WithCancel(ctx)
		if server == closed || server == quoting.URL {
			stop() // it would go on trying
		}
		_, fetch := c.Fetch(ctx, "x")
		for name, err := range map[string]error{
			"register": c.Register(ctx, "https://example.org", secret),
			"menu":     c.Menu(ctx, 0, telegram.Command{Name: "start", Words: "Begin"}),
			"fetch":    fetch,
			"poll":     c.Poll(polling, func(context.Context, json.RawMessage) error { return nil }, log.logger()),
		} {
			if err == nil {
				t.Errorf("%s %s: no error", server, name)
				continue
			}
			if strings.Contains(err.Error(), "token-of-a-test") || len(err.Error()) > 500 {
				t.Errorf("%s %s: %v", server, name, err)
			}
		}
		stop()
		log.without(t, "token-of-a-test")
	}
}
