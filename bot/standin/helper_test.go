package standin_test

import (
	"bytes"
	"context"
	"encoding/json"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"example.org/dryhand/bot/leaks"
	"example.org/dryhand/bot/standin"
)

func TestMain(m *testing.M) { leaks.Main(m) }

const token = "1000:token-of-a-test"

// patience is how long a test waits for what is sure to come. It is over only when it
// does not come at all, however busy the machine is.
const patience = 2 * time.Minute

var start = time.Date(2026, 11, 23, 18, 40, 0, 0, time.UTC)

// world is a stand-in behind a real HTTP server, and the real client library
// talking to it.
type world struct {
	*standin.Standin
	t      testing.TB
	clock  *standin.Clock
	url    string
	http   *http.Client
	client *tg.Bot
}

func newWorld(t testing.TB, c standin.Config) *world {
	t.Helper()
	w := &world{t: t, clock: standin.NewClock(start)}
	c.Token = token
	if c.Clock == nil {
		c.Clock = w.clock
	}
	w.Standin = standin.New(c)
	server := httptest.NewServer(w.Standin)
	w.url, w.http = server.URL, &http.Client{Transport: &http.Transport{}}
	t.Cleanup(func() {
		w.http.CloseIdleConnections()
		w.Close()
		server.Close()
	})
	var err error
	w.client, err = tg.New(token, tg.WithServerURL(server.URL), tg.WithSkipGetMe(), tg.WithHTTPClient(time.Minute, w.http), tg.WithNotAsyncHandlers())
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// customer is a person who has pressed Start.
func (w *world) customer(id int64, name string) *standin.Person {
	p := w.Person(id, name)
	p.Say("/start")
	return p
}

// reply is the platform's answer to a call, as it stands.
type reply struct {
	OK          bool            `json:"ok"`
	Result      json.RawMessage `json:"result"`
	Code        int             `json:"error_code"`
	Description string          `json:"description"`
	Parameters  struct {
		RetryAfter int `json:"retry_after"`
	} `json:"parameters"`
}

// call posts JSON to a method and checks that status and body agree.
func (w *world) call(method string, body any) reply {
	w.t.Helper()
	raw, err := json.Marshal(body)
	if err != nil {
		w.t.Fatal(err)
	}
	return w.post(method, "application/json", string(raw))
}

func (w *world) post(method, kind, body string) reply {
	w.t.Helper()
	r, err := w.http.Post(w.url+"/bot"+token+"/"+method, kind, strings.NewReader(body))
	if err != nil {
		w.t.Fatal(err)
	}
	defer r.Body.Close()
	var out reply
	if err := json.NewDecoder(r.Body).Decode(&out); err != nil {
		w.t.Fatalf("%s: the answer is not JSON: %v", method, err)
	}
	if wrong := out.OK == (r.StatusCode != http.StatusOK) || !out.OK && out.Code != r.StatusCode; wrong {
		w.t.Errorf("%s: status %d with body %+v", method, r.StatusCode, out)
	}
	return out
}

// until waits for the stand-in to reach a state.
func (w *world) until(what string, reached func() bool) {
	w.t.Helper()
	giveUp := time.After(patience)
	for {
		changed := w.Changed()
		if reached() {
			return
		}
		select {
		case <-changed:
		case <-giveUp:
			w.t.Fatalf("never came about: %s", what)
		}
	}
}

func (w *world) quiet() {
	w.t.Helper()
	ctx, stop := context.WithTimeout(w.t.Context(), patience)
	defer stop()
	if err := w.Quiet(ctx); err != nil {
		w.t.Fatal(err)
	}
}

// hook is a webhook that notes what it is brought and answers as it is told.
type hook struct {
	url    string
	answer func(models.Update, http.ResponseWriter)

	mu      sync.Mutex
	got     []models.Update
	at      []time.Time
	headers []http.Header
}

// listen starts a webhook and registers it, with further parameters if given.
func (w *world) listen(answer func(models.Update, http.ResponseWriter), more ...func(*tg.SetWebhookParams)) *hook {
	w.t.Helper()
	h := &hook{answer: answer}
	server := httptest.NewServer(http.HandlerFunc(func(rw http.ResponseWriter, r *http.Request) {
		raw, _ := io.ReadAll(r.Body)
		var u models.Update
		if err := json.Unmarshal(raw, &u); err != nil {
			w.t.Errorf("the client library cannot read an update: %v", err)
		}
		h.mu.Lock()
		h.got, h.at, h.headers = append(h.got, u), append(h.at, w.clock.Now()), append(h.headers, r.Header)
		h.mu.Unlock()
		if h.answer != nil {
			h.answer(u, rw)
		}
	}))
	w.t.Cleanup(server.Close)
	h.url = server.URL
	p := &tg.SetWebhookParams{URL: server.URL, SecretToken: "a-secret"}
	for _, f := range more {
		f(p)
	}
	if ok, err := w.client.SetWebhook(w.t.Context(), p); !ok || err != nil {
		w.t.Fatal(ok, err)
	}
	return h
}

func (h *hook) updates() []models.Update {
	h.mu.Lock()
	defer h.mu.Unlock()
	return append([]models.Update(nil), h.got...)
}

// texts are the message texts in the order in which they came.
func (h *hook) texts() (all []string) {
	for _, u := range h.updates() {
		if u.Message != nil {
			all = append(all, u.Message.Text)
		}
	}
	return all
}

// waits are the times of the requests, since the first.
func (h *hook) waits() (all []time.Duration) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, t := range h.at {
		all = append(all, t.Sub(h.at[0]))
	}
	return all
}

// refuse answers every update with a status.
func refuse(status int) func(models.Update, http.ResponseWriter) {
	return func(_ models.Update, w http.ResponseWriter) { w.WriteHeader(status) }
}

// picture is a plain picture with a corner of another colour.
func picture(w, h int) image.Image {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.Set(x, y, color.RGBA{uint8(x), uint8(y), 90, 255})
		}
	}
	return m
}

func jpegOf(t testing.TB, w, h int) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, picture(w, h), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
