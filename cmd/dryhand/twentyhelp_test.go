package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
)

// front is the whole front desk of the twenty tests: the same wiring as serve,
// updates over real HTTP from the platform's stand-in, a store in memory, and a
// clock that is pushed by hand. The bot itself can be taken away and replaced.
type front struct {
	world
	t    *testing.T
	rdb  redis.UniversalClient
	api  string // the stand-in's address
	hook string // ours
	// around stands before the webhook, if set.
	around atomic.Pointer[func(http.Handler) http.Handler]
	point  func(name, op string)
	// faults are what the desk logged as errors.
	faults faultLog
	gate   atomic.Pointer[http.Handler]
	// failed is how often something due could not be done, and mayFail how often it may.
	failed, mayFail int
	// spinning is how many taps will never be answered.
	spinning int
}

// faultLog keeps what is logged at the level of errors.
type faultLog struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (l *faultLog) Write(b []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.Write(b)
}

func (l *faultLog) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.String()
}

// newFront opens a front desk on a Monday evening in April. The point, if any, is
// told the named moments of every update's path.
func newFront(t *testing.T, config standin.Config, point func(name, op string)) *front {
	t.Helper()
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	f := &front{t: t, point: point}
	f.clock, f.zone = standin.NewClock(faultsStart), zone
	store := miniredis.RunT(t)
	options, err := ledger.Options("redis://" + store.Addr() + "/0")
	if err != nil {
		t.Fatal(err)
	}
	ledgertest.Patient(options)
	f.rdb = redis.NewUniversalClient(options)
	config.Token, config.Clock = playedToken, f.clock
	f.standin = standin.New(config)
	platform := httptest.NewServer(f.standin)
	f.api = platform.URL
	f.start()
	hook := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := *f.gate.Load()
		if a := f.around.Load(); a != nil {
			h = (*a)(h)
		}
		h.ServeHTTP(w, r)
	}))
	f.hook = hook.URL + "/telegram"
	t.Cleanup(func() { f.standin.Close(); platform.Close(); hook.Close(); f.rdb.Close() })
	if err := f.client.Register(t.Context(), f.hook, playedSecret); err != nil {
		t.Fatal(err)
	}
	return f
}

// start wires a bot on what is in the store, and nothing else: whoever was there
// before is gone with all that it knew.
func (f *front) start() {
	f.t.Helper()
	words, err := faultsWords()
	if err != nil {
		f.t.Fatal(err)
	}
	reader, err := twentyReader()
	if err != nil {
		f.t.Fatal(err)
	}
	f.parts, err = wire(surroundings{reader: reader, redis: f.rdb, business: "twenty", token: playedToken, api: f.api, secret: playedSecret, owner: playedOwner,
		rules: faultsRules(), words: words, now: f.clock.Now, parallel: 1, point: f.point,
		log: slog.New(slog.NewTextHandler(&f.faults, &slog.HandlerOptions{Level: slog.LevelError}))})
	if err != nil {
		f.t.Fatal(err)
	}
	f.gate.Store(&f.handler)
}

// twentyReader is made once: it takes its time, and learns nothing.
var twentyReader = sync.OnceValues(func() (*reading.Reader, error) { return reading.Default(faultsRules()) })

// before lets something happen before the webhook sees a request; nil ends that.
func (f *front) before(do func(http.Handler) http.Handler) {
	if do == nil {
		f.around.Store(nil)
		return
	}
	f.around.Store(&do)
}

func (f *front) settle() {
	f.t.Helper()
	f.run(soon)
}

