package main

import (
	"bufio"
	"context"
	"fmt"
	"maps"
	"net"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/conversations/ledger"
)

// calls counts what a bot asks of Redis while people write to it: by looking over the
// server's shoulder, and therefore in a spell of its own.
func (u *updating) calls(ctx context.Context) (figure, error) {
	f := figure{What: "calls of Redis for an update", Unit: "calls"}
	l, err := ledger.New(u.store.rdb, "quiet")
	if err != nil {
		return f, err
	}
	before, err := l.Counts(ctx)
	if err != nil {
		return f, err
	}
	trips, err := u.tripsSoFar(ctx)
	if err != nil {
		return f, err
	}
	w, err := watch(u.store.url)
	if err != nil {
		return f, err
	}
	s, err := u.toQuiet.write(ctx, 16, u.spell, endless, u.quiet.hook)
	seen := w.end()
	if err != nil {
		return f, err
	}
	after, err := l.Counts(ctx)
	if err != nil {
		return f, err
	}
	trips2, err := u.tripsSoFar(ctx)
	if err != nil {
		return f, err
	}
	n := float64(s.updates)
	committed := float64(after["commits"] - before["commits"])
	f.Value = (float64(seen["load"]) + committed) / n
	f.Measured = fmt.Sprintf("%.2f loads, %.2f commits", float64(seen["load"])/n, committed/n)
	f.Anchor = "one load, one commit"
	others := []string{}
	for _, name := range slices.Sorted(maps.Keys(seen)) {
		if name != "load" && name != "commit" {
			others = append(others, fmt.Sprintf("%s %.2f", name, float64(seen[name])/n))
		}
	}
	f.Note = fmt.Sprintf("beside them %.3f refused commits (conflicts); %.2f round trips in all, as calls that meet share one; of sender and sweep, which look for work: %s",
		(float64(seen["commit"])-committed)/n, float64(trips2-trips)/n, strings.Join(others, ", "))
	return f.atMost(2.02), nil // no more than rounding
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
	f := strings.SplitN(line, " ", 9) // +time [db addr] "evalsha" "digest" "keys" key key …
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
	case keys == "4" && first == "out" && second == "out:body":
		return "claim or settle a message"
	case keys == "3" && first == "out":
		return "next message"
	}
	return "other scripts"
}
