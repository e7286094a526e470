package ledger_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/conversations/ledger"
)

// fill puts something of every kind into a ledger.
func fill(l bench) {
	ctx := context.Background()
	l.put("u:1", ledger.Doc{Key: "chat:1", Links: []string{"enq:1", "x"}, Body: []byte(`{"a":1}`)},
		ledger.Doc{Key: "enq:1", Body: awkward}, ledger.Doc{Key: "empty"})
	c := ledger.Change{Op: "u:2", Now: after(1), Set: []ledger.Due{{ID: "d1", At: after(50), Body: []byte(`"x"`)}, {ID: "d2", At: after(60)}},
		Send: []ledger.Out{{Chat: 1, Body: []byte("one"), Once: true, NotAfter: after(99)}, {Chat: 2, Body: []byte("two")}, {Chat: 2, Body: []byte("three")}}}
	for i := range 1000 { // more than a page
		c.Set = append(c.Set, ledger.Due{ID: fmt.Sprint("many:", i), At: after(1000 + i), Body: []byte(`{"n":1}`)})
	}
	l.commit(c, ledger.Committed)
	for _, s := range l.claimOut(after(1), 2) {
		if s.Chat == 1 {
			l.ok(l.Begin(ctx, s))
		}
	}
	l.ok(l.Poison(ctx, "u:3", []byte{0xff, 0}, "why: not", after(2)))
}

// export is everything in a ledger as sorted JSON lines, each once.
func export(l bench) []string {
	l.t.Helper()
	var lines []string
	l.ok(l.Each(context.Background(), func(r ledger.Record) error {
		line, err := json.Marshal(r)
		lines = append(lines, string(line))
		return err
	}))
	return slices.Compact(sorted(lines))
}

func restore(l bench, lines []string) {
	l.t.Helper()
	var records []ledger.Record
	for _, line := range lines {
		var r ledger.Record
		l.ok(json.Unmarshal([]byte(line), &r))
		records = append(records, r)
	}
	l.ok(l.Restore(context.Background(), records...))
}

func testExportAndRestore(t *testing.T, l bench) {
	fill(l)
	lines := export(l)
	l.same("how many records", len(lines), 3+1002+3+3+1+3)
	for _, want := range []string{
		fmt.Sprintf(`{"kind":"doc","key":"chat:1","version":%d,"links":["enq:1","x"],"body":{"a":1}}`, number(noon, 0)),
		`{"kind":"due","key":"d1","at":"2026-10-25T12:00:50Z","body":"x"}`,
		fmt.Sprintf(`{"kind":"out","key":"%s","attempt":1,"began":true,"once":true,"not_after":"2026-10-25T12:01:39Z","raw":"b25l"}`, member(1, number(after(1), 0))),
		`{"kind":"op","key":"u:3","at":"2026-10-25T12:00:02Z"}`,
		`{"kind":"aside","key":"u:3","at":"2026-10-25T12:00:02Z","of":"event","reason":"why: not","raw":"/wA="}`,
		`{"kind":"count","key":"queued","count":3}`,
	} {
		if !slices.Contains(lines, want) {
			t.Errorf("not exported: %s", want)
		}
	}

	second := l.sibling("restored")
	restore(second, lines)
	restore(second, lines) // interrupted and begun again
	l.same("exported again", export(second), lines)
	l.same("loaded", second.load("u:1", "chat:1"), l.load("u:1", "chat:1"))

	// It goes on where the other stopped: order, claims and versions.
	l.same("heads", sorted(bodies(second.claimOut(after(9), 9))), []string{"one", "two"})
	second.commit(ledger.Change{Op: "u:9", Now: noon, Send: []ledger.Out{{Chat: 9, Body: []byte("new")}}}, ledger.Committed)
	l.same("the next number", second.claimOut(after(9), 9)[0].Member, member(9, number(after(1), 3)))
	l.same("due", ids(second.claimDue(after(60), 9)), []string{"d1", "d2"})
}

func testEachStops(t *testing.T, l bench) {
	fill(l)
	stop, n := errors.New("enough"), 0
	err := l.Each(context.Background(), func(ledger.Record) error { n++; return stop })
	l.same("stopped at once with its error", []bool{errors.Is(err, stop), n == 1}, []bool{true, true})
}

