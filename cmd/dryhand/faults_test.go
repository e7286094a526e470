package main

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger/ledgertest"
)

// row is one fault of the table.
type row struct {
	name string

	mu sync.Mutex
	// tried is how often something was broken, or a race was on; conflicts how many commits met
	// somebody else's and were decided anew, where the bot lives in this process.
	tried, conflicts   int
	schedules, unlikes int
	outcome
	elsewhere bool // the bot is another process: its conflicts are not seen
	// back is the longest it took, once the store was there again, until something could
	// be committed; backs is how often that was looked at, late how often it was too long.
	back        time.Duration
	backs, late int
	meant       bool // a control: what goes wrong is not worth telling
}

// add counts one schedule in.
func (r *row) add(o outcome) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.schedules++
	r.updates += o.updates
	r.redelivered += o.redelivered
	r.moments += o.moments
	r.lost += o.lost
	r.doubled += o.doubled
	r.breaches += o.breaches
	r.aside += o.aside
	r.bookings += o.bookings
	if o.unlike != "" {
		r.unlikes++
	}
}

// wrong is how many things went wrong.
func (r *row) wrong() int { return r.lost + r.doubled + r.breaches + r.unlikes + r.aside }

// faultsSize is how many schedules and how many updates under faults of the bot
// and of the store are asked for. The short form keeps the whole test within
// twenty seconds.
func faultsSize(t *testing.T) (schedules, bot, store int) {
	// Without the variable little is played: with the race detector every bot takes
	// a second to be born, and many are killed.
	const short, ofBot, ofStore = 12, 5, 2
	schedules = short
	if v := os.Getenv("DRYHAND_FAULTS"); v != "" {
		n, err := strconv.Atoi(v)
		if err != nil || n < 2 {
			t.Fatalf("DRYHAND_FAULTS=%q: want a number of schedules, from 2", v)
		}
		schedules = n
	}
	if schedules == short {
		return short, ofBot * short, ofStore * short
	}
	const mostOfBot, mostOfStore = 10_000, 4_000 // updates; what is restarted for them takes its time
	return schedules, min(max(300, ofBot*schedules), mostOfBot), min(max(100, ofStore*schedules), mostOfStore)
}

