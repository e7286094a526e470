package main

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/pricing"
	"example.org/dryhand/testdata"
)

// dryhand runs a command as main does.
func dryhand(t *testing.T, args ...string) (status int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	status = run(context.Background(), args, streams{in: strings.NewReader(""), out: &o, err: &e})
	return status, o.String(), e.String()
}

// Every shipped conversation goes as it is written, and its log, with all that can be
// logged, says nothing of anybody.
func TestPlayedConversations(t *testing.T) {
	scripts, err := fs.Glob(testdata.Files, "conversations/*.txt")
	if err != nil || len(scripts) == 0 {
		t.Fatalf("no scripts: %v", err)
	}
	for _, s := range scripts {
		t.Run(strings.TrimSuffix(filepath.Base(s), ".txt"), func(t *testing.T) {
			t.Parallel()
			var out, errs bytes.Buffer
			log := &shared{}
			play := playCommand{Files: []string{filepath.Join("..", "..", "testdata", s)}, log: logger(streams{err: log}, slog.LevelDebug, playedToken, playedSecret)}
			if err := play.Run(t.Context(), streams{out: &out, err: &errs}); err != nil {
				t.Errorf("%v\n%s", err, &errs)
			}
			saysNothing(t, log.String(), s)
		})
	}
}

func TestBuiltInPlayIsTheSameTwiceAndTellsTheWholeJob(t *testing.T) {
	status, first, errs := dryhand(t, "play")
	if status != 0 {
		t.Fatalf("exit %d\n%s", status, errs)
	}
	_, second, _ := dryhand(t, "play")
	if d := cmp.Diff(first, second); d != "" {
		t.Errorf("played twice:\n%s", d)
	}
	for _, want := range []string{
		`likely £\d+, no more than £\d+`,
		`(?m)^Ellie sends red_car_dark\.jpg$`,
		`It's rather dark`,
		`It's booked, Ellie: Thu 15 Apr, 12:00`,
		`Keep it dry`,
		`(?m)^@ Mon 23 Aug 2027, 09:00\n→ Ellie: .*is about due again`,
	} {
		if !regexp.MustCompile(want).MatchString(first) {
			t.Errorf("the play never says %s", want)
		}
	}
}

func TestPlayThatMeetsSomethingElse(t *testing.T) {
	src, err := fs.ReadFile(testdata.Files, builtIn)
	if err != nil {
		t.Fatal(err)
	}
	changed := strings.Replace(string(src), "It's booked, Ellie", "It's off, Ellie", 1)
	file := filepath.Join(t.TempDir(), "changed.txt")
	if err := os.WriteFile(file, []byte(changed), 0o600); err != nil {
		t.Fatal(err)
	}
	status, _, errs := dryhand(t, "play", file)
	if status != 1 || !strings.Contains(errs, "-→ Ellie: (visit.ics) It's off, Ellie") || !strings.Contains(errs, "+→ Ellie: (visit.ics) It's booked, Ellie") {
		t.Errorf("exit %d, want 1 and the difference, got\n%s", status, errs)
	}
}

// One number changed in the rules moves the price, another the nudge's date.
func TestANumberInTheRulesMoves(t *testing.T) {
	price := regexp.MustCompile(`Guide price for your .*?: likely (£\d+), no more than (£\d+)`)
	nudge := regexp.MustCompile(`@ (.*)\n→ Ellie: .*is about due again`)
	_, shipped, _ := dryhand(t, "play")
	moved := func(what *regexp.Regexp, page string) bool {
		before, after := what.FindStringSubmatch(shipped), what.FindStringSubmatch(page)
		if before == nil || after == nil {
			t.Fatalf("%s not said: %v, %v", what, before, after)
		}
		return !cmp.Equal(before[1:], after[1:])
	}
	for _, c := range []struct {
		old, new     string
		price, nudge bool // what moves
	}{
		{"rate: £40", "rate: £44", true, false},
		{"share: 0.85", "share: 0.7", false, true},
	} {
		t.Run(c.new, func(t *testing.T) {
			changed := strings.Replace(string(pricing.DefaultYAML()), c.old, c.new, 1)
			if changed == string(pricing.DefaultYAML()) {
				t.Fatalf("%q is not in the rules", c.old)
			}
			file := filepath.Join(t.TempDir(), "rules.yaml")
			if err := os.WriteFile(file, []byte(changed), 0o600); err != nil {
				t.Fatal(err)
			}
			_, page, _ := dryhand(t, "play", "--rules", file)
			if moved(price, page) != c.price || moved(nudge, page) != c.nudge {
				t.Errorf("the price moved: %v, want %v; the nudge moved: %v, want %v", moved(price, page), c.price, moved(nudge, page), c.nudge)
			}
		})
	}
}

// Several scripts are played one after the other, and the one that differs is named.
func TestSeveralScripts(t *testing.T) {
	shipped := filepath.Join("..", "..", "testdata", "conversations", "rain.txt")
	page, err := os.ReadFile(shipped)
	if err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(t.TempDir(), "other.txt")
	if err := os.WriteFile(other, bytes.Replace(page, []byte("→ "), []byte("→ Not so. "), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, wrong bytes.Buffer
	play := playCommand{Files: []string{other, shipped}}
	if err := play.Run(t.Context(), streams{out: &out, err: &wrong}); !errors.As(err, new(exitError)) || !strings.Contains(wrong.String(), other) || strings.Contains(wrong.String(), shipped) {
		t.Errorf("%v:\n%s", err, wrong.String())
	}
	play = playCommand{Files: []string{other, shipped}, Write: true}
	if err := play.Run(t.Context(), streams{out: &out, err: &wrong}); err != nil {
		t.Fatal(err)
	}
	for _, file := range play.Files {
		if now, err := os.ReadFile(file); err != nil || !bytes.Equal(now, page) {
			t.Errorf("%s was written otherwise: %v", file, err)
		}
	}
}
