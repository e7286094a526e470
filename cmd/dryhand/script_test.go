package main

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"example.org/dryhand/conversations/ledger/ledgertest"
)

// The scripts in testdata/script run commands of this program inside the test,
// because the binary's own main is taken: it plays the bot that is killed.
//
//	dryhand STATUS ARG...   runs the command and wants this exit status
//	input FILE              is what the next dryhand reads
//
// $SAFE and $DEFAULT are Redis servers, as they should be and as they come.
// $EXAMPLES is the folder of enquiries.
func TestScripts(t *testing.T) {
	vars := map[string]string{}
	if _, err := exec.LookPath("redis-server"); err == nil {
		vars["SAFE"] = safeRedis(t).URL()
		vars["DEFAULT"] = defaultRedis(t).URL()
	} else if os.Getenv("CI") != "" {
		t.Fatal("redis-server is not installed, and CI must not go without it")
	}
	examples, err := filepath.Abs("../../testdata/pricing/enquiries")
	if err != nil {
		t.Fatal(err)
	}
	vars["EXAMPLES"] = examples
	type stdin struct{}
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			for name, value := range vars {
				e.Setenv(name, value)
			}
			e.Values[stdin{}] = new(string)
			return nil
		},
		Condition: func(name string) (bool, error) {
			if name == "redis" {
				return vars["SAFE"] != "", nil
			}
			return false, errors.New("unknown condition " + name)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"input": func(ts *testscript.TestScript, _ bool, args []string) {
				*ts.Value(stdin{}).(*string) = ts.ReadFile(args[0])
			},
			"dryhand": func(ts *testscript.TestScript, _ bool, args []string) {
				in := ts.Value(stdin{}).(*string)
				status := run(context.Background(), args[1:], streams{in: strings.NewReader(*in), out: ts.Stdout(), err: ts.Stderr()})
				if *in = ""; strconv.Itoa(status) != args[0] {
					ts.Fatalf("exit status %d, want %s", status, args[0])
				}
			},
		},
	})
}

// safeRedis is a server as going live asks for.
func safeRedis(t *testing.T) *ledgertest.Server {
	t.Helper()
	return ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", "always")
}

// defaultRedis is a server as it comes: redis.conf of 7.0 has these snapshots, no
// append-only file and everysec; the first two are said because ledgertest turns
// them off.
func defaultRedis(t *testing.T) *ledgertest.Server {
	t.Helper()
	return ledgertest.NewServer(t, "--save", "3600 1 300 100 60 10000", "--appendonly", "no")
}
