package main

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// However far somebody has come, nothing of them is left, and everything of
// everybody else is.
func TestForgetLeavesNoTrace(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		kept       int
	}{
		{"asking", storyBegins, 0},
		{"held", storyBegins + storyHeld, 0},
		{"asked", storyBegins + storyHeld + storyAsked, 0},
		{"booked", storyBegins + storyHeld + storyAsked + storyBooked, 1},
		{"done", storyBegins + storyHeld + storyAsked + storyBooked + storyDone, 0},
		{"booked where she lives", storyBegins + storyAway, 1},
		{"at her car", storyBegins + storyAway + storyAtTheCar, 1},
		{"done where she lives", storyBegins + storyAway + storyDone, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			w := story(t, tt.text)
			records, now := everything(t, w.ledger), w.clock.Now()
			ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
				forgetIn(t, rdb, records, now, tt.kept)
			})
		})
	}
}

func forgetIn(t *testing.T, rdb redis.UniversalClient, records map[string]ledger.Record, now time.Time, kept int) {
	ctx := t.Context()
	l := copied(t, rdb, records)
	files := filesOf(records)
	litter(t, l, now, files)
	words := []string{"Zuleika", "7003", enquiryOf(zuleika), "V60", "Chapel"}
	if f := files[zuleika]; f != "" {
		words = append(words, string(f))
	}
	before := everything(t, l)
	others := traces(t, rdb, "Balthazar", "7002", enquiryOf(balthazar), string(files[balthazar]))
	if n := len(traces(t, rdb, words...)); n < 8 {
		t.Fatalf("only %d traces to begin with: the story does not test much", n)
	}
	person, err := desk.FindPerson(ctx, l, zuleika, playedOwner)
	if err != nil {
		t.Fatal(err)
	}
	gone, err := person.Forget(ctx, l, now)
	if err != nil {
		t.Fatal(err)
	}
	if len(gone.Kept) != kept {
		t.Errorf("kept %v, want %d", gone.Kept, kept)
	}

	// The names of events that were applied, and the count of failures, hold an
	// enquiry's id and nothing else, until the ledger forgets them by itself.
	for _, line := range traces(t, rdb, words...) {
		if !strings.HasPrefix(line, "dh:{desk}:ops d:") && !strings.HasPrefix(line, "dh:{desk}:trouble fetch:") {
			t.Errorf("left: %s", line)
		}
	}
	// A commit forgets a number of old names, not all: one customer's worth of
	// work is behind these.
	later := now.Add(49 * time.Hour)
	for i := range 20 {
		if _, err := l.Commit(ctx, ledger.Change{Op: fmt.Sprint("later", i), Now: later}); err != nil {
			t.Fatal(err)
		}
	}
	for _, line := range traces(t, rdb, words...) {
		if !strings.HasPrefix(line, "dh:{desk}:trouble fetch:") {
			t.Errorf("left after two days: %s", line)
		}
	}
	if ttl, err := rdb.TTL(ctx, "dh:{desk}:trouble").Result(); err != nil || ttl <= 0 || ttl > 7*24*time.Hour {
		t.Errorf("the count of failures is kept for %v, %v", ttl, err)
	}
	othersAreWhole(t, rdb, before, everything(t, l), others, files[balthazar])
}

// othersAreWhole compares what there is about the other person, and the times of
// the diary.
func othersAreWhole(t *testing.T, rdb redis.UniversalClient, before, after map[string]ledger.Record, others []string, file bot.FileID) {
	t.Helper()
	shared := func(s string) bool { return strings.Contains(s, " day:") || strings.Contains(s, ":ops ") } // the first compared below, the second gone by age
	got := traces(t, rdb, "Balthazar", "7002", enquiryOf(balthazar), string(file))
	if d := cmp.Diff(slices.DeleteFunc(got, shared), slices.DeleteFunc(others, shared)); d != "" {
		t.Errorf("of the other person:\n%s", d)
	}
	for name, r := range before {
		if !strings.HasPrefix(name, "doc day:") {
			continue
		}
		var was, is diary.Day
		if err := json.Unmarshal(r.Body, &was); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(after[name].Body, &is); err != nil {
			t.Fatal(err)
		}
		for _, e := range was.Entries {
			if e.ID == enquiryOf(balthazar) && !slices.Contains(is.Entries, e) {
				t.Errorf("%s has lost %v: %v", name, e, is.Entries)
			}
		}
	}
}

// While the desk is at work on the person, forgetting either comes out on top or
// says that it did not.
func TestForgetWhileTheDeskIsAtWork(t *testing.T) {
	w := story(t, storyBegins+storyHeld)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	written := make(chan error, 1)
	go func() {
		for i := range 30 {
			e := bot.Event{Op: fmt.Sprint("busy", i), Chat: zuleika, From: bot.Person{ID: zuleika, Name: "Zuleika"}, At: w.clock.Now(), What: bot.Text{Body: "Volvo V60"}}
			if _, err := w.desk.Handle(ctx, e); err != nil {
				written <- err
				return
			}
		}
		written <- nil
	}()
	person, err := desk.FindPerson(ctx, w.ledger, zuleika, playedOwner)
	if err != nil {
		t.Fatal(err)
	}
	_, first := person.Forget(ctx, w.ledger, w.clock.Now())
	if err := <-written; err != nil {
		t.Fatal(err)
	}
	if first != nil {
		t.Logf("the first time: %v", first)
	}
	if _, err := person.Forget(ctx, w.ledger, w.clock.Now()); err != nil {
		t.Fatal(err)
	}
	for name, r := range everything(t, w.ledger) {
		if strings.Contains(name+string(r.Body), "Zuleika") || strings.HasPrefix(name, "due ") && strings.Contains(name, enquiryOf(zuleika)) {
			t.Errorf("left: %s %s", name, r.Body)
		}
	}
}