// run lets everything happen that happens within some time, updates that come
// again among it, and takes no more than ten minutes by the clock on the wall.
func (f *front) run(d time.Duration) {
	f.t.Helper()
	ctx, cancel := context.WithTimeout(f.t.Context(), 10*time.Minute)
	defer cancel()
	to := f.clock.Now().Add(d)
	for {
		changed := f.standin.Changed()
		next, have := f.standin.Due()
		if have && !next.After(f.clock.Now()) || f.standin.Unanswered() > f.spinning {
			select {
			case <-changed:
			case <-ctx.Done():
				f.t.Fatalf("still under way: %v, %d taps unanswered", f.standin.Waiting(), f.standin.Unanswered())
			}
			continue
		}
		n, err := f.work(ctx)
		if err != nil { // a download that failed is left for later
			if f.failed++; f.failed > f.mayFail || ctx.Err() != nil {
				f.t.Fatal(err)
			}
			continue
		}
		if n > 0 {
			continue
		}
		if at, ok, err := f.next(ctx); err != nil {
			f.t.Fatal(err)
		} else if ok && (!have || at.Before(next)) {
			next, have = at, true
		}
		if !have || next.After(to) {
			return
		}
		f.clock.Set(next)
	}
}

func (f *front) owner() *standin.Person { return f.standin.Person(int64(playedOwner), "Owner") }

// say writes texts and waits after each until all has followed from it.
func (f *front) say(p *standin.Person, texts ...string) {
	f.t.Helper()
	for _, text := range texts {
		p.Say(text)
		f.settle()
	}
}

// tap presses buttons by their labels; "" is the first button of the last message
// that has any.
func (f *front) tap(p *standin.Person, labels ...string) {
	f.t.Helper()
	for _, label := range labels {
		if label == "" {
			label = f.buttons(p)[0].Text
		}
		if err := p.Tap(0, label); err != nil {
			f.t.Fatal(err)
		}
		f.settle()
	}
}

// buttons are those of the last message that has any.
func (f *front) buttons(p *standin.Person) (all []standin.Button) {
	chat := p.Chat()
	for i := len(chat) - 1; i >= 0 && all == nil; i-- {
		for _, row := range chat[i].Buttons {
			all = append(all, row...)
		}
	}
	if all == nil {
		f.t.Fatalf("%s has no buttons", p.Name())
	}
	return all
}

// act is one thing a customer does on the way to a booking.
type act struct{ say, tap string }

// label is what a button says.
func label(k wording.Key) string {
	words, err := faultsWords()
	if err != nil {
		panic(err)
	}
	return words.Label(k)
}

// journey is the way from hello to the request.
var journey = sync.OnceValue(func() []act {
	return []act{
		{say: "Ford Fiesta"}, {tap: label(wording.LabelOutside)}, {tap: label(wording.LabelThatsAll)}, {tap: label(wording.LabelBring)}, {say: "just the price"},
		{tap: label(wording.LabelFindDay)}, {tap: label(wording.LabelNothingLikeThat)}, {tap: label(wording.LabelSkip)}, {tap: ""},
		{tap: label(wording.LabelNoRemind)}, {tap: label(wording.LabelAskForIt)},
	}
})

func (f *front) does(p *standin.Person, acts ...act) {
	f.t.Helper()
	for _, a := range acts {
		if a.say != "" {
			f.say(p, a.say)
		} else {
			f.tap(p, a.tap)
		}
	}
}

// books brings somebody all the way to a booking.
func (f *front) books(p *standin.Person) {
	f.t.Helper()
	f.does(p, journey()...)
	f.tap(f.owner(), "Yes, book it")
}

// told is what somebody reads from the desk, with the labels below it.
func told(p *standin.Person) (all []string) {
	for _, l := range p.Chat() {
		if !l.Bot {
			continue
		}
		text := l.Text
		for _, row := range l.Buttons {
			for _, b := range row {
				text += " [" + b.Text + "]"
			}
		}
		all = append(all, text)
	}
	return all
}

// times counts in how many messages to somebody some words are.
func times(p *standin.Person, words string) (n int) {
	for _, text := range told(p) {
		if strings.Contains(text, words) {
			n++
		}
	}
	return n
}

func last(p *standin.Person) string {
	all := told(p)
	if len(all) == 0 {
		return ""
	}
	return all[len(all)-1]
}