func testRestoreRefuses(t *testing.T, l bench) {
	for _, r := range []ledger.Record{
		{Kind: "nonsense", Key: "a"},
		{Kind: "doc", Key: "a"},
		{Kind: "doc", Key: "a", Version: 1 << 60},
		{Kind: "doc", Key: "a b", Version: 1},
		{Kind: "doc", Key: "a", Version: 1, Links: []string{"a|b"}},
		{Kind: "due", Key: "", At: noon},
		{Kind: "op", At: noon},
		{Kind: "out", Key: "5"},
		{Kind: "out", Key: "5|1"},
		{Kind: "out", Key: "+5|0000000000000001"},
		{Kind: "out", Key: "x|0000000000000001"},
		{Kind: "out", Key: "5|-000000000000001"},
	} {
		if err := l.Restore(context.Background(), r); err == nil {
			t.Errorf("restored %+v, want an error", r)
		}
	}
	empty, err := l.Empty(context.Background())
	l.ok(err)
	l.same("empty", empty, true)
}

func testErase(t *testing.T, l bench) {
	ctx := context.Background()
	fill(l)
	l.ok(l.Poison(ctx, "u:4", []byte("about chat 2"), "x", noon))
	for _, s := range l.claimOut(after(100), 9) {
		if s.Chat == 2 {
			l.ok(l.SetAside(ctx, s, "refused", noon, noon))
		}
	}
	before := export(l)
	read := map[string]int64{"enq:1": l.load("", "enq:1").Docs["enq:1"].Version}

	for range 2 {
		l.ok(l.Erase(ctx, []string{"enq:1", "none"}, []string{"d1"}, 2))
	}
	gone := without(before, export(l))
	var kinds []string
	for _, line := range gone {
		kinds = append(kinds, strings.Join(strings.Split(line, `"`)[3:8:8], " "))
	}
	l.same("what is gone", kinds, []string{"aside , key : " + member(2, number(after(1), 1)), "doc , key : enq:1",
		"due , key : d1", "out , key : " + member(2, number(after(1), 2))})
	l.commit(ledger.Change{Op: "u:5", Read: read}, ledger.Conflict)

	next, _, err := l.NextDue(ctx)
	l.ok(err)
	l.same("the next due item", next, after(60))
	l.same("chats", l.rdb.ZRange(ctx, l.prefix+"out:chats", 0, -1).Val(), []string{"1"})

	n, err := l.EraseAsides(ctx, func(a ledger.Aside) bool { return bytes.Contains(a.Body, []byte("chat 2")) })
	l.ok(err)
	l.same("events put aside about the person", n, 1)
	l.same("what is left aside", len(l.asides()), 1)
}

// without are the lines that are not in the other list.
func without(lines, other []string) []string {
	return slices.DeleteFunc(slices.Clone(lines), func(s string) bool { return slices.Contains(other, s) })
}

// FuzzRecord feeds lines of an import. What is accepted must survive being
// written and read again.
func FuzzRecord(f *testing.F) {
	f.Add([]byte(`{"kind":"doc","key":"a","version":1,"links":["b"],"body":{"x":[1,"<é>"]}}`))
	f.Add([]byte(`{"kind":"out","key":"1|0000000000000002","once":true,"not_after":"2026-10-25T12:01:39Z","raw":"b25l"}`))
	f.Add([]byte(`{"kind":"due","key":"d","at":"2026-10-25T12:01:39+01:00","body": null}`))
	f.Fuzz(func(t *testing.T, line []byte) {
		var first, second ledger.Record
		if json.Unmarshal(line, &first) != nil {
			return
		}
		again, err := json.Marshal(first)
		if err != nil {
			t.Fatalf("%s: accepted and not written: %v", line, err)
		}
		if err := json.Unmarshal(again, &second); err != nil {
			t.Fatalf("%s: written and not accepted: %v", again, err)
		}
		if !bytes.Equal(first.Body, second.Body) {
			t.Errorf("body %q became %q", first.Body, second.Body)
		}
		third, err := json.Marshal(second)
		if err != nil || !bytes.Equal(again, third) {
			t.Errorf("%s became %s, %v", again, third, err)
		}
	})
}
