package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// served is serve as it goes live, on loopback, with the stand-in for a platform.
type served struct {
	t        *testing.T
	platform *standin.Standin
	api      *httptest.Server
	addr     string
	log      *shared
	end      context.CancelFunc
	done     chan int
}

// liveSecret, like the token, must not get anywhere it does not belong.
const liveSecret = "secret-nobody-may-read"

// newServed starts serve on a store and waits until it is ready.
func newServed(t *testing.T, store string, more ...string) *served {
	t.Helper()
	// Its updates go on from those of a story that is brought along.
	s := &served{t: t, platform: standin.New(standin.Config{Token: playedToken, Clock: standin.NewClock(time.Now()), FirstUpdate: 10_001}), addr: freeAddr(t)}
	s.api = httptest.NewServer(s.platform)
	t.Cleanup(func() { s.stop(); s.platform.Close(); s.api.Close() })
	s.start(store, more...)
	return s
}

// start starts it, again after a stop.
func (s *served) start(store string, more ...string) {
	s.t.Helper()
	ctx, cancel := context.WithCancel(s.t.Context())
	s.end, s.done, s.log = cancel, make(chan int, 1), &shared{}
	args := append([]string{"serve", "--telegram-token", playedToken, "--telegram-api", s.api.URL, "--webhook-secret", liveSecret,
		"--public-url", "http://" + s.addr, "--listen", s.addr, "--redis-url", store, "--accept-data-loss", "--owner", "7001"}, more...)
	log, done := s.log, s.done
	go func() { done <- run(ctx, args, streams{nil, io.Discard, log}) }()
	s.logged(`"msg":"ready"`)
}

// stop tells it to stop and returns its exit status.
func (s *served) stop() int {
	s.end()
	status := <-s.done
	s.done <- status
	return status
}

// logged waits until the log has these words and returns the line of the first.
func (s *served) logged(words string) string {
	s.t.Helper()
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		for line := range strings.Lines(s.log.String()) {
			if strings.Contains(line, words) {
				return line
			}
		}
		select {
		case status := <-s.done:
			s.done <- status
			s.t.Fatalf("exit %d before %q\n%s", status, words, s.log)
		default:
		}
	}
	s.t.Fatalf("in vain: waiting for %q\n%s", words, s.log)
	return ""
}

// heard waits until the bot has said something with these words to somebody.
func (s *served) heard(p *standin.Person, words string) {
	s.t.Helper()
	patience := time.After(time.Minute)
	for {
		changed := s.platform.Changed()
		if slices.ContainsFunc(p.Chat(), func(l standin.Line) bool { return l.Bot && strings.Contains(l.Text, words) }) {
			return
		}
		select {
		case <-changed:
		case <-patience:
			s.t.Fatalf("in vain: waiting to hear %q\n%s", words, s.log)
		}
	}
}

// One reference leads through the log from the update to the message.
func TestOneReferenceFromUpdateToSend(t *testing.T) {
	s := newServed(t, ledgertest.NewServer(t).URL())
	ann := s.platform.Person(5001, "Ann")
	ann.Say("hello")
	s.heard(ann, "Ann")
	refs := func(msg string) (out []string) {
		s.logged(`"msg":"` + msg + `"`)
		for line := range strings.Lines(s.log.String()) {
			var l struct {
				Msg, Op string
			}
			if err := json.Unmarshal([]byte(line), &l); err != nil {
				t.Fatalf("%q: %v", line, err)
			}
			if l.Msg == msg {
				out = append(out, l.Op)
			}
		}
		return out
	}
	taken, sent := refs("update taken"), refs("message sent")
	if len(taken) != 1 || !strings.HasPrefix(taken[0], "u") || !slices.Contains(sent, taken[0]) {
		t.Errorf("taken %v, sent %v", taken, sent)
	}
}

// What has been let in when serve is told to stop is finished, and what it leads to
// is sent, before it ends.
func TestStopFinishesWhatIsInHand(t *testing.T) {
	store := ledgertest.NewServer(t)
	proxy := ledgertest.NewProxy(t, store.Addr)
	s := newServed(t, "redis://"+proxy.Addr)
	ann := s.platform.Person(5001, "Ann")
	store.Pause()
	ann.Say("hello")
	for end := time.Now().Add(time.Minute); !atWork("telegram.(*Webhook).take("); time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("the update is not let in\n%s", s.log)
		}
	}
	s.end()
	s.logged(`"msg":"stopping"`)
	store.Resume()
	if status := s.stop(); status != 0 {
		t.Errorf("exit %d\n%s", status, s.log)
	}
	if !slices.ContainsFunc(ann.Chat(), func(l standin.Line) bool { return l.Bot }) {
		t.Errorf("nothing was said before the end\n%s", s.log)
	}
}

// atWork tells whether a function is being carried out anywhere in this process.
func atWork(function string) bool {
	all := make([]byte, 4<<20)
	return bytes.Contains(all[:runtime.Stack(all, true)], []byte(function))
}

// Stopping takes no longer than it may, whatever hangs.
func TestStopEndsInTime(t *testing.T) {
	store := ledgertest.NewServer(t)
	s := newServed(t, store.URL(), "--stop-within", "300ms")
	s.platform.Fault("sendMessage", standin.Fault{Delay: time.Hour})
	ann := s.platform.Person(5001, "Ann")
	ann.Say("hello")
	s.logged(`"msg":"update taken"`)
	time.Sleep(50 * time.Millisecond) // until the sender has begun
	began := time.Now()
	if status := s.stop(); status != 1 || !strings.Contains(s.log.String(), "nothing is lost") {
		t.Errorf("exit %d\n%s", status, s.log)
	}
	if took := time.Since(began); took > 30*time.Second { // else it never ends: the call takes an hour
		t.Errorf("stopping took %v", took)
	}
}

// The heartbeat comes while all is well and not when the store is away, and its
// address stands in no log.
func TestHeartbeat(t *testing.T) {
	beats := make(chan struct{}, 1000)
	watcher := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/ping/its-own-secret" {
			beats <- struct{}{}
		}
	}))
	defer watcher.Close()
	store := ledgertest.NewServer(t)
	s := newServed(t, store.URL(), "--heartbeat-url", watcher.URL+"/ping/its-own-secret", "--heartbeat-each", "20ms")
	for range 3 {
		select {
		case <-beats:
		case <-time.After(time.Minute):
			t.Fatalf("no heartbeat\n%s", s.log)
		}
	}
	store.Kill()
	s.logged(`"msg":"no heartbeat"`)
	for len(beats) > 0 {
		<-beats
	}
	select {
	case <-beats:
		t.Error("a heartbeat without a store")
	case <-time.After(300 * time.Millisecond):
	}
	store.Start()
	select {
	case <-beats:
	case <-time.After(time.Minute):
		t.Error("no heartbeat after the store was back")
	}
	watcher.Close()
	s.logged("cannot be reached")
	if strings.Contains(s.log.String(), "its-own-secret") {
		t.Error("the log says the address")
	}
}
