package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// shared is a buffer several goroutines write to.
type shared struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *shared) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *shared) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// The first start prints a link; whoever opens it first is the owner, for good. A
// guessed code and the used one make nobody anything.
func TestClaimingTheBusiness(t *testing.T) {
	platform := standin.New(standin.Config{Token: playedToken, Clock: standin.NewClock(time.Now())})
	api := httptest.NewServer(platform)
	defer api.Close()
	defer platform.Close()
	store := ledgertest.NewServer(t)
	serve := func(ctx context.Context, errs io.Writer) chan int {
		done := make(chan int, 1)
		go func() {
			done <- run(ctx, []string{"serve", "--poll", "--telegram-token", playedToken, "--telegram-api", api.URL, "--listen", "127.0.0.1:0",
				"--redis-url", store.URL(), "--accept-data-loss"}, streams{nil, io.Discard, errs})
		}()
		return done
	}
	heard := func(p *standin.Person, words string) {
		t.Helper()
		ctx, stop := context.WithTimeout(t.Context(), time.Minute)
		defer stop()
		for {
			changed := platform.Changed()
			if slices.ContainsFunc(p.Chat(), func(l standin.Line) bool { return l.Bot && strings.Contains(l.Text, words) }) {
				return
			}
			select {
			case <-changed:
			case <-ctx.Done():
				t.Fatalf("%s never read %q", p.Name(), words)
			}
		}
	}

	ctx, stop := context.WithCancel(t.Context())
	var log shared
	done := serve(ctx, &log)
	eve, max, ann := platform.Person(5001, "Eve"), platform.Person(5002, "Max"), platform.Person(5003, "Ann")
	eve.Say("/start claim-AAAAAAAAAAAAAAAAAAAAAAAAAA")
	heard(eve, "you've reached") // a customer like any other
	link := regexp.MustCompile(`https://t\.me/\S+\?start=(claim-\S+)`).FindStringSubmatch(log.String())
	if link == nil {
		t.Fatalf("no link:\n%s", log.String())
	}
	max.Say("/start " + link[1])
	heard(max, "This is your desk")
	ann.Say("/start " + link[1])
	heard(ann, "you've reached")
	ann.Say("person")
	heard(max, "Ann would like a person")
	stop()
	<-done

	ctx, stop = context.WithCancel(t.Context())
	defer stop()
	var again shared
	done = serve(ctx, &again)
	max.Say("today")
	heard(max, "Nothing in the diary")
	if strings.Contains(again.String(), "claim-") {
		t.Error("a second link was printed")
	}
	stop()
	<-done
	if strings.Count(log.String(), link[1]) != 1 {
		t.Error("the code stands in the log")
	}
}

// A platform that is something else, and sends back what it was asked, gets nobody told
// the token: not whoever starts serve, nor who wants the link.
func TestStartingSaysNothingOfTheToken(t *testing.T) {
	const secret = "7000:AAHdqTcvCH1vGWJxfSeofSAs0K5PALDsaw"
	page := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { _, _ = w.Write([]byte("<p>" + r.URL.Path)) }))
	defer page.Close()
	store := "redis://" + miniredis.RunT(t).Addr()
	for _, args := range [][]string{
		{"serve", "--redis-url", store, "--accept-data-loss", "--poll", "--listen", "127.0.0.1:0"},
		{"serve", "--redis-url", store, "--accept-data-loss", "--owner", "5", "--webhook-secret", "s", "--public-url", "https://desk.example.org", "--listen", "127.0.0.1:0"},
		{"link"},
	} {
		status, out, errs := dryhand(t, append(args, "--telegram-token", secret, "--telegram-api", page.URL)...)
		if status != 1 || !strings.Contains(errs, "***") {
			t.Errorf("%v: exit %d, and the page's words are not told\n%s", args, status, errs)
		}
		if strings.Contains(out+errs, "AAHdq") {
			t.Errorf("%v: the token is shown:\n%s%s", args, out, errs)
		}
	}
}
