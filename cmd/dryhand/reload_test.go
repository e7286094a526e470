package main

import (
	"bytes"
	"context"
	"io"
	"log/slog"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations/ledger/ledgertest"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// A changed rules file counts from the next message on; a broken one does not,
// and the price that was named goes on standing.
func TestRulesAreReadAgain(t *testing.T) {
	file := filepath.Join(t.TempDir(), "rules.yaml")
	write := func(src string, at time.Time) {
		t.Helper()
		if err := os.WriteFile(file, []byte(src), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(file, at, at); err != nil {
			t.Fatal(err)
		}
	}
	shipped := string(pricing.DefaultYAML())
	dearer := strings.Replace(shipped, "rate: £40 ", "rate: £80 ", 1)
	if dearer == shipped {
		t.Fatal("the shipped rules have no rate of £40 any more")
	}
	start := time.Date(2027, 4, 12, 12, 0, 0, 0, time.UTC)
	write(shipped, start)
	var log bytes.Buffer
	files := business{Rules: file}
	of, err := files.loadAll()
	if err != nil {
		t.Fatal(err)
	}
	rules := of.rules
	k, err := newKept(files, of, slog.New(slog.NewTextHandler(&log, nil)))
	if err != nil {
		t.Fatal(err)
	}

	k.again()
	if k.now().rules != rules {
		t.Error("an unchanged file was read again")
	}
	write("rate: nothing", start.Add(time.Second))
	k.again()
	if k.now().rules != rules || !strings.Contains(log.String(), "mistake") {
		t.Errorf("a broken file counts, or nobody is told:\n%s", log.String())
	}
	write(dearer, start.Add(2*time.Second))
	k.again()
	if now := k.now().rules; now.Money.Rate != 8000 || now.Version() == rules.Version() {
		t.Errorf("rate %v, version %s", now.Money.Rate, now.Version())
	}
	write(strings.Replace(dearer, "Europe/London", "Europe/Paris", 1), start.Add(3*time.Second))
	k.again()
	if now := k.now().rules; now.Diary.TimeZone != "Europe/London" {
		t.Error("the time zone moved under jobs that are written down")
	}
}

// A changed language file counts from the next message on; one that is broken anywhere,
// in a sentence, a line of the job sheet or by being gone, does not, and the log says
// where.
func TestLanguagesAreReadAgain(t *testing.T) {
	shipped, err := os.ReadFile("../../conversations/wording/pl.yaml")
	if err != nil {
		t.Fatal(err)
	}
	changed := func(old, new string) string {
		t.Helper()
		if !strings.Contains(string(shipped), old) {
			t.Fatalf("pl.yaml does not say %q any more", old)
		}
		return strings.Replace(string(shipped), old, new, 1)
	}
	file := filepath.Join(t.TempDir(), "polish.yaml")
	at := time.Date(2027, 4, 12, 12, 0, 0, 0, time.UTC)
	write := func(src string) {
		t.Helper()
		at = at.Add(time.Second)
		if err := os.WriteFile(file, []byte(src), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(file, at, at); err != nil {
			t.Fatal(err)
		}
	}
	write(string(shipped))
	var log bytes.Buffer
	files := business{Language: []string{file}}
	of, err := files.loadAll()
	if err != nil {
		t.Fatal(err)
	}
	k, err := newKept(files, of, slog.New(slog.NewTextHandler(&log, nil)))
	if err != nil {
		t.Fatal(err)
	}
	says := func() string { return k.now().languages[0].Words.Label(wording.LabelInside) }
	was := says()

	for _, broken := range []struct{ src, where string }{
		{changed("\n  label-inside:", "\n  label-insid:"), "label-insid"},
		{changed("\n  title: Karta zlecenia", "\n  titel: Karta zlecenia"), "sheet.titel"},
		{changed("\nsheet:", "\n# sheet:\nelse:"), "else"},
		{"language: pl", "missing"},
	} {
		log.Reset()
		write(broken.src)
		k.again()
		if says() != was || !strings.Contains(log.String(), broken.where) || !strings.Contains(log.String(), "polish.yaml") {
			t.Errorf("a file without %q counts, or the log does not say so:\n%.500s", broken.where, log.String())
		}
	}
	log.Reset()
	if err := os.Rename(file, file+".away"); err != nil {
		t.Fatal(err)
	}
	k.again()
	if says() != was || !strings.Contains(log.String(), "mistake") {
		t.Errorf("a file that is gone counts, or nobody is told:\n%s", log.String())
	}
	write(changed("\n  label-inside:", "\n  label-inside: Kabina |"))
	k.again()
	if says() != "Kabina" {
		t.Errorf("the changed file does not count: %q\n%s", says(), log.String())
	}
	// Rules that change as well are in the changed words.
	if task, _ := k.now().languages[0].Rules.Task("wash"); task.Words != "Mycie ręczne, element po elemencie" {
		t.Errorf("washing is %q", task.Words)
	}
}

// serve --poll answers without a public address.
func TestServePolls(t *testing.T) {
	platform := standin.New(standin.Config{Token: playedToken, Clock: standin.NewClock(time.Now())})
	api := httptest.NewServer(platform)
	defer api.Close()
	defer platform.Close()
	store := ledgertest.NewServer(t)
	ctx, stop := context.WithTimeout(t.Context(), time.Minute)
	defer stop()
	done := make(chan int, 1)
	var log bytes.Buffer
	go func() {
		done <- run(ctx, []string{"serve", "--poll", "--telegram-token", playedToken, "--telegram-api", api.URL, "--listen", "127.0.0.1:0",
			"--redis-url", store.URL(), "--accept-data-loss", "--owner", "7001"}, streams{nil, io.Discard, &log})
	}()
	platform.Person(5001, "Ann").Say("hello")
	for ctx.Err() == nil {
		changed := platform.Changed()
		events, _ := platform.Since(0)
		if slices.ContainsFunc(events, func(e standin.Event) bool { return e.Kind == standin.Said && e.Line.Bot }) {
			break
		}
		select {
		case <-changed:
		case <-ctx.Done():
			t.Error("nothing was said within a minute")
		}
	}
	stop()
	if status := <-done; status != 0 {
		t.Errorf("exit %d\n%s", status, log.String())
	}
}

// A token nobody knows ends the polling, and serve with it.
func TestServePollsWithAWrongToken(t *testing.T) {
	platform := standin.New(standin.Config{Token: playedToken, Clock: standin.NewClock(time.Now())})
	api := httptest.NewServer(platform)
	defer api.Close()
	defer platform.Close()
	var log bytes.Buffer
	status := run(t.Context(), []string{"serve", "--poll", "--telegram-token", "7000:other", "--telegram-api", api.URL, "--listen", "127.0.0.1:0",
		"--redis-url", ledgertest.NewServer(t).URL(), "--accept-data-loss", "--owner", "7001"}, streams{nil, io.Discard, &log})
	if status != 1 || strings.Contains(log.String(), "other") {
		t.Errorf("exit %d\n%s", status, log.String())
	}
}

// Settings that contradict each other are refused with a word about each.
func TestServeSettings(t *testing.T) {
	for want, args := range map[string][]string{
		"--poll and --public-url": {"--poll", "--public-url", "https://desk.example"},
		"--webhook-secret":        {"--public-url", "https://desk.example"},
	} {
		var errs bytes.Buffer
		status := run(t.Context(), append([]string{"serve", "--telegram-token", playedToken, "--owner", "1"}, args...), streams{nil, io.Discard, &errs})
		if status != 2 || !strings.Contains(errs.String(), want) {
			t.Errorf("%v: exit %d\n%s", args, status, errs.String())
		}
	}
}
