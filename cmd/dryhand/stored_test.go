package main

import (
	"encoding/json"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/diff"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/standin/script"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
	"example.org/dryhand/testdata"
)

// Whoever began with an older release finishes with this one, and nothing they
// answered is lost. DRYHAND_WRITE=1 writes the pages down anew, to be read, and makes the
// form of a release that is there only as its beginning; an old one is never made anew.
func TestStoredFormsFinish(t *testing.T) {
	all, err := filepath.Glob("../../testdata/stored/*-begins.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, begins := range all {
		file := strings.TrimSuffix(begins, "-begins.txt") + ".jsonl"
		if _, err := os.Stat(file); err == nil {
			continue
		}
		if os.Getenv("DRYHAND_WRITE") == "" {
			t.Errorf("%s has left nothing behind yet", begins)
			continue
		}
		makeStored(t, begins, file)
	}
	stored, err := filepath.Glob("../../testdata/stored/*.jsonl")
	if err != nil || len(stored) == 0 {
		t.Fatalf("no stored forms: %v", err)
	}
	for _, file := range stored {
		t.Run(filepath.Base(file), func(t *testing.T) { finishStored(t, file) })
	}
}

// makeStored plays how a release's people begin and writes down what it leaves behind.
func makeStored(t *testing.T, begins, file string) {
	t.Helper()
	text, err := os.ReadFile(begins)
	if err != nil {
		t.Fatal(err)
	}
	w := story(t, string(text))
	err = replaceFile(file, func(out io.Writer) error {
		head := exportHead{Dryhand: "export", Format: exportFormat, Business: "played", At: w.clock.Now().UTC()}
		_, err := writeExport(t.Context(), out, w.ledger, head, func(r ledger.Record) (ledger.Record, bool) { return r, true })
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func finishStored(t *testing.T, file string) {
	name := strings.TrimSuffix(file, ".jsonl") + ".txt"
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	rules := pricing.DefaultRules()
	words, err := wording.Default()
	if err != nil {
		t.Fatal(err)
	}
	zone, err := time.LoadLocation(rules.Diary.TimeZone)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := script.Parse(name, string(text), zone)
	if err != nil {
		t.Fatal(err)
	}
	start, err := script.Start(lines)
	if err != nil {
		t.Fatal(err)
	}
	w, err := newWorld(t.Context(), loaded{rules: rules, words: words}, standin.NewClock(start), slog.New(slog.NewTextHandler(io.Discard, nil)))
	if err != nil {
		t.Fatal(err)
	}
	defer w.close()
	before := importStored(t, w.ledger, file)

	photo := func(n string) ([]byte, error) { return fs.ReadFile(testdata.Files, "photos/"+n) }
	p := &script.Player{Standin: w.standin, Zone: zone, People: script.People(lines, int64(playedOwner)), Photo: photo, Settle: w.settle, Push: w.push}
	page, err := p.Play(t.Context(), name, lines)
	if err != nil {
		t.Fatalf("%v\n%s", err, page)
	}
	if os.Getenv("DRYHAND_WRITE") != "" {
		if err := os.WriteFile(name, []byte(page), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if page != string(text) {
		t.Errorf("%s", diff.Diff(name, text, "played", []byte(page)))
	}
	after := enquiriesIn(everything(t, w.ledger))
	for key, was := range before {
		is, ok := after[key]
		if !ok {
			t.Errorf("%s is gone", key)
			continue
		}
		for q, a := range was.Answers {
			// A time that lapsed has to be chosen again, and what comes after it.
			if slices.Contains([]string{"slot", "consent", "confirm"}, q) && is.Stage != was.Stage {
				continue
			}
			if d := cmp.Diff(a, is.Answers[q]); d != "" {
				t.Errorf("%s, answer to %s:\n%s", key, q, d)
			}
		}
	}
}

// importStored restores an export, but for the names of what was applied: the
// stand-in counts its updates from one again. It returns the enquiries in it.
func importStored(t *testing.T, l *ledger.Ledger, file string) map[string]conversations.Enquiry {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all := map[string]ledger.Record{}
	_, err = readExport(f, func(batch []ledger.Record) error {
		for _, r := range batch {
			if r.Kind == "op" {
				continue
			}
			all[r.Kind+" "+r.Key] = r
			if err := l.Restore(t.Context(), r); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return enquiriesIn(all)
}

func enquiriesIn(records map[string]ledger.Record) map[string]conversations.Enquiry {
	out := map[string]conversations.Enquiry{}
	for _, r := range records {
		var e conversations.Enquiry
		if strings.HasPrefix(r.Key, "enq:") && json.Unmarshal(r.Body, &e) == nil {
			out[r.Key] = e
		}
	}
	return out
}
