package main

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"errors"
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/go-telegram/bot/models"
	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/telegram"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// checked runs check and reads its JSON.
func checked(t *testing.T, args ...string) (status int, found map[string]finding) {
	t.Helper()
	status, out, errs := dryhand(t, append([]string{"check", "--json"}, args...)...)
	var all struct {
		OK       bool
		Findings []finding
	}
	if err := json.Unmarshal([]byte(out), &all); err != nil {
		t.Fatalf("%v\n%s%s", err, out, errs)
	}
	if all.OK != (status == 0) {
		t.Errorf("ok is %v and the exit status %d", all.OK, status)
	}
	found = map[string]finding{}
	for _, f := range all.Findings {
		found[f.What] = f
		if f.OK != (len(f.Cure) == 0) {
			t.Errorf("%s: ok %v with the cure %q", f.What, f.OK, f.Cure)
		}
	}
	return status, found
}

// wrongs are what was found wrong, sorted.
func wrongs(found map[string]finding) []string {
	var names []string
	for name, f := range found {
		if !f.OK {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// The cures are commands that cure: each that was named is carried out, and then
// all is well.
func TestCuresCure(t *testing.T) {
	server := ledgertest.NewServer(t, "--save", "3600 1", "--maxmemory-policy", "allkeys-lru")
	rdb := ledgertest.Client(t, server.URL())
	_, found := checked(t, "--redis-url", server.URL())
	if d := cmp.Diff([]string{findFile, findEvict, findSync}, wrongs(found)); d != "" {
		t.Errorf("wrong:\n%s", d)
	}
	for _, name := range wrongs(found) {
		_, command, ok := strings.Cut(found[name].Cure[0], " CONFIG SET ")
		if !ok {
			t.Fatalf("%s: the cure is no command: %q", name, found[name].Cure)
		}
		setting, value, _ := strings.Cut(command, " ")
		if err := rdb.ConfigSet(t.Context(), setting, value).Err(); err != nil {
			t.Fatal(err)
		}
	}
	if status, found := checked(t, "--redis-url", server.URL()); status != 0 {
		t.Errorf("exit %d after the cures: %v", status, wrongs(found))
	}
}

// Every kind of store is looked at without an error, and one that does not tell
// is not called well.
func TestCheckOnEveryKindOfStore(t *testing.T) {
	ledgertest.EachURL(t, func(t *testing.T, url string) {
		status, found := checked(t, "--redis-url", url)
		if status != 1 || found[findFile].OK || !found[findCommit].OK || !found[findClock].OK {
			t.Errorf("exit %d: %v", status, found)
		}
	})
}

// check writes nothing that an import would stumble over.
func TestCheckLeavesTheStoreEmpty(t *testing.T) {
	server := safeRedis(t)
	if status, found := checked(t, "--redis-url", server.URL()); status != 0 {
		t.Fatalf("exit %d: %v", status, wrongs(found))
	}
	l, err := ledger.New(ledgertest.Client(t, server.URL()), "desk")
	if err != nil {
		t.Fatal(err)
	}
	if empty, err := l.Empty(t.Context()); !empty || err != nil {
		t.Errorf("empty %v, %v", empty, err)
	}
}

// What a server says of itself, word for word as INFO and CONFIG GET say it
// (redis.io/docs, commands INFO and CONFIG GET; seen on 7.0.15), and whether it
// may hold bookings.
func TestWhatAServerSays(t *testing.T) {
	good := map[string]string{"redis_version": "7.0.15", "aof_enabled": "1", "aof_last_write_status": "ok", "maxmemory_policy": "noeviction"}
	tests := []struct {
		name, change, to, fsync string
		wrong                   []string
		loses                   bool
	}{
		{"as it should be", "", "", "always", nil, false},
		{"an old one", "redis_version", "6.2.14", "always", []string{findVersion}, false},
		{"a newer one", "redis_version", "8.0.2", "always", nil, false},
		{"no file", "aof_enabled", "0", "always", []string{findFile}, true},
		{"a full disk", "aof_last_write_status", "err", "always", []string{findFile}, true},
		{"every second", "", "", "everysec", []string{findSync}, false},
		{"whenever", "", "", "no", []string{findSync}, false},
		{"throws anything away", "maxmemory_policy", "allkeys-lfu", "always", []string{findEvict}, true},
		{"throws away what expires", "maxmemory_policy", "volatile-ttl", "always", []string{findEvict}, false},
		{"tells nothing of its version", "redis_version", "", "always", []string{findVersion}, false},
		{"tells nothing of its file", "aof_enabled", "", "", []string{findFile, findSync}, false},
		{"tells nothing of its memory", "maxmemory_policy", "", "always", []string{findEvict}, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := server{addr: "h:1", info: map[string]string{}, fsync: tt.fsync}
			for name, value := range good {
				s.info[name] = value
			}
			s.info[tt.change] = tt.to
			found := []finding{s.version(), s.file(), s.sync(), s.evicts()}
			var got []string
			for _, f := range found {
				if !f.OK {
					got = append(got, f.What)
				}
			}
			if d := cmp.Diff(tt.wrong, got); d != "" {
				t.Errorf("wrong:\n%s", d)
			}
			var std bytes.Buffer
			err := mustKeepData(found, streams{err: &std})
			if errors.Is(err, errLosesData) != tt.loses || (std.Len() > 0) != tt.loses {
				t.Errorf("serve: %v, said %q", err, std.String())
			}
		})
	}
}

// A clock that is off is found, whichever way; small differences are not.
func TestCheckClock(t *testing.T) {
	rdb := ledgertest.Client(t, safeRedis(t).URL())
	for off, ok := range map[time.Duration]bool{0: true, 3 * time.Second: true, -3 * time.Second: true, time.Minute: false, -time.Hour: false} {
		f := checkClock(t.Context(), rdb, func() time.Time { return time.Now().Add(off) })
		if f.OK != ok {
			t.Errorf("off by %v: %+v", off, f)
		}
	}
}

// A replica answers and cannot be written to.
func TestCheckFindsAReplica(t *testing.T) {
	master := ledgertest.NewServer(t)
	replica := ledgertest.NewServer(t, "--replicaof", strings.Replace(master.Addr, ":", " ", 1))
	_, found := checked(t, "--redis-url", replica.URL())
	if f := found[findCommit]; f.OK || !strings.Contains(f.Says, "cannot be written to") {
		t.Errorf("commit: %+v", f)
	}
}

// platform is a stand-in with a webhook, and its address.
func platform(t *testing.T, hook string) (*standin.Standin, string) {
	t.Helper()
	s := standin.New(standin.Config{Token: playedToken, Clock: standin.RealClock()})
	server := httptest.NewServer(s)
	t.Cleanup(func() { s.Close(); server.Close() })
	if hook != "" {
		setWebhook(t, server.URL, hook)
	}
	return s, server.URL
}

func TestCheckThePlatform(t *testing.T) {
	desk := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusMethodNotAllowed) }))
	defer desk.Close()
	public := desk.URL
	tests := []struct {
		name, hook, public string
		want               []string
	}{
		{"where it should be", public + "/telegram", public, nil},
		{"with a stroke too many", public + "/telegram", public + "/", nil},
		{"somewhere else", "https://elsewhere.example.org/telegram", public, []string{findWebhook}},
		{"nowhere", "", public, []string{findWebhook}},
		{"nowhere, and not asked", "", "", nil},
		{"somewhere, and not asked", public + "/telegram", "", nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, api := platform(t, tt.hook)
			args := []string{"--redis-url", "redis://127.0.0.1:1", "--telegram-token", playedToken, "--telegram-api", api}
			if tt.public != "" {
				args = append(args, "--public-url", tt.public)
			}
			_, found := checked(t, args...)
			delete(found, findRedis)
			if d := cmp.Diff(tt.want, wrongs(found)); d != "" {
				t.Errorf("wrong:\n%s", d)
			}
			if f := found[findBot]; f.Says != "@desk_bot" {
				t.Errorf("bot: %+v", f)
			}
		})
	}
}

