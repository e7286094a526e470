package ledger_test

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"example.org/dryhand/conversations/ledger"
)

func sorted(s []string) []string { return slices.Sorted(slices.Values(s)) }

func testClaimDue(t *testing.T, l bench) {
	l.next(time.Time{}, time.Time{})
	l.commit(ledger.Change{Op: "u:1", Set: []ledger.Due{
		{ID: "later", At: after(60)}, {ID: "second", At: after(1), Body: awkward}, {ID: "first", At: noon.Add(1234567)},
	}}, ledger.Committed)
	l.next(noon.Add(1000000), time.Time{}) // to the millisecond
	l.same("before the moment", l.claimDue(noon, 10), []ledger.Due{})
	want := []ledger.Due{{ID: "first", At: noon.Add(1000000), Body: []byte{}}, {ID: "second", At: after(1), Body: awkward}}
	l.same("at the moment", l.claimDue(after(1), 10), want)
	l.same("under lease", l.claimDue(after(60), 10), []ledger.Due{{ID: "later", At: after(60), Body: []byte{}}})
	l.same("after the lease", l.claimDue(after(61), 1), want[:1])
}

func testDeferDue(t *testing.T, l bench) {
	ctx := context.Background()
	l.commit(ledger.Change{Op: "u:1", Set: []ledger.Due{{ID: "a", At: noon}}}, ledger.Committed)
	item := l.claimDue(noon, 1)[0]
	l.ok(l.DeferDue(ctx, item, after(5)))
	l.next(after(5), time.Time{})
	l.same("deferred", l.claimDue(after(5), 9), []ledger.Due{item})

	// Moved to another moment meanwhile: the old claim has no say.
	l.commit(ledger.Change{Op: "u:2", Set: []ledger.Due{{ID: "a", At: after(100)}}}, ledger.Committed)
	l.ok(l.DeferDue(ctx, item, after(7)))
	l.next(after(100), time.Time{})

	// Dropped meanwhile: it stays dropped.
	l.commit(ledger.Change{Op: "u:3", Unset: []string{"a"}}, ledger.Committed)
	l.ok(l.DeferDue(ctx, item, after(7)))
	l.next(time.Time{}, time.Time{})
}

// Finish ends the occurrence that was claimed and no other.
func testFinish(t *testing.T, l bench) {
	set := func(op string, at time.Time) {
		t.Helper()
		l.commit(ledger.Change{Op: op, Set: []ledger.Due{{ID: "a", At: at}}}, ledger.Committed)
	}
	set("u:1", noon)
	item := l.claimDue(noon, 1)[0]
	finish := func(op string, set ...ledger.Due) {
		t.Helper()
		l.commit(ledger.Change{Op: op, Finish: &item, Set: set}, ledger.Committed)
	}
	finish("d:a@1")
	l.next(time.Time{}, time.Time{})
	finish("d:a@1 once more") // gone already

	set("u:2", after(50)) // set anew while the claimed one was worked on
	finish("d:a@2")
	l.next(after(50), time.Time{})

	set("u:3", noon)
	finish("d:a@3", ledger.Due{ID: "a", At: after(70)}) // the next occurrence, in the same commit
	l.next(after(70), time.Time{})
}

// Every item is claimed by exactly one of many workers.
func testClaimDueByMany(t *testing.T, l bench) {
	var set []ledger.Due
	var want []string
	for i := range 100 {
		set = append(set, ledger.Due{ID: fmt.Sprintf("d%02d", i), At: noon})
		want = append(want, fmt.Sprintf("d%02d", i))
	}
	l.commit(ledger.Change{Op: "u:1", Set: set}, ledger.Committed)
	var mu sync.Mutex
	var got []string
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for {
				items, err := l.ClaimDue(context.Background(), noon, time.Minute, 3)
				if err != nil || len(items) == 0 {
					if err != nil {
						t.Error(err)
					}
					return
				}
				mu.Lock()
				got = append(got, ids(items)...)
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	l.same("claimed", sorted(got), want)
}

// The moments of one business over some years: their scores must come back exact.
func testDueKeepsMilliseconds(t *testing.T, l bench) {
	var want []ledger.Due
	for i := range 20 {
		at := noon.AddDate(i, i, i).Add(time.Duration(i*i+1) * time.Millisecond)
		want = append(want, ledger.Due{ID: fmt.Sprintf("d%02d", i), At: at, Body: []byte("x")})
	}
	l.commit(ledger.Change{Op: "u:1", Set: want}, ledger.Committed)
	for _, d := range want {
		l.next(d.At, time.Time{})
		l.same("a millisecond before", l.claimDue(d.At.Add(-time.Millisecond), 9), []ledger.Due{})
		l.same("on the millisecond", l.claimDue(d.At, 9), []ledger.Due{d})
		l.commit(ledger.Change{Op: "finish " + d.ID, Finish: &d}, ledger.Committed)
	}
}
