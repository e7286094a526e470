package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/alicebob/miniredis/v2"
	"github.com/google/go-cmp/cmp"
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
		"\"Nia\"x,Ford Fiesta,,hand wax,2025-06-30\n")
	status, out, errs := dryhand(t, "customers", file, "--redis-url", url)
	if status != 1 || !strings.Contains(out, "2 new or newer, 0 known already, 6 wrong") {
		t.Errorf("exit %d\n%s%s", status, out, errs)
	}
	for _, want := range []string{
		`:4: no car is known as "flying carpet"`, `:5: no protection is known as "magic"; it is one of spray sealant`,
		`:6: a date is 2026-09-30 or 30/09/2026, not "yesterday"`, `:7: a name is 1 to 40 letters long`, `:8: 2099-01-01 is yet to come`, `line 9`,
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
