package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/standin/script"
	"example.org/dryhand/bot/telegram"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
	"example.org/dryhand/pricing"
	"example.org/dryhand/testdata"
)

// ward keeps a bot's process alive: whenever it dies, it starts another.
type ward struct {
	env    []string
	addr   string
	mu     sync.Mutex
	cmd    *exec.Cmd
	ended  bool
	done   chan struct{}
	Deaths int
}

func newWard(env []string, addr string) *ward {
	childProgram() // what has to be built is built before anybody's patience begins
	w := &ward{env: env, addr: addr, done: make(chan struct{})}
	go w.keep()
	return w
}

func (w *ward) keep() {
	defer close(w.done)
	program := childProgram()
	for {
		cmd := exec.Command(program)
		cmd.Env = append(os.Environ(), w.env...)
		cmd.Stderr = os.Stderr
		w.mu.Lock()
		if w.ended {
			w.mu.Unlock()
			return
		}
		if err := cmd.Start(); err != nil {
			w.mu.Unlock()
			return
		}
		w.cmd = cmd
		w.mu.Unlock()
		_ = cmd.Wait()
		w.mu.Lock()
		w.Deaths++
		w.mu.Unlock()
	}
}

func (w *ward) end() {
	w.mu.Lock()
	w.ended = true
	if w.cmd != nil {
		_ = w.cmd.Process.Kill()
	}
	w.mu.Unlock()
	<-w.done
}

// work lets the child send and sweep, and returns how much it did. A child that
// dies of it, or is just being born, is an error.
func (w *ward) work(ctx context.Context) (n int, err error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, "http://"+w.addr+"/work", nil)
	if err != nil {
		return 0, err
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return 0, err
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil || resp.StatusCode != http.StatusOK {
		return 0, fmt.Errorf("work: %s %s %w", resp.Status, body, err)
	}
	return strconv.Atoi(string(body))
}

// killed is a world whose bot is another process that dies.
type killed struct {
	*ward
	standin *standin.Standin
	clock   *standin.Clock
	ledger  *ledger.Ledger
	zone    *time.Location
	deaths  string
}

// freeAddr is an address on loopback that nobody uses.
func freeAddr(t *testing.T) string {
	t.Helper()
	return net.JoinHostPort("127.0.0.1", ledgertest.FreePort(t))
}

// longRules are the shipped rules with holds that outlast many deaths: each
// costs minutes of the clock.
func longRules() string {
	r := strings.Replace(string(pricing.DefaultYAML()), "hold-minutes: 20 ", "hold-minutes: 600 ", 1)
	return strings.Replace(r, "approve-within-hours: 12 ", "approve-within-hours: 48 ", 1)
}

func newKilled(t *testing.T, stride string, extra ...string) *killed {
	t.Helper()
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	server := ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", "always")
	url := "redis://" + server.Addr + "/0"
	l, err := ledger.New(ledgertest.Client(t, url), "killed")
	if err != nil {
		t.Fatal(err)
	}
	k := &killed{clock: standin.NewClock(time.Date(2027, 4, 12, 18, 40, 0, 0, zone)), ledger: l, zone: zone}
	k.standin = standin.New(standin.Config{Token: playedToken, Clock: k.clock})
	platform := httptest.NewServer(k.standin)
	told := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		_, _ = io.WriteString(w, k.clock.Now().Format(time.RFC3339Nano))
	}))
	k.deaths = filepath.Join(t.TempDir(), "deaths")
	addr := freeAddr(t)
	env := append([]string{"DRYHAND_CHILD=1", "CHILD_REDIS=" + url, "CHILD_RULES=" + longRules(), "CHILD_API=" + platform.URL, "CHILD_CLOCK=" + told.URL,
		"CHILD_LISTEN=" + addr, "CHILD_OWNER=" + fmt.Sprint(int64(playedOwner)), "CHILD_STRIDE=" + stride}, extra...)
	if stride != "" {
		env = append(env, "CHILD_DEATHS="+k.deaths)
	}
	k.ward = newWard(env, addr)
	t.Cleanup(func() { k.end(); k.standin.Close(); platform.Close(); told.Close() })
	setWebhook(t, platform.URL, "http://"+addr+"/telegram")
	return k
}

func setWebhook(t *testing.T, platform, hook string) {
	t.Helper()
	kinds, err := json.Marshal(telegram.UpdateKinds())
	if err != nil {
		t.Fatal(err)
	}
	body := fmt.Sprintf(`{"url":%q,"secret_token":%q,"allowed_updates":%s}`, hook, playedSecret, kinds)
	resp, err := http.Post(platform+"/bot"+playedToken+"/setWebhook", "application/json", strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		t.Fatalf("setWebhook: %s", resp.Status)
	}
}

// until lets everything happen that happens up to a moment, moving the clock on
// whenever nothing is left to do at the moment it shows.
func (k *killed) until(ctx context.Context, to time.Time) error {
	for ctx.Err() == nil {
		changed := k.standin.Changed()
		next, have := k.standin.Due()
		if have && !next.After(k.clock.Now()) {
			select {
			case <-changed:
			case <-ctx.Done():
			}
			continue
		}
		n, err := k.work(ctx)
		if err != nil {
			time.Sleep(5 * time.Millisecond) // until another child listens
			continue
		}
		if n > 0 {
			continue
		}
		for _, of := range []func(context.Context) (time.Time, bool, error){k.ledger.NextOut, k.ledger.NextDue} {
			if t, ok, err := of(ctx); err != nil {
				return err
			} else if ok && (!have || t.Before(next)) {
				next, have = t, true
			}
		}
		if !have || next.After(to) {
			return nil
		}
		k.clock.Set(next)
	}
	return ctx.Err()
}