// The address is visited as the platform would visit it.
func TestCheckTheAddress(t *testing.T) {
	status := http.StatusMethodNotAllowed
	page := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/telegram" {
			t.Errorf("visited: %s", r.URL)
		}
		w.Header().Set("Location", "https://elsewhere.example.org/")
		w.WriteHeader(status)
	})
	plain, secure := httptest.NewServer(page), httptest.NewTLSServer(page)
	defer plain.Close()
	defer secure.Close()
	secure.Config.ErrorLog = log.New(io.Discard, "", 0)
	look := func(address string, now time.Time) finding { return checkAddress(t.Context(), address, now) }
	ends := secure.Certificate().NotAfter
	if f := look(secure.URL, time.Now()); f.OK || !strings.Contains(f.Says, "would not take") {
		t.Errorf("a certificate nobody trusts: %+v", f)
	}
	trusted(t, secure.Client().Transport.(*http.Transport).TLSClientConfig.RootCAs)
	for _, tt := range []struct {
		name, address string
		status        int
		now           time.Time
		says          string // with a ! it is a fault
	}{
		{"plain", plain.URL, 405, time.Now(), "answers"},
		{"secure", secure.URL + "/", 405, ends.AddDate(0, -1, 0), "good until " + ends.Format("2 Jan 2006")},
		{"a proxy that lets only the platform in", secure.URL, 403, time.Now(), "answers"},
		{"a proxy that finds nobody", secure.URL, 502, time.Now(), "!answers 502"},
		{"elsewhere", secure.URL, 301, time.Now(), "!leads on to https://elsewhere.example.org/"},
		{"nearly over", secure.URL, 405, ends.AddDate(0, 0, -6), "!ends on " + ends.Format("2 Jan 2006")},
		{"nobody there", "https://127.0.0.1:1", 0, time.Now(), "!cannot be visited"},
	} {
		status = tt.status
		words, fault := strings.CutPrefix(tt.says, "!")
		if f := look(tt.address, tt.now); f.OK == fault || !strings.Contains(f.Says, words) {
			t.Errorf("%s: %+v", tt.name, f)
		}
	}
}

