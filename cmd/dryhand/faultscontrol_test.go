package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger/ledgertest"
)

// control is a mistake made on purpose, which must be found.
type control struct {
	name, what string
	found      int
}

// most bounds how long a control may take to be found out, in updates.
const most = 3000

// answeredFirst: a bot that answers before it works loses updates when killed.
func answeredFirst(t *testing.T, seed uint64) *control {
	r := &row{meant: true}
	c := &control{name: "the library's own handler, which answers 200 from a channel in memory, killed"}
	t.Run("control "+c.name, func(t *testing.T) {
		t.Parallel()
		x := newSite(t, "no")
		w := newFaultsWard(t, x.server, faultsPlatform(t), x.now, "CHILD_ACK_FIRST=1")
		w.alive(t.Context())
		x.bots = []string{"http://" + w.addr}
		x.under(t.Context(), r, most, seed, w.killing, func() bool { return r.lost > 0 })
		c.found, c.what = r.lost, fmt.Sprintf("of %d updates lost", r.updates)
	})
	return c
}

// convicted is a control without any fault but the bot's own.
func convicted(t *testing.T, name, what string, seed uint64, n func(*row) int, spoil func(*faultsBot)) *control {
	r := &row{meant: true}
	c := &control{name: name}
	t.Run("control "+name, func(t *testing.T) {
		t.Parallel()
		x := newSite(t, "no")
		scenes, err := x.scenes(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		b := newFaultsBot(ledgertest.Client(t, x.server.URL()), faultsPlatform(t), x.now)
		spoil(b)
		x.bots = []string{b.serve(t)}
		for ; r.updates < most && n(r) == 0; seed++ {
			if err := x.one(t.Context(), r, seed, scenes); err != nil {
				t.Fatal(err)
			}
		}
		c.found, c.what = n(r), fmt.Sprintf("%s, in %d updates", what, r.updates)
	})
	return c
}

// answeredFirstUnordered: a goroutine for each update breaks their order.
func answeredFirstUnordered(t *testing.T, seed uint64) *control {
	return convicted(t, "the library's own handler as it comes, a goroutine each", "applied before an earlier one of their queue", seed,
		func(r *row) int { return r.breaches }, func(b *faultsBot) {
			b.wrap = func(h http.Handler) http.Handler { return librarys(t.Context(), h) }
		})
}

// committedBlindly: commits that do not look what has moved lose each other's
// changes, and end where no order of the updates leads.
func committedBlindly(t *testing.T, seed uint64) *control {
	return convicted(t, "commits without looking whether something moved", "schedules equal to no serial order", seed,
		func(r *row) int { return r.unlikes }, func(b *faultsBot) { b.redis.AddHook(blindCommits{}) })
}

// forgotWhatWasApplied: a store that forgets which updates it has had applies
// copies again.
func forgotWhatWasApplied(t *testing.T, seed uint64) *control {
	return convicted(t, "forgets what was applied", "applied again", seed,
		func(r *row) int { return r.doubled }, func(b *faultsBot) {
			plain := redis.NewClient(&redis.Options{Addr: b.redis.(*redis.Client).Options().Addr})
			t.Cleanup(func() { plain.Close() })
			b.redis.AddHook(forgetful{plain: plain})
		})
}

// repeatedByTheClient: the client library as it comes repeats a write whose reply
// was lost. Counting up by one is then counted twice.
func repeatedByTheClient(t *testing.T) *control {
	const writes = 20
	c := &control{name: "the client repeats INCR after a lost reply", what: fmt.Sprintf("of %d counted twice", writes)}
	t.Run("control "+c.name, func(t *testing.T) {
		t.Parallel()
		p := ledgertest.NewProxy(t, ledgertest.NewServer(t).Addr)
		rdb := redis.NewClient(&redis.Options{Addr: p.Addr, MaxRetries: 3})
		t.Cleanup(func() { rdb.Close() })
		for range writes {
			if err := rdb.Ping(t.Context()).Err(); err != nil { // so that no greeting is lost instead
				t.Fatal(err)
			}
			p.Lose(1)
			if err := rdb.Incr(t.Context(), "n").Err(); err != nil {
				t.Fatal(err)
			}
		}
		n, err := rdb.Get(t.Context(), "n").Int()
		if err != nil {
			t.Fatal(err)
		}
		c.found = n - writes
	})
	return c
}

// librarys is the webhook handler of the platform library go-telegram/bot itself,
// before ours: the update goes into a channel in memory, the answer is 200, and the work
// is done afterwards, in a goroutine for each update unless told otherwise. Its bytes
// are kept beside it, so that ours is handed what the platform sent.
func librarys(ctx context.Context, h http.Handler, options ...tg.Option) http.Handler {
	var sent sync.Map // what was sent, by the update's number
	work := func(ctx context.Context, _ *tg.Bot, u *models.Update) {
		body, _ := sent.Load(u.ID)
		r := httptest.NewRequestWithContext(ctx, http.MethodPost, "/telegram", bytes.NewReader(body.([]byte)))
		r.Header.Set("X-Telegram-Bot-Api-Secret-Token", playedSecret)
		h.ServeHTTP(httptest.NewRecorder(), r)
	}
	b, err := tg.New(playedToken, append(options, tg.WithSkipGetMe(), tg.WithWebhookSecretToken(playedSecret),
		tg.WithDefaultHandler(work), tg.WithErrorsHandler(func(error) {}))...)
	if err != nil {
		panic(err)
	}
	go b.StartWebhook(ctx)
	hook := b.WebhookHandler()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(r.Body)
		if err != nil {
			return
		}
		var number struct {
			ID int64 `json:"update_id"`
		}
		if err := json.Unmarshal(body, &number); err != nil {
			panic(err) // the harness makes them
		}
		sent.Store(number.ID, body)
		r.Body = io.NopCloser(bytes.NewReader(body))
		hook(w, r)
	})
}