// play plays the built-in script in the killed world.
func (k *killed) play() error {
	text, err := fs.ReadFile(testdata.Files, builtIn)
	if err != nil {
		return err
	}
	lines, err := script.Parse(builtIn, string(text), k.zone)
	if err != nil {
		return err
	}
	const settling = 10 * time.Minute
	p := &script.Player{
		Standin: k.standin, Zone: k.zone, People: script.People(lines, int64(playedOwner)), Patience: 10 * time.Minute,
		Photo:  func(n string) ([]byte, error) { return fs.ReadFile(testdata.Files, "photos/"+n) },
		Settle: func(ctx context.Context) error { return k.until(ctx, k.clock.Now().Add(settling)) },
		Push: func(ctx context.Context, to time.Time) error {
			if err := k.until(ctx, to); err != nil {
				return err
			}
			k.clock.Set(to)
			return k.until(ctx, to)
		},
	}
	page, err := p.Play(context.Background(), builtIn, lines)
	if err != nil {
		const tail = 1200
		return fmt.Errorf("%w, after\n%s", err, page[max(0, len(page)-tail):])
	}
	return nil
}

// ending is what must be the same however often the process died.
type ending struct {
	Enquiries map[string]conversations.Stage
	Quote     string
	Slot      string
	Work      string
	Diary     int
	Nudged    int
	Uncertain int
}

func (k *killed) ending(t *testing.T) ending {
	t.Helper()
	end := ending{Enquiries: map[string]conversations.Stage{}}
	err := k.ledger.Each(context.Background(), func(r ledger.Record) error {
		if r.Kind == "doc" && strings.HasPrefix(r.Key, "day:") {
			var d struct{ Entries []any }
			if err := json.Unmarshal(r.Body, &d); err != nil {
				return err
			}
			end.Diary += len(d.Entries)
		}
		if r.Kind != "doc" || !strings.HasPrefix(r.Key, "enq:") {
			return nil
		}
		var e conversations.Enquiry
		if err := json.Unmarshal(r.Body, &e); err != nil {
			return err
		}
		end.Enquiries[e.ID] = e.Stage
		if e.Quote != nil && e.Slot != nil && e.Work != nil {
			end.Quote = fmt.Sprint(e.Quote.Likely, e.Quote.High)
			end.Slot = e.Slot.Start.UTC().Format(time.RFC3339)
			end.Work = fmt.Sprint(e.Work.Minutes, e.Work.Protections, e.Work.Price)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	events, _ := k.standin.Since(0)
	for _, e := range events {
		if e.Kind == standin.Said && e.Line.Bot && (strings.Contains(e.Line.Text, "is about due again") || strings.Contains(e.Line.Text, "once more about")) {
			end.Nudged++
		}
	}
	asides, err := k.ledger.Asides(context.Background(), 100)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range asides {
		if strings.HasPrefix(a.Reason, "uncertain") {
			end.Uncertain++
		}
	}
	return end
}

// The process is killed at every named point inside load, commit, acknowledge
// and send. After each death another takes over, and the script ends the same.
// DRYHAND_KILLS=1 kills at every point of every operation; without it, at the
// first of each and every fortieth of the others.
func TestKilledAtEveryPoint(t *testing.T) {
	if testing.Short() {
		t.Skip("starts many processes")
	}
	undisturbed := newKilled(t, "")
	if err := undisturbed.play(); err != nil {
		t.Fatal(err)
	}
	want := undisturbed.ending(t)
	if want.Nudged != 2 || want.Diary != 1 { // the nudge and the one that follows
		t.Fatalf("undisturbed, it ends with %+v", want)
	}
	stride := "40"
	if os.Getenv("DRYHAND_KILLS") != "" {
		stride = os.Getenv("DRYHAND_KILLS")
	}
	k := newKilled(t, stride)
	if err := k.play(); err != nil {
		t.Fatal(err)
	}
	got := k.ending(t)
	// A nudge cut off between leaving and reporting may have arrived, and is
	// never sent again: then it is counted instead, whether it was seen or not.
	if got.Nudged <= want.Nudged && got.Nudged+got.Uncertain >= want.Nudged {
		got.Nudged, got.Uncertain = want.Nudged, want.Uncertain
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("the ending (-undisturbed +killed):\n%s", d)
	}
	at := tally(t, k.deaths)
	for _, p := range []string{"load:before", "load:after", "recalled", "commit:before", "commit:after", "ack:before", "ack:after", "send:claimed", "send:begun", "send:called", "send:settled"} {
		if at[p] == 0 {
			t.Errorf("never killed at %s", p)
		}
	}
	t.Logf("killed at: %s", show(at))
}

// The harness finds the mistake it is there to find.
func TestKilledWithAcknowledgeFirstFails(t *testing.T) {
	if testing.Short() {
		t.Skip("starts many processes")
	}
	k := newKilled(t, "8", "CHILD_ACK_FIRST=1")
	if err := k.play(); err == nil {
		t.Error("updates that were acknowledged first survived a kill: the harness cannot find anything")
	} else {
		t.Log("as it must: ", err)
	}
}

// tally counts the deaths by point.
func tally(t *testing.T, file string) map[string]int {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		t.Fatal(err)
	}
	at := map[string]int{}
	for _, l := range strings.Split(strings.TrimSpace(string(b)), "\n") {
		name, _, _ := strings.Cut(l, " ")
		at[name]++
	}
	return at
}

func show(at map[string]int) string {
	var s []string
	for p, n := range at {
		s = append(s, fmt.Sprintf("%s %d", p, n))
	}
	sort.Strings(s)
	return strings.Join(s, ", ")
}
