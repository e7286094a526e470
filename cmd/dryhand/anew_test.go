package main

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// What Redis was in the middle of writing when it was killed never was, also after it
// was started twice; and where nobody sees to that, on a Redis such as 7.0.15, a message
// that went out under another number goes out once more.
func TestATornCommitStaysDead(t *testing.T) {
	for _, seenTo := range []bool{true, false} {
		t.Run(fmt.Sprintf("seen to %v", seenTo), func(t *testing.T) {
			server := ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", "always")
			rdb := patient(t, server.URL())
			l, err := ledger.New(rdb, "torn")
			if err != nil {
				t.Fatal(err)
			}
			var desk *served
			written := func() {
				if seenTo {
					run := infoOf(t.Context(), rdb)["run_id"]
					desk.logged(`written its file anew","run":"` + run)
				}
			}
			if seenTo {
				desk = newServed(t, server.URL())
			}
			written()

			at := time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)
			commit := func(op string, chat int64) {
				t.Helper()
				outcome, err := l.Commit(t.Context(), ledger.Change{Op: op, Now: at, Read: map[string]int64{"doc:" + op: 0},
					Put: []ledger.Doc{{Key: "doc:" + op, Body: []byte(op)}}, Send: []ledger.Out{{Chat: chat, Body: []byte(op)}}})
				if err != nil || outcome != ledger.Committed {
					t.Fatalf("%s: %v, %v", op, outcome, err)
				}
			}
			commit("u1", 5)
			commit("u2", 6)
			server.Kill()
			tear(t, server)
			server.Start()
			if loaded, err := l.Load(t.Context(), "u2", "doc:u2"); err != nil || loaded.Seen || loaded.Docs["doc:u2"].Version != 0 {
				t.Fatalf("a commit of which the end is missing: %+v, %v", loaded, err)
			}
			commit("u3", 5) // takes the number that was u2's
			commit("u2", 6) // the platform brings it again
			for {
				claimed, err := l.ClaimOut(t.Context(), at, time.Minute, 10)
				if err != nil {
					t.Fatal(err)
				}
				if len(claimed) == 0 {
					break
				}
				for _, c := range claimed {
					if err := l.Sent(t.Context(), c, at); err != nil {
						t.Fatal(err)
					}
				}
			}
			written()
			before, err := whole(t.Context(), l)
			if err != nil {
				t.Fatal(err)
			}
			server.Kill()
			server.Start()
			after, err := whole(t.Context(), l)
			if err != nil {
				t.Fatal(err)
			}
			diff := cmp.Diff(before, after)
			switch {
			case seenTo && diff != "":
				t.Errorf("started once more, it has changed: before (-) and after (+):\n%s", diff)
			case !seenTo && diff == "":
				t.Log("this Redis takes off by itself all that it was in the middle of writing")
			case !seenTo && len(after.Said) != 1:
				t.Errorf("what comes back of a torn commit is another thing now:\n%s", diff)
			}
		})
	}
}

// Half a commit that comes to life does not count as done: what was never answered is
// brought again, and decided.
func TestHalfACommitDoesNotCountAsDone(t *testing.T) {
	server := ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", "always")
	l, err := ledger.New(patient(t, server.URL()), "torn")
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)
	commit := func(op string) {
		t.Helper()
		outcome, err := l.Commit(t.Context(), ledger.Change{Op: op, Now: at, Send: []ledger.Out{{Chat: 5, Body: []byte(op)}}})
		if err != nil || outcome != ledger.Committed {
			t.Fatalf("%s: %v, %v", op, outcome, err)
		}
	}
	commit("u1")
	server.Kill()
	tear(t, server)
	server.Start()
	commit("u2")
	server.Kill()
	server.Start()
	commit("u1")
}

// tear ends a dead server's file within the last command but one of what it wrote last,
// as a kill in the middle of its writing does.
func tear(t *testing.T, s *ledgertest.Server) {
	t.Helper()
	files := s.Journal()
	name := files[len(files)-1]
	file, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	const end = "*1\r\n$4\r\nEXEC\r\n"
	if !strings.HasSuffix(string(file), end) {
		t.Fatalf("the file does not end with a transaction, but with %q", file[max(0, len(file)-40):])
	}
	if err := os.Truncate(name, int64(len(file)-len(end)-3)); err != nil {
		t.Fatal(err)
	}
}
