package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// lines are the records of an export file, sorted: a store has no order.
func lines(t *testing.T, file string) []string {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Split(strings.TrimSuffix(string(b), "\n"), "\n")
	if len(all) < 2 || !strings.HasPrefix(all[0], `{"dryhand":"export",`) || all[len(all)-1] != fmt.Sprintf(`{"end":true,"records":%d}`, len(all)-2) {
		t.Fatalf("first and last line: %s, %s", all[0], all[len(all)-1])
	}
	all = all[1 : len(all)-1]
	slices.Sort(all)
	return slices.Compact(all)
}

// What was played, with messages still waiting and things put aside, goes out and
// comes in again as it was, on every kind of store, and by way of any of them.
func TestExportThenImportIsEqual(t *testing.T) {
	w := story(t, storyBegins+storyHeld+storyAsked)
	records := everything(t, w.ledger)
	ledgertest.EachURL(t, func(t *testing.T, url string) {
		l := copied(t, ledgertest.Client(t, url), records)
		litter(t, l, w.clock.Now(), filesOf(records))
		first, second := filepath.Join(t.TempDir(), "first"), filepath.Join(t.TempDir(), "second")
		for _, args := range [][]string{
			{"export", "--redis-url", url, first},
			{"import", "--redis-url", url, "--business", "other", first},
			{"import", "--redis-url", url, "--business", "other", "--over", first},
			{"export", "--redis-url", url, "--business", "other", second},
		} {
			if status, _, errs := dryhand(t, args...); status != 0 {
				t.Fatalf("%v: exit %d\n%s", args, status, errs)
			}
		}
		if d := cmp.Diff(lines(t, first), lines(t, second)); d != "" {
			t.Errorf("exported again:\n%s", d)
		}
		if n := len(lines(t, first)); n < 40 {
			t.Errorf("only %d records: the story does not test much", n)
		}
		if info, err := os.Stat(first); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("others may read it: %v, %v", info.Mode(), err)
		}
	})
}

// What export --customer shows is what forget erases: the other person's records,
// without what of the days is theirs, are the rest.
func TestExportOfOnePersonIsWhatForgetErases(t *testing.T) {
	w := story(t, storyBegins+storyHeld+storyAsked)
	records := everything(t, w.ledger)
	ledgertest.EachURL(t, func(t *testing.T, url string) {
		l := copied(t, ledgertest.Client(t, url), records)
		litter(t, l, w.clock.Now(), filesOf(records))
		dir := t.TempDir()
		export := func(name string, more ...string) []string {
			t.Helper()
			file := filepath.Join(dir, name)
			if status, _, errs := dryhand(t, append([]string{"export", "--redis-url", url, "--owner", "7001", file}, more...)...); status != 0 {
				t.Fatalf("exit %d\n%s", status, errs)
			}
			return lines(t, file)
		}
		before, theirs := export("before"), export("theirs", "--customer", "7003")
		if status, _, errs := dryhand(t, "forget", "--redis-url", url, "--owner", "7001", "--yes", "7003"); status != 0 {
			t.Fatalf("exit %d\n%s", status, errs)
		}
		after := export("after")
		// Changed rather than gone: the counts, the days, and whom the owner was writing to.
		other := func(line string) bool {
			return strings.HasPrefix(line, `{"kind":"count"`) || strings.Contains(line, `"key":"day:`) || strings.Contains(line, `"key":"chat:7001"`)
		}
		gone := slices.DeleteFunc(before, func(line string) bool { return slices.Contains(after, line) || other(line) })
		if d := cmp.Diff(slices.DeleteFunc(theirs, other), gone); d != "" {
			t.Errorf("shown and gone:\n%s", d)
		}
		if again := export("again", "--customer", "7003"); len(again) > 0 {
			t.Errorf("still shown: %q", again)
		}
	})
}

// A reader that fails half-way leaves no half a file behind.
func TestReplaceFileIsWholeOrNotAtAll(t *testing.T) {
	name := filepath.Join(t.TempDir(), "kept")
	if err := os.WriteFile(name, []byte("before"), 0o600); err != nil {
		t.Fatal(err)
	}
	broken := errors.New("broken")
	err := replaceFile(name, func(w io.Writer) error {
		_, _ = io.WriteString(w, "half")
		return broken
	})
	left, _ := os.ReadDir(filepath.Dir(name))
	text, rerr := os.ReadFile(name)
	if !errors.Is(err, broken) || rerr != nil || string(text) != "before" || len(left) != 1 {
		t.Errorf("%v, %v, %q, %d files", err, rerr, text, len(left))
	}
}

// Export fails where the store does, and says so.
func TestExportOfAStoreThatIsAway(t *testing.T) {
	file := filepath.Join(t.TempDir(), "out")
	status, _, errs := dryhand(t, "export", "--redis-url", "redis://127.0.0.1:1", file)
	if _, err := os.Stat(file); status != 1 || err == nil || !strings.Contains(errs, "refused") {
		t.Errorf("exit %d, %v\n%s", status, err, errs)
	}
}

// More than a batch, and exactly one.
func TestReadExportInBatches(t *testing.T) {
	for _, n := range []int{0, 1, importBatch - 1, importBatch, importBatch + 1, 3 * importBatch} {
		var file bytes.Buffer
		put := json.NewEncoder(&file)
		_ = put.Encode(exportHead{Dryhand: "export", Format: exportFormat})
		for i := range n {
			_ = put.Encode(ledger.Record{Kind: "count", Key: fmt.Sprint(i), Count: int64(i)})
		}
		_ = put.Encode(exportEnd{End: true, Records: n})
		var keys []string
		got, err := readExport(&file, func(batch []ledger.Record) error {
			for _, r := range batch {
				keys = append(keys, r.Key)
			}
			return nil
		})
		if err != nil || got != n || len(keys) != n || n > 0 && keys[n-1] != fmt.Sprint(n-1) {
			t.Errorf("%d records: %d handed on as %d, %v", n, len(keys), got, err)
		}
	}
}

// FuzzReadExport feeds whole files. Whatever is accepted has as many records as it
// says, and nothing makes it panic.
func FuzzReadExport(f *testing.F) {
	const head = `{"dryhand":"export","format":1,"business":"old","at":"2026-11-25T12:00:00Z"}` + "\n"
	f.Add([]byte(head + `{"kind":"doc","key":"a","version":1,"body":{"x":1}}` + "\n" + `{"end":true,"records":1}` + "\n"))
	f.Add([]byte(head + `{"end":true,"records":0}`))
	f.Add([]byte(head + "\n\n"))
	f.Add([]byte(`{"dryhand":"export","format":1,"customer":5}`))
	f.Fuzz(func(t *testing.T, file []byte) {
		taken := 0
		n, err := readExport(bytes.NewReader(file), func(batch []ledger.Record) error { taken += len(batch); return nil })
		if n != taken {
			t.Errorf("says %d and handed on %d", n, taken)
		}
		if err == nil && bytes.Count(file, []byte("\n")) < n+1 {
			t.Errorf("%d records in %q", n, file)
		}
	})
}