// trusted has everybody in this process trust an authority, until the test ends. No
// test that uses it may run beside others.
func trusted(t *testing.T, authority *x509.CertPool) {
	before := http.DefaultTransport
	mine := before.(*http.Transport).Clone()
	mine.TLSClientConfig = &tls.Config{RootCAs: authority}
	http.DefaultTransport = mine
	t.Cleanup(func() {
		mine.CloseIdleConnections()
		http.DefaultTransport = before
	})
}

// Kinds of updates that never arrive, or that nobody needs, are found.
func TestCheckKinds(t *testing.T) {
	for _, tt := range []struct {
		allowed []string
		says    string // empty if all is well
	}{
		{telegram.UpdateKinds(), ""},
		{[]string{"message", "edited_message", "my_chat_member"}, "never arriving: callback_query"},
		{append(telegram.UpdateKinds(), "message_reaction"), "brought and not needed: message_reaction"},
		{[]string{"message"}, "never arriving: edited_message, callback_query, my_chat_member"},
		{nil, "more than are needed"},
	} {
		f := checkKinds(&models.WebhookInfo{AllowedUpdates: tt.allowed})
		if f.OK != (tt.says == "") || !strings.Contains(f.Says, tt.says) {
			t.Errorf("%v: %+v", tt.allowed, f)
		}
	}
}

// A clock that is off by the platform's is found, also where Redis's, on the same
// machine, is off with it.
func TestCheckAgainstThePlatformsClock(t *testing.T) {
	_, api := platform(t, "")
	for off, ok := range map[time.Duration]bool{0: true, 3 * time.Second: true, time.Minute: false, -time.Hour: false} {
		found := checkPlatform(t.Context(), playedToken, api, "", func() time.Time { return time.Now().Add(off) })
		i := slices.IndexFunc(found, func(f finding) bool { return f.What == findOurs })
		if i < 0 || found[i].OK != ok {
			t.Errorf("off by %v: %+v", off, found)
		}
	}
}