// faultsSeed is where the schedules begin: each has the seed after the one
// before. DRYHAND_FAULTS_SEED plays the same acts again, though not the same
// race between them.
func faultsSeed(t *testing.T) uint64 {
	v := os.Getenv("DRYHAND_FAULTS_SEED")
	if v == "" {
		return 1
	}
	n, err := strconv.ParseUint(v, 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// newSite makes a store and an oracle for schedules, and no bot yet. The sync
// says how the store's file is written: always where the server will be killed.
func newSite(t testing.TB, sync string) *faultsSite {
	return newSiteOn(t, ledgertest.NewServer(t, keepsJournal(sync)...))
}

// keepsJournal are the settings of a server whose file is never written anew.
func keepsJournal(sync string) []string {
	return []string{"--appendonly", "yes", "--appendfsync", sync, "--auto-aof-rewrite-percentage", "0"}
}

func newSiteOn(t testing.TB, server *ledgertest.Server) *faultsSite {
	transport := &http.Transport{MaxIdleConnsPerHost: 64}
	t.Cleanup(transport.CloseIdleConnections)
	return &faultsSite{
		t: t, server: server, direct: patient(t, server.URL()), oracle: ledgertest.Client(t, ledgertest.NewServer(t).URL()),
		patience: 20 * time.Second, client: &http.Client{Transport: transport},
	}
}

// one plays and judges one schedule. Scenes take turns, as do three and four
// people, and some are over sooner than others. What is broken on purpose breaks
// during the play, not while it is set up or judged.
func (x *faultsSite) one(ctx context.Context, r *row, seed uint64, scenes []scene) error {
	sc := scenes[seed%uint64(len(scenes))]
	sc.people = sc.people[:min(len(sc.people), 3+int(seed/3%2))]
	rounds := 4 + int(seed%7)
	x.whole.Lock()
	s, err := x.begin(ctx, seed, sc)
	x.whole.Unlock()
	if err != nil {
		return err
	}
	if err := s.play(ctx, rounds); err != nil {
		return fmt.Errorf("schedule %d: %w", seed, err)
	}
	x.whole.Lock()
	defer x.whole.Unlock()
	o, err := s.judge(ctx, sc)
	if err != nil {
		return fmt.Errorf("schedule %d: %w", seed, err)
	}
	r.add(o)
	if !r.meant && (o != outcome{updates: o.updates, redelivered: o.redelivered, moments: o.moments, bookings: o.bookings}) {
		x.t.Logf("%s, schedule %d: %+v; one by one (-) and as it was (+):\n%s", r.name, seed, o, o.unlike)
	}
	return x.direct.FlushDB(ctx).Err()
}

// playSchedules plays schedules against one bot or more, all on one store.
func playSchedules(t *testing.T, name string, bots, n int, seed uint64) *row {
	r := &row{name: name}
	const each = 250 // then a new store, so that its file stays small
	for begun := 0; begun < n; begun += each {
		t.Run(fmt.Sprintf("%s from %d", name, begun), func(t *testing.T) {
			t.Parallel()
			x := newSite(t, "no")
			scenes, err := x.scenes(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			api := faultsPlatform(t)
			for range bots {
				x.bots = append(x.bots, newFaultsBot(r.watched(ledgertest.Client(t, x.server.URL())), api, x.now).serve(t))
			}
			for i := range min(each, n-begun) {
				if err := x.one(t.Context(), r, seed+uint64(begun+i), scenes); err != nil {
					t.Fatal(err)
				}
				r.broken(1)
			}
		})
	}
	return r
}

// TestFaults breaks the whole desk on purpose and counts what comes of it. As it
// stands it takes some seconds. DRYHAND_FAULTS is how many schedules to play; under
// faults of the bot there are five times as many updates, up to ten thousand, and under
// each fault of the store twice as many, up to four thousand:
//
//	DRYHAND_FAULTS=2000 go test ./cmd/dryhand -run 'TestFaults$' -v -timeout 3h
func TestFaults(t *testing.T) {
	if testing.Short() {
		t.Skip("starts many processes")
	}
	redis.SetLogger(quiet{})
	n, bot, store := faultsSize(t)
	seed := faultsSeed(t)
	var rows []*row
	var controls []*control
	t.Run("table", func(t *testing.T) {
		rows = []*row{
			playSchedules(t, "one bot, all at once", 1, n-n/2, seed),
			playSchedules(t, "two bots, one store", 2, n/2, seed+1e6),
			botKilled(t, bot, seed+2e6),
			botStopped(t, bot, seed+3e6),
			storeKilled(t, store, seed+4e6),
			storeStopped(t, store, seed+5e6),
			repliesLost(t, store, seed+6e6),
			connectionsTorn(t, store, seed+7e6),
			repliesSlow(t, store, seed+8e6),
			memoryFull(t, store, seed+9e6),
		}
		for i, f := range diskFaults {
			rows = append(rows, f(t, store, seed+uint64(10+i)*1e6))
		}
		controls = []*control{
			answeredFirst(t, seed),
			answeredFirstUnordered(t, seed),
			committedBlindly(t, seed),
			forgotWhatWasApplied(t, seed),
			repeatedByTheClient(t),
		}
		for _, c := range diskControls {
			controls = append(controls, c(t))
		}
	})
	report(t, rows, controls)
}

// quiet is the client library's log of connections that were broken on purpose.
type quiet struct{}

func (quiet) Printf(context.Context, string, ...any) {}

// mostBack is how soon something must be committed again after the store is back.
const mostBack = 500 * time.Millisecond

// report prints the table, and fails on every number that must be nothing and on
// every control in which nothing was found.
func report(t *testing.T, rows []*row, controls []*control) {
	var b strings.Builder
	const heads, numbers = "\n%-44s %7s %9s %8s %8s %8s %9s %8s %9s | %5s %7s %6s %6s %6s\n", "%-44s %7d %9d %8d %8d %8d %9s %8d %9s | %5d %7d %6d %6d %6d\n"
	fmt.Fprintf(&b, heads, "", "times", "", "", "brought", "", "", "", "back", "", "", "out of", "no", "put")
	fmt.Fprintf(&b, heads[1:], "fault", "broken", "schedules", "updates", "again", "moments", "conflicts", "bookings", "within", "lost", "doubled", "order", "serial", "aside")
	for _, r := range rows {
		conflicts, back := strconv.Itoa(r.conflicts), ""
		if r.elsewhere {
			conflicts = "?" // in another process
		}
		if r.backs > 0 {
			back = fmt.Sprintf("%d ms", (r.back + time.Millisecond - 1).Milliseconds())
		}
		fmt.Fprintf(&b, numbers, r.name, r.tried, r.schedules, r.updates, r.redelivered, r.moments, conflicts, r.bookings, back,
			r.lost, r.doubled, r.breaches, r.unlikes, r.aside)
		if r.wrong() != 0 {
			t.Errorf("%s: %d things went wrong", r.name, r.wrong())
		}
		if r.tried == 0 || r.updates == 0 {
			t.Errorf("%s: nothing was broken", r.name)
		}
		if r.late > 1+r.backs/100 { // a machine with more to do than this may stumble once
			t.Errorf("%s: %d times of %d nothing could be committed for more than %v after the store was back, up to %v", r.name, r.late, r.backs, mostBack, r.back)
		}
	}
	fmt.Fprintln(&b, "Left of the bar: what was tried. Right of it: what went wrong, which must be nothing.")
	fmt.Fprintln(&b, "\ncontrols, mistakes made on purpose, which must be found:")
	failed := 0
	for _, c := range controls {
		fmt.Fprintf(&b, "%-76s %d %s\n", c.name, c.found, c.what)
		if c.found > 0 {
			failed++
		} else {
			t.Errorf("control %q: the harness sees nothing wrong with it", c.name)
		}
	}
	fmt.Fprintf(&b, "found: %d of %d\n", failed, len(controls))
	t.Log(b.String())
}
