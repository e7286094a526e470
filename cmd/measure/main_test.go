package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The test binary plays measure's children when it is asked to.
func TestMain(m *testing.M) {
	if os.Getenv("DRYHAND_MEASURE_CHILD") != "" {
		if err := run(context.Background(), os.Args[1:], os.Stdout, os.Stderr); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// Every row can be measured, a tiny bit of it; nothing is looked at that depends on
// how fast the machine is.
func TestEveryRow(t *testing.T) {
	t.Parallel()
	if _, err := exec.LookPath("redis-server"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("redis-server is not installed, and CI must not go without it")
		}
		t.Skip("NOT TESTED: redis-server is not installed")
	}
	var out, progress bytes.Buffer
	if err := run(t.Context(), []string{"--rounds", "1", "--tiny", "--json"}, &out, &progress); err != nil {
		t.Fatalf("%v\n%s", err, &progress)
	}
	var got table
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	told := map[string]figure{}
	for _, f := range got.Figures {
		told[f.What] = f
		if f.Measured == "" || f.Unit == "" {
			t.Errorf("a figure without what was measured: %+v", f)
		}
	}
	for _, none := range []string{"two bots: updates lost", "two bots: updates doubled", "sender: refused by the platform"} {
		if f, there := told[none]; !there || f.Value != 0 {
			t.Errorf("%s: %+v", none, f)
		}
	}
	for _, some := range []string{"update, 16 at once: rate", "update and answer sent: rate", "synced always, 64 at once: rate", "whole enquiry, price and all: rate",
		"two bots on one Redis, 16 at once: rate", "quote, 40 tasks, nothing known", "next question", "budget: worst of 200", "slot search: not one day free",
		"booking, 64 for one slot", "sweep that finds nothing", "memory of a reminder in Redis", "sender against 30 a second", "start to ready", "memory while idle (RSS)", "size of the program"} {
		if f := told[some]; f.Value <= 0 {
			t.Errorf("%s: %+v", some, f)
		}
	}
	if f := told["calls of Redis for an update"]; f.Value < 0.95 || f.Value > 2.1 {
		t.Errorf("an update takes %.2f loads and commits, want one commit, and at most one load", f.Value)
	}
	if len(got.Figures) < 28 {
		t.Errorf("%d figures in the table", len(got.Figures))
	}
}

// A goal that is missed is said, and one that is met.
func TestGoalsAreJudged(t *testing.T) {
	var out bytes.Buffer
	missed := figure{What: "slow", Measured: "9/s", Unit: "x"}.over([]float64{0.3, 0.1, 0.2}).atLeast(0.25)
	met := figure{What: "small", Measured: "9 MB", Unit: "MB"}.over([]float64{9}).atMost(9)
	if err := (table{Figures: []figure{missed, met}}).text(&out); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	want := []string{"slow 9/s – 0.20× (0.10…0.30) ≥ 0.25× NO", "small 9 MB – 9 MB ≤ 9 MB yes"}
	for i, w := range want {
		if got := strings.Join(strings.Fields(lines[len(lines)-len(want)+i]), " "); got != w {
			t.Errorf("line %d: %q, want %q", i, got, w)
		}
	}
}

// What benchmarks print is read as their format says.
func TestBenchmarksAreRead(t *testing.T) {
	got := results{}
	got.read([]byte("goos: linux\nBenchmarkOne/of_two-2   \t 1500\t  912.5 ns/op\t 3.63 x-watch\nBenchmarkOne/of_two-2 \t 10 \t 7 ns/op\nPASS\n"))
	want := results{"One/of_two ns/op": {912.5, 7}, "One/of_two x-watch": {3.63}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// Scripts are told apart by their keys.
func TestScriptsAreTold(t *testing.T) {
	for line, want := range map[string]string{
		`+1.5 [0 127.0.0.1:1] "evalsha" "ab" "2" "dh:{q}:docs" "dh:{q}:ops" "u1" "1024" "chat:1"`:            "load",
		`+1.5 [0 127.0.0.1:1] "evalsha" "cd" "11" "dh:{q}:docs" "dh:{q}:ops" "dh:{q}:due" "dh:{q}:due:body"`: "commit",
		`+1.5 [0 127.0.0.1:1] "ping"`:                 "",
		`+1.5 [0 lua] "HMGET" "dh:{q}:docs" "chat:1"`: "",
	} {
		if got := scriptIn(line); got != want {
			t.Errorf("%s: %q, want %q", line, got, want)
		}
	}
}

func TestUnknownRows(t *testing.T) {
	if err := run(t.Context(), []string{"--only", "update,nothing"}, io.Discard, io.Discard); err == nil || !strings.Contains(err.Error(), "--list") {
		t.Errorf("a row there is not: %v", err)
	}
}