// answerThenQueue is that handler working off its channel one after the other.
func answerThenQueue(h http.Handler) http.Handler {
	return librarys(context.Background(), h, tg.WithNotAsyncHandlers())
}

// blindCommits empties the list of versions in every call of the commit script,
// which has eleven keys and the list third among its arguments.
type blindCommits struct{}

func (blindCommits) DialHook(next redis.DialHook) redis.DialHook { return next }
func (blindCommits) ProcessPipelineHook(next redis.ProcessPipelineHook) redis.ProcessPipelineHook {
	return next
}

func (blindCommits) ProcessHook(next redis.ProcessHook) redis.ProcessHook {
	const list = 17
	return func(ctx context.Context, cmd redis.Cmder) error {
		a := cmd.Args()
		c, ok := cmd.(*redis.Cmd)
		if !ok || len(a) <= list || !strings.HasSuffix(fmt.Sprint(a[11]), ":trouble") {
			return next(ctx, cmd)
		}
		n, _ := a[list].(int)
		blind := redis.NewCmd(ctx, slices.Concat(a[:list], []any{0}, a[list+1+2*n:])...)
		err := next(ctx, blind)
		c.SetVal(blind.Val())
		c.SetErr(err)
		return err
	}
}

// watched counts in a row how many of a client's commits meet a conflict: the
// commit script answers with the documents that moved, and else with a number.
func (r *row) watched(rdb redis.UniversalClient) redis.UniversalClient {
	rdb.AddHook(watch{r})
	return rdb
}

type watch struct{ row *row }

func (watch) DialHook(next redis.DialHook) redis.DialHook { return next }
func (watch) ProcessPipelineHook(next redis.ProcessPipelineHook) redis.ProcessPipelineHook {
	return next
}

func (w watch) ProcessHook(next redis.ProcessHook) redis.ProcessHook {
	return func(ctx context.Context, cmd redis.Cmder) error {
		err := next(ctx, cmd)
		a := cmd.Args()
		if c, ok := cmd.(*redis.Cmd); ok && len(a) > 11 && strings.HasSuffix(fmt.Sprint(a[11]), ":trouble") {
			if _, conflict := c.Val().([]any); conflict {
				w.row.mu.Lock()
				w.row.conflicts++
				w.row.mu.Unlock()
			}
		}
		return err
	}
}

// forgetful takes an event's name off the list of those applied before every
// script that would look for it: load, whose second key is that list, and commit,
// which has it there too and eleven keys in all.
type forgetful struct{ plain *redis.Client }

func (forgetful) DialHook(next redis.DialHook) redis.DialHook { return next }
func (forgetful) ProcessPipelineHook(next redis.ProcessPipelineHook) redis.ProcessPipelineHook {
	return next
}

func (f forgetful) ProcessHook(next redis.ProcessHook) redis.ProcessHook {
	return func(ctx context.Context, cmd redis.Cmder) error {
		a := cmd.Args()
		if keys, ok := a[min(2, len(a)-1)].(int); ok && len(a) > 3+keys && strings.HasSuffix(fmt.Sprint(a[4]), ":ops") {
			if err := f.plain.ZRem(ctx, fmt.Sprint(a[4]), a[3+keys]).Err(); err != nil {
				return err
			}
		}
		return next(ctx, cmd)
	}
}
