package main

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"strconv"
	"strings"
	"testing"
	"text/tabwriter"
	"time"

	"example.org/dryhand/conversations/ledger/ledgertest"
)

// row is one fault of the table.
type row struct {
	name  string
	tried int
	outcome
	schedules, unlikes int
	meant              bool // a control: what goes wrong is not worth telling
}

// add counts one schedule in.
func (r *row) add(o outcome) {
	r.schedules++
	r.updates += o.updates
	r.redelivered += o.redelivered
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

// faultsSize is how many schedules and how many updates under each fault are
// asked for. The short form keeps the whole test within twenty seconds.
func faultsSize(t *testing.T) (schedules, updates int) {
	const short, each = 20, 5
	schedules = short
	if v := os.Getenv("DRYHAND_FAULTS"); v != "" {
		n, err := strconv.Atoi(v)
		if err != nil || n < 2 {
			t.Fatalf("DRYHAND_FAULTS=%q: want a number of schedules, from 2", v)
		}
		schedules = n
	}
	return schedules, max(300, each*schedules)
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
	server := ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", sync, "--auto-aof-rewrite-percentage", "0")
	transport := &http.Transport{MaxIdleConnsPerHost: 64}
	t.Cleanup(transport.CloseIdleConnections)
	return &faultsSite{
		t: t, server: server, direct: patient(t, server.URL()), oracle: ledgertest.Client(t, ledgertest.NewServer(t).URL()),
		patience: 20 * time.Second, client: &http.Client{Transport: transport},
	}
}

// one plays and judges one schedule. Scenes take turns, as do two to four
// people, and some are over sooner than others. What is broken on purpose breaks
// during the play, not while it is set up or judged.
func (x *faultsSite) one(ctx context.Context, r *row, seed uint64, scenes []scene) error {
	sc := scenes[seed%uint64(len(scenes))]
	sc.people = sc.people[:min(len(sc.people), 2+int(seed/3%3))]
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
	if !r.meant && (o != outcome{updates: o.updates, redelivered: o.redelivered, bookings: o.bookings}) {
		x.t.Logf("%s, schedule %d: %+v; one by one (-) and as it was (+):\n%s", r.name, seed, o, o.unlike)
	}
	return x.direct.FlushDB(ctx).Err()
}

// playSchedules plays schedules against one bot or more, all on one store.
func playSchedules(t *testing.T, name string, bots, n int, seed uint64) *row {
	r := &row{name: name}
	ctx := t.Context()
	const each = 250 // then a new store, so that its file stays small
	for begun := 0; begun < n; begun += each {
		t.Run(fmt.Sprintf("%s from %d", name, begun), func(t *testing.T) {
			x := newSite(t, "no")
			api := faultsPlatform(t)
			for range bots {
				x.bots = append(x.bots, newFaultsBot(ledgertest.Client(t, x.server.URL()), api, x.now).serve(t))
			}
			scenes, err := x.scenes(ctx)
			if err != nil {
				t.Fatal(err)
			}
			for i := range min(each, n-begun) {
				if err := x.one(ctx, r, seed+uint64(begun+i), scenes); err != nil {
					t.Fatal(err)
				}
				r.tried++
			}
		})
	}
	return r
}

// TestFaults breaks the whole desk on purpose and counts what comes of it. It
// takes a few seconds as it stands. The big form, about as many schedules as the
// number and five times as many updates under each fault:
//
//	DRYHAND_FAULTS=2000 go test ./cmd/dryhand -run 'TestFaults$' -v -timeout 2h
func TestFaults(t *testing.T) {
	if testing.Short() {
		t.Skip("starts many processes")
	}
	n, updates := faultsSize(t)
	seed := faultsSeed(t)
	rows := []*row{
		playSchedules(t, "one bot, all at once", 1, n-n/2, seed),
		playSchedules(t, "two bots, one store", 2, n/2, seed+uint64(n)),
		botKilled(t, updates, seed),
		botStopped(t, updates, seed),
		storeKilled(t, updates, seed),
		storeStopped(t, updates, seed),
		repliesLost(t, updates, seed),
		connectionsTorn(t, updates, seed),
	}
	report(t, rows, []control{
		answeredFirst(t, seed),
		answeredFirstUnordered(t, seed),
		committedBlindly(t, seed),
		forgotWhatWasApplied(t, seed),
		repeatedByTheClient(t),
	})
}

// report prints the table and fails on every number that must be nothing.
func report(t *testing.T, rows []*row, controls []control) {
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "\ntried\tschedules\tupdates\tredelivered\tbookings\tlost\tdoubled\torder breaches\tno serial order\tput aside\t\tfault")
	for _, r := range rows {
		fmt.Fprintf(w, "%d\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t\t%s\n", r.tried, r.schedules, r.updates, r.redelivered, r.bookings,
			r.lost, r.doubled, r.breaches, r.unlikes, r.aside, r.name)
		if r.wrong() != 0 {
			t.Errorf("%s: %d things went wrong", r.name, r.wrong())
		}
	}
	w.Flush()
	for _, c := range controls {
		fmt.Fprintf(&b, "control, failed as it must: %s: %s\n", c.name, c.found)
	}
	t.Log(b.String())
}