// docs is every document there is, by its key.
func (f *front) docs() map[string]string {
	f.t.Helper()
	out := map[string]string{}
	for _, r := range everything(f.t, f.ledger) {
		if r.Kind == "doc" {
			out[r.Key] = string(r.Body)
		}
	}
	return out
}

// enquiry is the n-th enquiry of somebody.
func (f *front) enquiry(p *standin.Person, n int) (e conversations.Enquiry) {
	f.t.Helper()
	body, ok := f.docs()[fmt.Sprintf("enq:%s-%d", base36(p.ID()), n)]
	if !ok {
		f.t.Fatalf("%s has no enquiry %d", p.Name(), n)
	}
	if err := json.Unmarshal([]byte(body), &e); err != nil {
		f.t.Fatal(err)
	}
	return e
}

// asides are the reasons for which things were put aside.
func (f *front) asides() (reasons []string) {
	f.t.Helper()
	all, err := f.ledger.Asides(f.t.Context(), 100)
	if err != nil {
		f.t.Fatal(err)
	}
	for _, a := range all {
		reasons = append(reasons, a.Reason)
	}
	return reasons
}

// post hands the webhook bytes as the platform does.
func (f *front) post(secret string, body []byte) (status int) {
	f.t.Helper()
	r, err := http.NewRequestWithContext(f.t.Context(), http.MethodPost, f.hook, bytes.NewReader(body))
	if err != nil {
		f.t.Fatal(err)
	}
	if secret != "" {
		r.Header.Set("X-Telegram-Bot-Api-Secret-Token", secret)
	}
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		f.t.Fatal(err)
	}
	resp.Body.Close()
	return resp.StatusCode
}

// refused are the calls of ours the platform refused, without those it was told to.
func (f *front) refused() (out []string) {
	for _, r := range f.standin.Refusals() {
		if !r.Fault {
			out = append(out, fmt.Sprintf("%s: %d %s", r.Method, r.Code, r.Description))
		}
	}
	return out
}

// seeded is chance that is the same every time.
func seeded(n uint64) *rand.Rand { return rand.New(rand.NewPCG(n, 20)) }

// whose is who an update is from, 0 if it does not say.
func whose(update []byte) bot.ChatID {
	type from struct {
		From struct {
			ID bot.ChatID `json:"id"`
		} `json:"from"`
	}
	var u struct {
		Message  from `json:"message"`
		Edited   from `json:"edited_message"`
		Callback from `json:"callback_query"`
	}
	_ = json.Unmarshal(update, &u)
	return max(u.Message.From.ID, u.Edited.From.ID, u.Callback.From.ID)
}

func base36(id int64) string { return strconv.FormatInt(id, 36) }

// sharpPictures are pictures of which no two look alike, and with which nothing is
// wrong: patches of light and dark with hard edges, as many as are asked for.
func sharpPictures(t *testing.T, n int) [][]byte {
	t.Helper()
	all, err := drawnPictures()
	if err != nil || n > len(all) {
		t.Fatalf("%d pictures of %d: %v", n, len(all), err)
	}
	return all[:n]
}

var drawnPictures = sync.OnceValues(func() (all [][]byte, err error) {
	const side, most = 640, 10
	for i := range most {
		chance := seeded(uint64(100 + i))
		img := image.NewGray(image.Rect(0, 0, side, side))
		for range 200 {
			x, y, shade := chance.IntN(side), chance.IntN(side), byte(20+chance.IntN(200))
			right, bottom := min(side, x+8+chance.IntN(120)), min(side, y+8+chance.IntN(120))
			row := bytes.Repeat([]byte{shade}, right-x)
			for ; y < bottom; y++ {
				copy(img.Pix[y*img.Stride+x:], row)
			}
		}
		var b bytes.Buffer
		if err := jpeg.Encode(&b, img, nil); err != nil {
			return nil, err
		}
		all = append(all, b.Bytes())
	}
	return all, nil
})
