package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/robfig/cron/v3"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/reminders/sweep"
)

// backup is where copies of everything go, by themselves, once a night. A copy is
// what export writes, and import reads it.
type backup struct {
	BackupFolder  string `help:"Folder for a copy of everything, each night, and at the start if a night was missed. Only who runs dryhand may read the files." type:"existingdir" placeholder:"DIR"`
	BackupCommand string `help:"Command that is handed the copy on its standard input, each night: to encrypt it and take it elsewhere." placeholder:"COMMAND"`
	BackupAt      string `help:"When, as a cron line by the business's own clock." default:"30 3 * * *" placeholder:"LINE"`
	BackupKeep    int    `help:"How many copies stay in the folder; the oldest go." default:"14"`
}

// wanted tells whether there is anywhere to put a copy.
func (b backup) wanted() bool { return b.BackupFolder != "" || b.BackupCommand != "" }

// check refuses settings under which there would be no copy one night.
func (b backup) check(zone string, now time.Time) error {
	if !b.wanted() {
		return nil
	}
	if b.BackupKeep < 1 {
		return errors.New("--backup-keep: want 1 or more")
	}
	where, err := time.LoadLocation(zone)
	if err != nil {
		return fmt.Errorf("time zone of the business: %w", err)
	}
	if err := sweep.CheckSchedule(b.BackupAt, where, now); err != nil {
		return fmt.Errorf("--backup-at: %w", err)
	}
	return nil
}

// How often a copy that failed is tried again before the owner hears of it, and how
// long between.
const (
	backupTries = 3
	backupAgain = 10 * time.Minute
)

// nightly makes a copy at every moment of the schedule until ctx ends, and one at once
// if the folder lacks one: on the first day, or when the machine was off at night.
func (b backup) nightly(ctx context.Context, p *parts, counts *metrics) {
	if !b.wanted() {
		return
	}
	zone := p.talk().Zone
	schedule, err := sweep.ParseSchedule(b.BackupAt, p.now().In(zone))
	if err != nil {
		p.log.Error("no backups", "err", err)
		return
	}
	next := func() time.Duration { return schedule.Next(p.now().In(zone)).Sub(p.now()) }
	wait := next()
	if b.missed(p.business, schedule, p.now().In(zone)) {
		wait = 0
	}
	for ; sleep(ctx, wait); wait = next() {
		for try := 1; ; try++ {
			n, err := b.once(ctx, p.ledger, p.business, p.now())
			if ctx.Err() != nil {
				return
			}
			if err == nil {
				p.log.Info("backup made", "records", n)
				counts.backups.WithLabelValues("made").Inc()
				counts.backupAt.SetToCurrentTime()
				break
			}
			p.log.Error("backup failed", "try", try, "err", err)
			counts.backups.WithLabelValues("failed").Inc()
			if try == backupTries {
				p.tellNoBackup(ctx)
				break
			}
			if !sleep(ctx, backupAgain) {
				return
			}
		}
	}
}

// missed tells whether the newest copy in the folder is older than the schedule wants
// it to be, or is not there. Of copies that only a command has been given nothing is
// known.
func (b backup) missed(business string, schedule cron.Schedule, now time.Time) bool {
	if b.BackupFolder == "" {
		return false
	}
	names, err := copies(b.BackupFolder, business)
	if err != nil || len(names) == 0 {
		return err == nil
	}
	last, _ := copyTime(names[len(names)-1], business)
	return !schedule.Next(last.In(now.Location())).After(now)
}

// sleep waits, and tells whether ctx has let it.
func sleep(ctx context.Context, d time.Duration) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-timer.C:
		return true
	}
}

// tellNoBackup tells the owner, once a day however many processes fail.
func (p *parts) tellNoBackup(ctx context.Context) {
	talk, now := p.talk(), p.now()
	if talk.Owner == 0 {
		return
	}
	op := "no-backup:" + now.In(talk.Zone).Format(time.DateOnly)
	out, err := desk.Queue(bot.Message{Chat: talk.Owner, Text: talk.Words.Say(wording.OwnerNoBackup, wording.Facts{}), Kind: "no-backup", Ref: op, Said: now})
	if err == nil {
		_, err = p.ledger.Commit(ctx, ledger.Change{Op: op, Now: now, Send: []ledger.Out{out}})
	}
	if err != nil {
		p.log.Error("the owner could not be told", "err", err)
		return
	}
	p.wake(true, time.Time{})
}

