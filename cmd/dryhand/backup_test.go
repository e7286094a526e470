package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
	"example.org/dryhand/reminders/sweep"
)

// The recovery drill: last night's copy, a machine that is new, import, and the
// customer who was in the middle of something goes on where they were, to a booking.
func TestRecoveryDrill(t *testing.T) {
	monday := middleOfNextJune()
	on := func(days int) string { return monday.AddDate(0, 0, days).Format("Mon 2 Jan") }
	w := story(t, strings.NewReplacer("Mon 12 Apr 2027", monday.Format("Mon 2 Jan 2006"), "Wed 14 Apr", on(2), "Thu 15 Apr", on(3)).Replace(storyBegins+storyHeld))
	records := everything(t, w.ledger)
	old, folder := ledgertest.NewServer(t), t.TempDir()
	b := backup{BackupFolder: folder, BackupKeep: 3}
	night := monday.Add(27*time.Hour + 30*time.Minute)
	n, err := b.once(t.Context(), copied(t, ledgertest.Client(t, old.URL()), records), "desk", night)
	if err != nil || n != len(records) {
		t.Fatalf("%d records of %d, %v", n, len(records), err)
	}
	old.Kill() // the machine is gone

	fresh := safeRedis(t)
	names, err := copies(folder, "desk")
	if err != nil || !slices.Equal(names, []string{night.Format("desk-2006-01-02T150405Z.jsonl")}) {
		t.Fatal(names, err)
	}
	file := filepath.Join(folder, names[0])
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("others may read the copy: %v, %v", info.Mode(), err)
	}
	if status, _, errs := dryhand(t, "import", "--redis-url", fresh.URL(), file); status != 0 {
		t.Fatalf("exit %d\n%s", status, errs)
	}
	if d := cmp.Diff(records, everything(t, ledgerAt(t, fresh.URL()))); d != "" {
		t.Errorf("on the new machine (-was +is):\n%s", d)
	}
	// Zuleika had been asked whether she wants reminding, on the old machine. She wonders,
	// is asked again by the new one, and it goes on from there to the owner's tap.
	s := newServed(t, fresh.URL())
	zuleikaIs, owner := s.platform.Person(int64(zuleika), "Zuleika"), s.platform.Person(int64(playedOwner), "Owner")
	press := func(p *standin.Person, label string) {
		t.Helper()
		b := latest(t, p, label)
		p.TapData(b.message, b.data)
	}
	owner.Say("today")
	s.heard(owner, "diary")
	zuleikaIs.Say("are you there")
	s.heard(zuleikaIs, "remind")
	press(zuleikaIs, "Yes, remind me")
	s.heard(zuleikaIs, "Shall we ask the boss")
	press(zuleikaIs, "Yes, ask for it")
	s.heard(owner, "Zuleika asks for")
	press(owner, "Yes, book it")
	s.heard(zuleikaIs, "It's booked, Zuleika: "+on(2)+", 09:00")
	if status, out, errs := dryhand(t, "check", "--redis-url", fresh.URL(), "--backup-folder", folder); status != 1 || !strings.Contains(out, "bears a time still to come") {
		t.Errorf("a copy of next year seen today: exit %d\n%s%s", status, out, errs)
	}
}

// middleOfNextJune is a Monday of next year in whose week there is no bank holiday
// (gov.uk/bank-holidays). What serve is brought along must be yet to come whenever this is
// run: it goes by the clock on the wall.
func middleOfNextJune() time.Time {
	day := time.Date(time.Now().Year()+1, time.June, 8, 0, 0, 0, 0, time.UTC)
	for day.Weekday() != time.Monday {
		day = day.AddDate(0, 0, 1)
	}
	return day
}

