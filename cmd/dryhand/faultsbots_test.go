package main

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"log/slog"
	"math/rand/v2"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// faultsOwner is the owner's chat in every schedule.
const faultsOwner = bot.ChatID(7001)

// faultsPicture is the picture everybody sends: whatever it is worth, it is
// measured the same every time.
var faultsPicture = sync.OnceValue(func() []byte {
	img := image.NewGray(image.Rect(0, 0, 160, 120))
	for i := range img.Pix {
		img.Pix[i] = color.Gray{Y: uint8(i * 31)}.Y
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		panic(err)
	}
	return b.Bytes()
})

// faultsPlatform answers every call of the bots with yes. What is tested is what
// comes in; what goes out is read from the ledger.
func faultsPlatform(t testing.TB) string {
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		_, _ = io.Copy(io.Discard, r.Body)
		w.Header().Set("Content-Type", "application/json")
		_, _ = io.WriteString(w, `{"ok":true,"result":true}`)
	}))
	t.Cleanup(s.Close)
	return s.URL
}

// faultsBot is one bot that serves any number of businesses, each wired as in
// production at the first word: POST /<business>/telegram takes an update, POST
// /<business>/sweep does what is due.
type faultsBot struct {
	redis redis.UniversalClient
	api   string
	now   func() time.Time
	log   *slog.Logger
	// wrap, if set, stands before the webhook.
	wrap func(http.Handler) http.Handler

	mu    sync.Mutex
	wired map[string]*faultsWired
}

type faultsWired struct {
	*parts
	hook http.Handler
}

// newFaultsBot makes a bot on a store. It is quiet unless told otherwise.
func newFaultsBot(rdb redis.UniversalClient, api string, now func() time.Time) *faultsBot {
	b := &faultsBot{redis: rdb, api: api, now: now, wired: map[string]*faultsWired{}, log: slog.New(slog.DiscardHandler)}
	if os.Getenv("DRYHAND_FAULTS_LOG") != "" {
		b.log = slog.New(slog.NewTextHandler(os.Stderr, nil))
	}
	return b
}

// hesitate lets now and then a little time pass between what was read and what is
// written, in which others may write: the race that must be lost well.
func hesitate(name, _ string) {
	if (name == "load:after" || name == "recalled") && rand.IntN(3) == 0 {
		time.Sleep(time.Duration(rand.IntN(4)) * time.Millisecond)
	}
}

// faultsWords, faultsRules and faultsReader are what every bot of these tests says,
// reckons by and understands.
var (
	faultsWords  = sync.OnceValues(wording.Default)
	faultsRules  = sync.OnceValue(pricing.DefaultRules)
	faultsReader = sync.OnceValues(func() (*reading.Reader, error) { return reading.Default(faultsRules()) })
)

func (b *faultsBot) of(business string) (*faultsWired, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if w, ok := b.wired[business]; ok {
		return w, nil
	}
	words, err := faultsWords()
	if err != nil {
		return nil, err
	}
	reader, err := faultsReader()
	if err != nil {
		return nil, err
	}
	p, err := wire(surroundings{redis: b.redis, business: business, token: playedToken, api: b.api, secret: playedSecret,
		owner: faultsOwner, rules: faultsRules(), words: words, reader: reader, now: b.now, log: b.log, parallel: 1, point: hesitate})
	if err != nil {
		return nil, err
	}
	p.sweep.Fetch = func(context.Context, bot.FileID) ([]byte, error) { return faultsPicture(), nil }
	// What is tried here is that nothing is lost or doubled, at any speed: people
	// who press faster than anybody can, and answers faster than the platform's 30 a
	// second. Both limits have tests of their own.
	p.ledger.OutPace, p.webhook.TooFast = ledger.Pace{}, nil
	w := &faultsWired{parts: p, hook: p.webhook}
	if b.wrap != nil {
		w.hook = b.wrap(p.webhook)
	}
	b.wired[business] = w
	return w, nil
}

func (b *faultsBot) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	business, what, _ := strings.Cut(strings.Trim(r.URL.Path, "/"), "/")
	if what == "alive" {
		return
	}
	p, err := b.of(business)
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	if what == "telegram" {
		p.hook.ServeHTTP(w, r)
		return
	}
	// The store may be away, or a claim lost on the way: the next sweep comes.
	_, _ = p.sweep.Work(r.Context())
}

// serve makes the bot listen, and returns its address.
func (b *faultsBot) serve(t testing.TB) string {
	s := httptest.NewServer(b)
	t.Cleanup(s.Close)
	return s.URL
}

// faultsChild is the bot as a process of its own: see TestMain.
func faultsChild() error {
	env := os.Getenv
	options, err := ledger.Options(env("CHILD_REDIS"))
	if err != nil {
		return err
	}
	b := newFaultsBot(redis.NewUniversalClient(options), env("CHILD_API"), toldClock(env("CHILD_CLOCK")))
	if env("CHILD_ACK_FIRST") != "" {
		b.wrap = answerThenQueue
	}
	faultsRules() // read before it listens, so that it is killed at its work
	if _, err := faultsWords(); err != nil {
		return err
	}
	listener, err := net.Listen("tcp", env("CHILD_LISTEN"))
	if err != nil {
		return err
	}
	return http.Serve(listener, b)
}

// newFaultsWard starts a bot's process, and another whenever it dies.
func newFaultsWard(t *testing.T, server *ledgertest.Server, api string, now func() time.Time, extra ...string) *ward {
	told := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		_, _ = io.WriteString(w, now().Format(time.RFC3339Nano))
	}))
	addr := freeAddr(t)
	env := append([]string{"DRYHAND_CHILD=1", "CHILD_FAULTS=1", "CHILD_REDIS=" + server.URL(), "CHILD_API=" + api,
		"CHILD_CLOCK=" + told.URL, "CHILD_LISTEN=" + addr}, extra...)
	w := newWard(env, addr)
	t.Cleanup(func() { w.end(); told.Close() })
	return w
}

// signal sends the living process a signal.
func (w *ward) signal(s os.Signal) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.cmd != nil {
		_ = w.cmd.Process.Signal(s)
	}
}
