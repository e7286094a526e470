package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

func TestCustomersFromAFile(t *testing.T) {
	store := miniredis.RunT(t)
	url := "redis://" + store.Addr() + "/0"
	file := filepath.Join(t.TempDir(), "customers.csv")
	write := func(text string) {
		t.Helper()
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("\ufeffName,Car,Note,Protection,Date\n" +
		"Ruth,Golf estate,07700 900123,paint sealant,2025-06-30\n" +
		"Amir,Fiat 500C,,spray sealant,3/7/2025\n" +
		"Nia,flying carpet,,paint sealant,2025-06-30\n" +
		"Nia,Ford Fiesta,,magic,2025-06-30\n" +
		"Nia,Ford Fiesta,,hand wax,yesterday\n" +
		",Ford Fiesta,,hand wax,2025-06-30\n" +
		"Ruth,Golf estate,07700 900456,hand wax,2099-01-01\n" +
		"\"Nia\"x,Ford Fiesta,,hand wax,2025-06-30\n" +
		"Nia,Ford Fiesta,,hand wax,0025-06-30\n")
	status, out, errs := dryhand(t, "customers", file, "--redis-url", url)
	if status != 1 || !strings.Contains(out, "2 new or newer, 0 known already, 7 wrong") {
		t.Errorf("exit %d\n%s%s", status, out, errs)
	}
	for _, want := range []string{
		`:4: no car is known as "flying carpet"`, `:5: no protection is known as "magic"; it is one of spray sealant`,
		`:6: a date is 2026-09-30 or 30/09/2026, not "yesterday"`, `:7: a name is 1 to 40 letters long`, `:8: 2099-01-01 is yet to come`, `line 9`,
		`:10: 0025-06-30 is more than 30 years ago; is the year right?`,
	} {
		if !strings.Contains(errs, want) {
			t.Errorf("nothing says %s in\n%s", want, errs)
		}
	}
	docs := func() string {
		_, page, _ := dryhand(t, "export", "--redis-url", url)
		var lines []string
		for line := range strings.Lines(page) {
			if strings.Contains(line, `"enq:`) || strings.Contains(line, `"chat:`) {
				lines = append(lines, line)
			}
		}
		return strings.Join(lines, "")
	}
	first := docs()
	if strings.Count(first, "\n") != 4 || strings.Contains(first, "07700") {
		t.Fatalf("kept:\n%s", first)
	}
	// The same again changes nothing.
	write("name,car,note,protection,date\nRuth,Golf estate,07700 900123,paint sealant,2025-06-30\nAmir,Fiat 500C,,spray sealant,2025-07-03\n")
	status, out, errs = dryhand(t, "customers", file, "--redis-url", url)
	if status != 0 || !strings.Contains(out, "0 new or newer, 2 known already, 0 wrong") {
		t.Errorf("exit %d\n%s%s", status, out, errs)
	}
	if d := cmp.Diff(first, docs()); d != "" {
		t.Errorf("the same again changed\n%s", d)
	}
	// A later protection takes the place of an earlier one.
	write("name,car,note,protection,date\nRuth,Golf estate,07700 900123,hand wax,2025-09-01\n")
	if status, out, _ = dryhand(t, "customers", file, "--redis-url", url); status != 0 || !strings.Contains(out, "1 new or newer") || docs() == first {
		t.Errorf("exit %d\n%s", status, out)
	}
	// A file without the columns says which there must be.
	write("name,car\nRuth,Golf\n")
	if status, _, errs = dryhand(t, "customers", file, "--redis-url", url); status != 1 || !strings.Contains(errs, `:1: there is no column "protection"`) {
		t.Errorf("exit %d\n%s", status, errs)
	}
}

// A file that cannot be read to its end is said so, once.
func TestCustomersFromAFileThatBreaksOff(t *testing.T) {
	b := bringing{}
	broken := errors.New("the disk is broken")
	err := b.all(t.Context(), "old.csv", io.MultiReader(strings.NewReader("name,car,protection,date\n"), iotest.ErrReader(broken)), streams{out: io.Discard, err: io.Discard})
	if !errors.Is(err, broken) {
		t.Errorf("%v", err)
	}
}

// FuzzCustomers reads whole files. Nothing makes it panic, and the same file again
// brings nothing new.
func FuzzCustomers(f *testing.F) {
	const head = "name,car,note,protection,date\n"
	f.Add([]byte(head + "Ruth,Golf estate,07700 900123,paint sealant,2025-06-30\nAmir,Fiat 500C,,spray sealant,3/7/2025\n"))
	f.Add([]byte(head + "Ruth,Golf,1,hand wax,2025-06-30\nRuth,Golf,1,paint sealant,2025-06-30\nRuth,Golf,1,hand wax,2024-06-30\n"))
	f.Add([]byte(head + "\"Nia\"x,Ford Fiesta,,hand wax,2025-06-30\n,,,,\n"))
	f.Add([]byte("\ufeffDate;Name\r\n\x00"))
	f.Add([]byte("date,protection,car,name\n2025-06-30,hand wax,Fiat 500C,=HYPERLINK(1)\n"))
	rules := pricing.DefaultRules()
	words, err := wording.Default()
	if err != nil {
		f.Fatal(err)
	}
	zone, err := time.LoadLocation(rules.Diary.TimeZone)
	if err != nil {
		f.Fatal(err)
	}
	store := miniredis.NewMiniRedis()
	if err := store.Start(); err != nil {
		f.Fatal(err)
	}
	f.Cleanup(store.Close)
	l, err := ledger.New(ledgertest.Client(f, "redis://"+store.Addr()), "desk")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		store.FlushAll()
		bring := func(at int) bringing {
			b := bringing{talk: conversations.Talk{Rules: rules, Words: words, Zone: zone, Secret: []byte("s"), Bot: "desk_bot"}, ledger: l,
				now: time.Date(2026, 11, 28, 12, 0, at, 0, zone)}
			if err := b.all(t.Context(), "old.csv", bytes.NewReader(file), streams{out: io.Discard, err: io.Discard}); err != nil && b.taken+b.known+b.wrong > 0 {
				t.Fatal(err)
			}
			return b
		}
		first, again := bring(0), bring(1)
		if again.taken != 0 || again.wrong != first.wrong || again.known != first.taken+first.known {
			t.Errorf("first %d new, %d known, %d wrong; again %d, %d, %d", first.taken, first.known, first.wrong, again.taken, again.known, again.wrong)
		}
	})
}