// once makes one copy and returns how many records it holds. The file is read to
// its end again before it counts as a copy; the desk goes on meanwhile.
func (b backup) once(ctx context.Context, l *ledger.Ledger, business string, now time.Time) (records int, err error) {
	folder := b.BackupFolder
	if folder == "" {
		if folder, err = os.MkdirTemp("", "dryhand-backup-"); err != nil { // mode 0700
			return 0, err
		}
		defer os.RemoveAll(folder)
	}
	name := filepath.Join(folder, backupName(business, now))
	head := exportHead{Dryhand: "export", Format: exportFormat, Business: business, At: now.UTC().Truncate(time.Second)}
	err = replaceFile(name, func(w io.Writer) error {
		_, err := writeExport(ctx, w, l, head, func(r ledger.Record) (ledger.Record, bool) { return r, true })
		return err
	})
	if err != nil {
		return 0, err
	}
	if records, err = readWhole(name); err != nil {
		return 0, fmt.Errorf("the copy is not whole: %w", err)
	}
	if b.BackupCommand != "" {
		if err := b.handOver(ctx, name); err != nil {
			return 0, err
		}
	}
	if b.BackupFolder != "" {
		return records, b.prune(business)
	}
	return records, nil
}

const backupTime = "2006-01-02T150405Z"

// backupName sorts by time.
func backupName(business string, at time.Time) string {
	return business + "-" + at.UTC().Format(backupTime) + ".jsonl"
}

// readWhole reads an export to its end.
func readWhole(name string) (records int, err error) {
	f, err := os.Open(name)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	return readExport(f, func([]ledger.Record) error { return nil })
}

// handOver runs the command. It gets none of our settings, among which are secrets.
func (b backup) handOver(ctx context.Context, name string) error {
	const patience = time.Hour
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	cmd := exec.CommandContext(ctx, "sh", "-c", b.BackupCommand)
	cmd.Stdin = f
	cmd.WaitDelay = 5 * time.Second
	cmd.Env = slices.DeleteFunc(os.Environ(), func(v string) bool { return strings.HasPrefix(v, "DRYHAND_") })
	var said bytes.Buffer
	cmd.Stderr = &said
	if err := cmd.Run(); err != nil {
		const most = 300
		words := strings.TrimSpace(said.String())
		return fmt.Errorf("--backup-command: %w: %s", err, strings.ToValidUTF8(words[max(0, len(words)-most):], ""))
	}
	return nil
}

// copies are the names of a business's copies in a folder, the oldest first.
func copies(folder, business string) ([]string, error) {
	entries, err := os.ReadDir(folder) // in order of name
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		if _, ok := copyTime(e.Name(), business); ok && e.Type().IsRegular() {
			names = append(names, e.Name())
		}
	}
	return names, nil
}

// copyTime is when a copy was made, by its name; false for any other file.
func copyTime(name, business string) (time.Time, bool) {
	text, ours := strings.CutPrefix(name, business+"-")
	text, whole := strings.CutSuffix(text, ".jsonl")
	at, err := time.Parse(backupTime, text)
	return at, ours && whole && err == nil
}

// prune removes the oldest copies.
func (b backup) prune(business string) error {
	names, err := copies(b.BackupFolder, business)
	if err != nil {
		return err
	}
	for _, name := range names[:max(0, len(names)-b.BackupKeep)] {
		if err := os.Remove(filepath.Join(b.BackupFolder, name)); err != nil {
			return err
		}
	}
	return nil
}

// checkBackup looks whether last night's copy is there and whole.
func checkBackup(folder, business string, now time.Time) finding {
	const (
		what = "backup"
		most = 36 * time.Hour // a night, and half a day to notice
	)
	names, err := copies(folder, business)
	if err != nil {
		return wrong(what, err.Error(), "give --backup-folder as to serve")
	}
	if len(names) == 0 {
		return wrong(what, fmt.Sprintf("no copy of %q in %s", business, folder), "dryhand serve --backup-folder "+folder+" makes one when it starts, and then each night: is it running? its log has lines \"backup made\" and \"backup failed\"")
	}
	last := names[len(names)-1]
	at, _ := copyTime(last, business)
	n, err := readWhole(filepath.Join(folder, last))
	switch ago := now.Sub(at); {
	case err != nil:
		return wrong(what, fmt.Sprintf("%s cannot be used: %v", last, err), "the one before it may be whole; is the disk full or failing?")
	case ago < -time.Hour:
		return wrong(what, fmt.Sprintf("the last copy, %s, bears a time still to come", last), "is the clock of this machine right? timedatectl set-ntp true")
	case ago > most:
		return wrong(what, fmt.Sprintf("the last copy, %s, was made %s ago", last, since(ago)), "is serve running with --backup-folder? its log has lines \"backup failed\"")
	default:
		return well(what, "copies: %d, the last made %s ago: %d records, whole", len(names), since(ago), n)
	}
}
