package main

import (
	"bytes"
	"io/fs"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"example.org/dryhand/testdata"
)

// Looks add nothing to read and take nothing away: without them, every shipped
// conversation is what it was; and each kind of line has its own.
func TestPaintedPlayReadsTheSame(t *testing.T) {
	looks := regexp.MustCompile("\x1b\\[[0-9]+m")
	scripts, err := fs.Glob(testdata.Files, shippedScripts+"*.txt")
	if err != nil || len(scripts) == 0 {
		t.Fatalf("no scripts: %v", err)
	}
	for _, name := range scripts {
		b, err := fs.ReadFile(testdata.Files, name)
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if n, err := (painted{&out}).Write(b); n != len(b) || err != nil {
			t.Fatalf("%s: wrote %d of %d: %v", name, n, len(b), err)
		}
		if got := looks.ReplaceAllString(out.String(), ""); got != string(b) {
			t.Errorf("%s reads differently", name)
		}
	}
	for line, want := range map[string]string{
		"# A remark":                   faint + "# A remark" + plain,
		"-- Mon 12 Apr 2027, 18:40":    yellow + "-- Mon 12 Apr 2027, 18:40" + plain,
		"    [Outside] [Inside]":       faint + "    [Outside] [Inside]" + plain,
		"→ Ellie: likely £185, at all": bold + "→ Ellie: " + plain + "likely " + bold + "£185" + plain + ", at all",
		"Ellie taps [Inside]":          blue + bold + "Ellie taps " + plain + blue + "[Inside]" + plain,
		"    more of it":               "    more of it",
		"":                             "",
	} {
		if got := shade(line); got != want {
			t.Errorf("%q is shown as %q, want %q", line, got, want)
		}
	}
	var buf bytes.Buffer
	if colours(&buf) != &buf {
		t.Error("what is no terminal is given looks")
	}
}

func TestPlayListsAndPlaysByName(t *testing.T) {
	status, out, errs := dryhand(t, "play", "--list")
	if status != 0 {
		t.Fatalf("exit %d\n%s", status, errs)
	}
	scripts, _ := fs.Glob(testdata.Files, shippedScripts+"*.txt")
	for _, s := range scripts {
		name := strings.TrimSuffix(filepath.Base(s), ".txt")
		if !regexp.MustCompile(`(?m)^` + name + ` +\S`).MatchString(out) {
			t.Errorf("%s is not listed with what it shows", name)
		}
	}
	if status, out, errs := dryhand(t, "play", "street"); status != 0 || !strings.Contains(out, "Wet work in the street") {
		t.Errorf("play street: exit %d\n%s%s", status, out, errs)
	}
	if status, _, errs := dryhand(t, "play", "nothing-like-it"); status != 1 || !strings.Contains(errs, "--list") {
		t.Errorf("an unknown name: exit %d, %q", status, errs)
	}
}
