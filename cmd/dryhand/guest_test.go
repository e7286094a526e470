package main

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/conversations/ledger/ledgertest"
)

// Somebody who rang has a number below zero and is found by name, shown and erased
// like anybody else, wherever they stand; the one before them stays.
func TestForgetSomebodyWhoRang(t *testing.T) {
	w := story(t, `-- Mon 12 Apr 2027, 18:40
Owner: /start
Owner: rang Balthazar, fiesta, outside, he'll drop it off
Owner: 2
Owner taps [Just the price ›]
Owner: rang Zuleika, golf estate inside and out, dog hair, she'll drop it off
Owner: 3
Owner: 2
Owner taps [Just the price ›]
Owner taps [Find a day ›]
Owner: nothing
`)
	records := everything(t, w.ledger)
	ledgertest.EachURL(t, func(t *testing.T, url string) {
		rdb := ledgertest.Client(t, url)
		copied(t, rdb, records)
		status, out, errs := dryhand(t, "find", "--redis-url", url, "zulei")
		if status != 0 || strings.Join(strings.Fields(out), " ") != "-2 Zuleika Volkswagen Golf Estate" {
			t.Fatalf("find: exit %d\n%s%s", status, out, errs)
		}
		if n := len(traces(t, rdb, "Zuleika", "-2-1", "chat:-2", `"guest":-2`)); n < 4 {
			t.Fatalf("only %d traces to begin with", n)
		}
		others := traces(t, rdb, "Balthazar", "-1-1", "chat:-1")
		status, out, errs = dryhand(t, "export", "--redis-url", url, "--owner", fmt.Sprint(int64(playedOwner)), "--customer=-2")
		if status != 0 || !strings.Contains(out, "Zuleika") || strings.Contains(out, "Balthazar") {
			t.Errorf("export: exit %d\n%s%s", status, out, errs)
		}
		if status, _, errs := dryhand(t, "forget", "--redis-url", url, "--owner", fmt.Sprint(int64(playedOwner)), "--yes", "--", "-2"); status != 0 {
			t.Fatalf("forget: exit %d\n%s", status, errs)
		}
		for _, line := range traces(t, rdb, "Zuleika", "-2-1", "chat:-2", `"guest":-2`) {
			if !strings.HasPrefix(line, "dh:{desk}:ops d:") {
				t.Errorf("left: %s", line)
			}
		}
		if got := traces(t, rdb, "Balthazar", "-1-1", "chat:-1"); !slices.Equal(got, others) {
			t.Errorf("of the other: %q, before %q", got, others)
		}
		if status, _, _ := dryhand(t, "find", "--redis-url", url, "zulei"); status != 1 {
			t.Error("still found")
		}
	})
}
