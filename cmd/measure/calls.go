package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"maps"
	"net"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/conversations/ledger"
)

// calls counts what a bot asks of Redis while people write to it, without and with
// their answers sent: by looking over the server's shoulder, and therefore in a spell
// of its own.
func (u *updating) calls(ctx context.Context) ([]figure, error) {
	taken, err := u.looked(ctx, u.toQuiet, u.quiet, "quiet")
	if err != nil {
		return nil, err
	}
	sent, err := u.looked(ctx, u.toSpoken, u.spoken, "spoken")
	if err != nil {
		return nil, err
	}
	f := figure{What: "calls of Redis for an update", Measured: fmt.Sprintf("%.2f loads, %.2f commits", taken.of("load"), taken.committed/taken.updates),
		Anchor: "one load, one commit", Unit: "calls", Value: taken.of("load") + taken.committed/taken.updates,
		Note: fmt.Sprintf("%.3f refused commits (conflicts) beside them; calls that meet share round trips: %.2f in all; %s", taken.of("commit")-taken.committed/taken.updates, taken.trips/taken.updates, taken.others())}
	g := figure{What: "calls of Redis for an answer", Unit: "calls", Note: fmt.Sprintf("%.2f round trips for update and answer; %s", sent.trips/sent.updates, sent.others())}
	for _, name := range []string{"claim messages", "begin or free", "settle a message", "next message"} {
		g.Value += sent.of(name)
	}
	g.Measured = fmt.Sprintf("%.2f", g.Value)
	return []figure{f.atMost(2.02), g}, nil // no more than rounding
}

// seen is what was asked of Redis while people wrote.
type seen struct {
	updates, committed, trips float64
	scripts                   map[string]int
}

// of is how often a script ran for each update.
func (s seen) of(name string) float64 { return float64(s.scripts[name]) / s.updates }

// others are the scripts that are none of an update's own.
func (s seen) others() string {
	var list []string
	for _, name := range slices.Sorted(maps.Keys(s.scripts)) {
		if name != "load" && name != "commit" {
			list = append(list, fmt.Sprintf("%s %.2f", name, s.of(name)))
		}
	}
	return "of sender and sweep: " + strings.Join(list, ", ")
}

// looked has people write to a bot, and counts what it asks of Redis.
func (u *updating) looked(ctx context.Context, c *crowd, b *server, business string) (got seen, err error) {
	l, err := ledger.New(u.store.rdb, business)
	if err != nil {
		return got, err
	}
	before, err1 := l.Counts(ctx)
	trips, err2 := u.tripsSoFar(ctx)
	w, err3 := watch(u.store.url)
	if err := errors.Join(err1, err2, err3); err != nil {
		return got, err
	}
	s, err := c.write(ctx, 16, time.Minute, len(c.written)/4, b.hook)
	if err == nil && business == "spoken" {
		err = settled(ctx, l)
	}
	got.scripts = w.end()
	after, err1 := l.Counts(ctx)
	now, err2 := u.tripsSoFar(ctx)
	got.updates, got.committed, got.trips = float64(s.updates), float64(after["commits"]-before["commits"]), float64(now-trips)
	return got, errors.Join(err, err1, err2)
}

// tripsSoFar is how often the server has had something to read.
func (u *updating) tripsSoFar(ctx context.Context) (n int64, err error) {
	info, err := u.store.rdb.Info(ctx, "stats").Result()
	if err != nil {
		return 0, err
	}
	_, rest, _ := strings.Cut(info, "total_reads_processed:")
	_, err = fmt.Sscan(rest, &n)
	return n, err
}

// watcher sees every script the server runs.
type watcher struct {
	conn net.Conn
	done chan map[string]int
}

// watch begins to look.
func watch(url string) (*watcher, error) {
	c, err := net.Dial("tcp", strings.TrimPrefix(url, "redis://"))
	if err != nil {
		return nil, err
	}
	if _, err := fmt.Fprint(c, "MONITOR\r\n"); err != nil {
		return nil, err
	}
	r := bufio.NewReaderSize(c, 1<<20)
	if _, err := r.ReadString('\n'); err != nil { // +OK
		return nil, err
	}
	w := &watcher{conn: c, done: make(chan map[string]int, 1)}
	go func() {
		seen := map[string]int{}
		for {
			line, err := r.ReadString('\n')
			if err != nil {
				w.done <- seen
				return
			}
			if name := scriptIn(line); name != "" {
				seen[name]++
			}
		}
	}()
	return w, nil
}

// end looks no longer, and tells what was seen.
func (w *watcher) end() map[string]int {
	time.Sleep(100 * time.Millisecond) // what is still on its way
	w.conn.Close()
	return <-w.done
}

// scriptIn names the script a line of MONITOR shows, empty for any other line. Scripts
// are told apart by the keys they declare.
func scriptIn(line string) string {
	f := strings.SplitN(line, " ", 11) // +time [db addr] "evalsha" "digest" "keys" key key …
	if len(f) < 9 || f[3] != `"evalsha"` {
		return ""
	}
	part := func(key string) string { return strings.Trim(key[strings.LastIndex(key, "}:")+2:], `"`) }
	switch keys, first, second := strings.Trim(f[5], `"`), part(f[6]), part(f[7]); {
	case keys == "11" && first == "docs":
		return "commit"
	case keys == "2" && first == "docs" && second == "ops":
		return "load"
	case keys == "2" && first == "due":
		return "claim due"
	case keys == "4" && first == "out":
		return map[string]string{"out:pace": "claim messages", "counts": "settle a message"}[part(f[9])]
	case keys == "3" && first == "out:body":
		return "begin or free"
	case keys == "3" && first == "out":
		return "next message"
	}
	return "other scripts"
}
