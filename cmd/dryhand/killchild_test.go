package main

import (
	"context"
	"fmt"
	"hash/fnv"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"
	"github.com/redis/go-redis/v9/logging"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// The test binary plays the bot's process when it is asked to: the same wiring
// as serve, with a clock it is told and a death at named points.
func TestMain(m *testing.M) {
	logging.Disable() // as main does
	if os.Getenv("DRYHAND_CHILD") != "" {
		be := child
		if os.Getenv("CHILD_FAULTS") != "" {
			be = faultsChild
		}
		if err := be(); err != nil {
			fmt.Fprintln(os.Stderr, "child:", err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	code := m.Run()
	if built := childBuilt.Load(); built != nil {
		_ = os.RemoveAll(filepath.Dir(*built))
	}
	os.Exit(code)
}

// childBuilt is where childProgram built one, if it did.
var childBuilt atomic.Pointer[string]

// childProgram is what children are: this test once more. The race detector makes
// being born take seconds, and many are killed, so they go without it; the same
// code is watched for races wherever the bot lives in this process.
var childProgram = sync.OnceValue(func() string {
	self := os.Args[0]
	if !underRace {
		return self
	}
	dir, err := os.MkdirTemp("", "dryhand-child")
	if err != nil {
		return self
	}
	program := filepath.Join(dir, "child")
	childBuilt.Store(&program)
	if err := exec.Command("go", "test", "-c", "-o", program, ".").Run(); err != nil {
		return self // slower, and just as good
	}
	return program
})

// child serves until it is killed.
func child() error {
	env := os.Getenv
	options, err := ledger.Options(env("CHILD_REDIS"))
	if err != nil {
		return err
	}
	rules, err := pricing.ParseRules("rules.yaml", []byte(env("CHILD_RULES")))
	if err != nil {
		return err
	}
	words, err := wording.Default()
	if err != nil {
		return err
	}
	log := slog.New(slog.NewTextHandler(io.Discard, nil))
	if env("CHILD_LOG") != "" {
		log = slog.New(slog.NewTextHandler(os.Stderr, nil))
	}
	owner, _ := strconv.ParseInt(env("CHILD_OWNER"), 10, 64)
	p, err := wire(surroundings{
		redis: redis.NewUniversalClient(options), business: "killed", token: playedToken, api: env("CHILD_API"), secret: playedSecret,
		owner: bot.ChatID(owner), rules: rules, words: words, now: toldClock(env("CHILD_CLOCK")), log: log, parallel: 1, point: deaths(),
	})
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", env("CHILD_LISTEN"))
	if err != nil {
		return err
	}
	inner := p.handler
	if env("CHILD_ACK_FIRST") != "" {
		inner = acknowledgeFirst(p.handler)
	}
	// The parent keeps the clock, so it also says when to work: what serve's
	// loops do by themselves.
	return http.Serve(listener, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/work" {
			inner.ServeHTTP(w, r)
			return
		}
		n, err := p.work(r.Context())
		if err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		fmt.Fprint(w, n)
	}))
}

// toldClock asks the parent what time it is.
func toldClock(url string) func() time.Time {
	return func() time.Time {
		resp, err := http.Get(url)
		if err != nil {
			os.Exit(1) // the parent is gone
		}
		defer resp.Body.Close()
		b, _ := io.ReadAll(resp.Body)
		t, err := time.Parse(time.RFC3339Nano, string(b))
		if err != nil {
			os.Exit(1)
		}
		return t
	}
}

// deaths returns the function that kills the process at a point, once for each
// point and operation that is chosen. What has killed before stands in a file.
func deaths() func(name, op string) {
	file := os.Getenv("CHILD_DEATHS")
	if file == "" {
		return nil
	}
	past, _ := os.ReadFile(file)
	died := map[string]bool{}
	for _, l := range strings.Split(string(past), "\n") {
		died[l] = true
	}
	stride, _ := strconv.ParseUint(os.Getenv("CHILD_STRIDE"), 10, 32)
	var mu sync.Mutex
	seen := map[string]bool{}
	for k := range died {
		name, _, _ := strings.Cut(k, " ")
		seen[name] = true
	}
	return func(name, op string) {
		mu.Lock()
		defer mu.Unlock()
		key := name + " " + op
		h := fnv.New32a()
		_, _ = io.WriteString(h, key)
		// The first of each name, and every so many of the others.
		if died[key] || seen[name] && uint64(h.Sum32())%max(1, stride) != 0 {
			return
		}
		f, err := os.OpenFile(file, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
		if err != nil {
			return
		}
		fmt.Fprintln(f, key)
		f.Close()
		_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
		select {}
	}
}

// acknowledgeFirst is the mistake the harness must find: the update is answered
// before its effects are safe.
func acknowledgeFirst(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, _ := io.ReadAll(r.Body)
		w.Header().Set("Content-Length", "0") // the answer is whole before the work begins
		w.WriteHeader(http.StatusOK)
		w.(http.Flusher).Flush()
		again := r.Clone(context.WithoutCancel(r.Context()))
		again.Body = io.NopCloser(strings.NewReader(string(body)))
		h.ServeHTTP(httptest.NewRecorder(), again)
	})
}