// Tokens that are not known, or are none, and platforms that are away or are
// something else: said, and the token never.
func TestCheckSaysNothingOfTheToken(t *testing.T) {
	const secret = "7000:AAHdqTcvCH1vGWJxfSeofSAs0K5PALDsaw"
	_, api := platform(t, "")
	page := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { _, _ = w.Write([]byte("<p>" + r.URL.Path)) }))
	defer page.Close()
	for _, tt := range []struct{ token, api, says string }{
		{secret, api, "does not know this token"},
		{"not" + secret, api, "token is digits"},
		{secret, "http://127.0.0.1:1", "cannot be asked"},
		{secret, page.URL, "cannot be asked"},
	} {
		status, out, errs := dryhand(t, "check", "--redis-url", "redis://127.0.0.1:1", "--telegram-token", tt.token, "--telegram-api", tt.api)
		if status != 1 || !strings.Contains(out, tt.says) {
			t.Errorf("exit %d, want %q in\n%s", status, tt.says, out)
		}
		if strings.Contains(out+errs, "AAHdqTcv") {
			t.Errorf("the token is shown:\n%s%s", out, errs)
		}
	}
}

// The platform goes on naming the last failure after it was mended
// (core.telegram.org/bots/api#webhookinfo): an old one with nothing waiting is no
// fault any more.
func TestCheckDeliveries(t *testing.T) {
	now := time.Date(2027, 4, 12, 18, 40, 0, 0, time.UTC)
	for _, tt := range []struct {
		name            string
		ago             time.Duration
		waiting         int
		failed, pending bool
	}{
		{"a minute ago", time.Minute, 0, true, false},
		{"long ago", 5 * time.Hour, 0, false, false},
		{"long ago, and still waiting", 5 * time.Hour, 1, true, false},
		{"nobody takes them", time.Minute, 300, true, true},
	} {
		hook := &models.WebhookInfo{PendingUpdateCount: tt.waiting, LastErrorDate: int(now.Add(-tt.ago).Unix()), LastErrorMessage: "Connection refused"}
		if f := checkDelivery(hook, now); f.OK == tt.failed || !strings.Contains(f.Says, "Connection refused") {
			t.Errorf("%s: %+v", tt.name, f)
		}
		if f := checkPending(hook); f.OK == tt.pending {
			t.Errorf("%s: %+v", tt.name, f)
		}
	}
	if f := checkDelivery(&models.WebhookInfo{}, now); !f.OK {
		t.Errorf("never failed: %+v", f)
	}
}

// serve starts on a Redis that can lose bookings only when told to, and on one
// that is not there yet.
func TestServeWhenToldToAcceptDataLoss(t *testing.T) {
	server := ledgertest.NewServer(t)
	args := []string{"serve", "--redis-url", server.URL(), "--telegram-token", playedToken, "--webhook-secret", "s", "--owner", "1", "--listen", "127.0.0.1:0"}
	for _, tt := range []struct {
		args   []string
		starts bool
	}{
		{args, false},
		{append(args, "--accept-data-loss"), true},
		{append(args, "--redis-url", "redis://127.0.0.1:1"), true},
	} {
		ctx, stop := context.WithCancel(t.Context())
		log := &watched{word: `"msg":"ready"`, then: stop}
		status := run(ctx, tt.args, streams{in: strings.NewReader(""), out: log, err: log})
		stop()
		if want := map[bool]int{true: 0, false: 1}[tt.starts]; status != want || log.seen != tt.starts {
			t.Errorf("%v: exit %d, started %v\n%s", tt.args, status, log.seen, log.text.String())
		}
	}
}

// watched is a log in which one word ends the watch.
type watched struct {
	word string
	then func()
	seen bool
	text bytes.Buffer
}

func (w *watched) Write(p []byte) (int, error) {
	n, err := w.text.Write(p)
	if !w.seen && strings.Contains(w.text.String(), w.word) {
		w.seen = true
		w.then()
	}
	return n, err
}