// ledgerAt is the ledger of the business "desk" at an address.
func ledgerAt(t *testing.T, url string) *ledger.Ledger {
	t.Helper()
	l, err := ledger.New(ledgertest.Client(t, url), "desk")
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Only so many copies stay, and nothing else in the folder is touched.
func TestOldCopiesGo(t *testing.T) {
	folder := t.TempDir()
	for _, name := range []string{"desk-notes.txt", "other-2027-04-01T033000Z.jsonl", "desk-2027-04-01T033000Z.jsonl.asc"} {
		if err := os.WriteFile(filepath.Join(folder, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	l := ledgerAt(t, ledgertest.NewServer(t).URL())
	b := backup{BackupFolder: folder, BackupKeep: 2}
	for day := range 4 {
		if _, err := b.once(t.Context(), l, "desk", time.Date(2027, 4, 1+day, 3, 30, 0, 0, time.UTC)); err != nil {
			t.Fatal(err)
		}
	}
	var left []string
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		left = append(left, e.Name())
	}
	want := []string{"desk-2027-04-01T033000Z.jsonl.asc", "desk-2027-04-03T033000Z.jsonl", "desk-2027-04-04T033000Z.jsonl", "desk-notes.txt", "other-2027-04-01T033000Z.jsonl"}
	if d := cmp.Diff(want, left); d != "" {
		t.Errorf("in the folder (-want +got):\n%s", d)
	}
}

// A copy is made at the start if there is none, or if its night was slept through.
func TestAMissedCopyIsMadeAtTheStart(t *testing.T) {
	london, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	schedule, err := sweep.ParseSchedule("30 3 * * *", time.Date(2027, 4, 1, 0, 0, 0, 0, london))
	if err != nil {
		t.Fatal(err)
	}
	at := func(day, hour, minute int) time.Time { return time.Date(2027, 4, day, hour, minute, 0, 0, london) }
	for _, tt := range []struct {
		name   string
		copied time.Time // the zero time for never
		now    time.Time
		want   bool
	}{
		{"never", time.Time{}, at(2, 9, 0), true},
		{"last night", at(2, 3, 30), at(2, 9, 0), false},
		{"just before tonight's", at(2, 3, 30), at(3, 3, 29), false},
		{"slept through", at(2, 3, 30), at(3, 3, 31), true},
		{"by hand since", at(3, 8, 0), at(3, 9, 0), false},
	} {
		b := backup{BackupFolder: t.TempDir()}
		if !tt.copied.IsZero() {
			if err := os.WriteFile(filepath.Join(b.BackupFolder, backupName("desk", tt.copied)), nil, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if got := b.missed("desk", schedule, tt.now); got != tt.want {
			t.Errorf("%s: missed %v, want %v", tt.name, got, tt.want)
		}
	}
	if (backup{BackupCommand: "true"}).missed("desk", schedule, at(2, 9, 0)) {
		t.Error("nothing is known of what a command was given, and it is called missed")
	}
}

// A command is handed the copy, none of our secrets, and its failure is one.
func TestBackupCommand(t *testing.T) {
	t.Setenv("DRYHAND_TELEGRAM_TOKEN", playedToken)
	t.Setenv("TMPDIR", t.TempDir()) // in everybody's, others leave things behind
	l, dir := ledgerAt(t, ledgertest.NewServer(t).URL()), t.TempDir()
	out := filepath.Join(dir, "elsewhere")
	b := backup{BackupCommand: fmt.Sprintf("cat >%[1]s && env >%[1]s.env", out), BackupKeep: 1}
	if _, err := b.once(t.Context(), l, "desk", time.Now()); err != nil {
		t.Fatal(err)
	}
	if _, err := readWhole(out); err != nil {
		t.Errorf("what the command was handed: %v", err)
	}
	env, err := os.ReadFile(out + ".env")
	if err != nil || strings.Contains(string(env), playedToken) {
		t.Errorf("the command sees the token, or %v", err)
	}
	if left, _ := filepath.Glob(filepath.Join(os.TempDir(), "dryhand-backup-*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	b.BackupCommand = "cat >/dev/null; echo no room there >&2; exit 3"
	if _, err := b.once(t.Context(), l, "desk", time.Now()); err == nil || !strings.Contains(err.Error(), "no room there") {
		t.Errorf("a command that failed: %v", err)
	}
}

// Settings under which a night would be left out are refused before anything runs.
func TestBackupSettings(t *testing.T) {
	for line, want := range map[string]string{"30 1 * * *": "the clocks change", "tomorrow": "--backup-at"} {
		err := backup{BackupFolder: "x", BackupAt: line, BackupKeep: 1}.check("Europe/London", time.Now())
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", line, err, want)
		}
	}
	if err := (backup{BackupFolder: "x", BackupAt: "30 3 * * *", BackupKeep: 1}).check("Europe/London", time.Now()); err != nil {
		t.Errorf("as shipped: %v", err)
	}
}

// When the copies fail the owner is told, once a day.
func TestTheOwnerHearsThatThereIsNoCopy(t *testing.T) {
	w := testWorld(t)
	for range 2 { // two processes
		w.tellNoBackup(t.Context())
	}
	settle(t, w)
	told := slices.DeleteFunc(w.standin.Person(int64(playedOwner), "Owner").Chat(), func(l standin.Line) bool { return !strings.Contains(l.Text, "copy of the diary") })
	if len(told) != 1 {
		t.Errorf("told %d times, want once", len(told))
	}
}
