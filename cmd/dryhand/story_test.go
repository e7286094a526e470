package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"log/slog"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/standin/script"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
	"example.org/dryhand/testdata"
)

// The chats of the story: people are numbered in the order they appear.
const (
	balthazar = playedOwner + 1
	zuleika   = playedOwner + 2
)

// The story of two invented people. Zuleika is the one who wants to be forgotten;
// how far she comes differs.
const (
	storyBegins = `-- Mon 12 Apr 2027, 18:40
Owner: /start
Balthazar: Ford Fiesta
Balthazar taps [Outside]
Balthazar taps [That's all ›]
Balthazar taps [At the workshop]
Balthazar: 2
Balthazar taps [Find a day ›]
Balthazar: nothing
Balthazar sends red_car_dark.jpg
Balthazar taps [Use it as it is]
Balthazar taps [Thu 15 Apr, 12:00]
Balthazar taps [Yes, remind me]
Balthazar taps [Yes, ask for it]
Zuleika: Volvo V60
`
	storyHeld = `Zuleika taps [Outside]
Zuleika taps [That's all ›]
Zuleika taps [At the workshop]
Zuleika: just the price
Zuleika taps [Find a day ›]
Zuleika: nothing
Zuleika sends red_car.jpg

Zuleika taps [No more photos]
Zuleika taps [Wed 14 Apr, 09:00]
`
	// As storyHeld to storyBooked, but where she lives.
	storyAway = `Zuleika taps [Outside]
Zuleika taps [That's all ›]
Zuleika taps [At home or work]
Zuleika taps [Driveway]
Zuleika taps [Tap and socket]
Zuleika taps [Gravel or soil]
Zuleika taps [Under 8 miles]
Zuleika: just the price
Zuleika taps [Find a day ›]
Zuleika: nothing
Zuleika sends red_car.jpg

Zuleika taps [No more photos]
Zuleika taps [Wed 14 Apr, 09:00]
Zuleika: 27 Chapel Street, the bungalow
Zuleika taps [Yes, remind me]
Zuleika taps [Yes, ask for it]
Owner taps [Yes, book it]
`
	// The owner is at her car, something sharp is on, and a line to her is not sent yet.
	storyAtTheCar = `-- Wed 14 Apr 2027, 09:10
Owner taps [Start work ›]
Owner: tell Zuleika it is going well
`
	storyAsked = `Zuleika taps [Yes, remind me]
Zuleika taps [Yes, ask for it]
Owner taps [Write to them]
`
	storyBooked = `Owner: Is it white?
Owner taps [Yes, book it]
`
	storyDone = `-- Wed 14 Apr 2027, 16:45
Owner taps [Done]
Owner: 235
Owner: 90
Owner taps [paint sealant]
Owner taps [All of it ›]
`
)

// story plays a story and returns the world as it then is.
func story(t *testing.T, text string) *world {
	t.Helper()
	return storyWith(t, text, slog.New(slog.DiscardHandler), func(*world) {})
}

// storyWith is story with a log, in a world prepared before anybody writes.
func storyWith(t *testing.T, text string, log *slog.Logger, prepare func(*world)) *world {
	t.Helper()
	ctx := t.Context()
	rules := pricing.DefaultRules()
	words, err := wording.Default()
	if err != nil {
		t.Fatal(err)
	}
	zone, err := time.LoadLocation(rules.Diary.TimeZone)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := script.Parse("story", text, zone)
	if err != nil {
		t.Fatal(err)
	}
	start, err := script.Start(lines)
	if err != nil {
		t.Fatal(err)
	}
	w, err := newWorld(ctx, loaded{rules: rules, words: words}, standin.NewClock(start), log)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(w.close)
	prepare(w)
	photo := func(n string) ([]byte, error) { return fs.ReadFile(testdata.Files, "photos/"+n) }
	p := &script.Player{Standin: w.standin, Zone: zone, People: script.People(lines, int64(playedOwner)), Photo: photo, Settle: w.settle, Push: w.push}
	if page, err := p.Play(ctx, "story", lines); err != nil {
		t.Fatalf("%v\n%s", err, page)
	}
	return w
}

// everything is what a ledger holds, each thing once, by kind and key.
func everything(t *testing.T, l *ledger.Ledger) map[string]ledger.Record {
	t.Helper()
	all := map[string]ledger.Record{}
	err := l.Each(t.Context(), func(r ledger.Record) error {
		all[r.Kind+" "+r.Key] = r
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// copied restores records under the name "desk".
func copied(t *testing.T, rdb redis.UniversalClient, records map[string]ledger.Record) *ledger.Ledger {
	t.Helper()
	l, err := ledger.New(rdb, "desk")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range records {
		if err := l.Restore(t.Context(), r); err != nil {
			t.Fatal(err)
		}
	}
	return l
}

// traces looks through every key of a Redis, whatever it is for, and returns
// where any of the words stands.
func traces(t *testing.T, rdb redis.UniversalClient, words ...string) []string {
	t.Helper()
	ctx := t.Context()
	keys, err := rdb.Keys(ctx, "*").Result()
	if err != nil || len(keys) == 0 {
		t.Fatalf("keys %v: %v", keys, err)
	}
	var found []string
	stands := standsIn(words)
	for _, key := range keys {
		for _, line := range content(t, rdb, key) {
			if stands.MatchString(key + " " + line) {
				found = append(found, key+" "+line)
			}
		}
	}
	slices.Sort(found)
	return found
}

// standsIn finds any of some words. A number is looked for by itself: the digits of
// somebody's chat may stand in those of a longer number, such as a version.
func standsIn(words []string) *regexp.Regexp {
	var any []string
	for _, w := range words {
		if q := regexp.QuoteMeta(w); strings.Trim(w, "0123456789") == "" {
			any = append(any, `(?:^|\D)`+q+`(?:\D|$)`)
		} else {
			any = append(any, q)
		}
	}
	return regexp.MustCompile(strings.Join(any, "|"))
}

// content is what a key holds, one line for each part.
func content(t *testing.T, rdb redis.UniversalClient, key string) []string {
	t.Helper()
	ctx := t.Context()
	var lines []string
	kind, err := rdb.Type(ctx, key).Result()
	if err != nil {
		t.Fatal(err)
	}
	switch kind {
	case "hash":
		var all map[string]string
		all, err = rdb.HGetAll(ctx, key).Result()
		for name, value := range all {
			lines = append(lines, name+" "+value)
		}
	case "zset":
		lines, err = rdb.ZRange(ctx, key, 0, -1).Result()
	case "string":
		var value string
		value, err = rdb.Get(ctx, key).Result()
		lines = []string{value}
	default:
		t.Fatalf("%s is of type %s: look into it too", key, kind)
	}
	if err != nil {
		t.Fatal(err)
	}
	return lines
}

// litter leaves messages and failures about both people where a bad day would.
func litter(t *testing.T, l *ledger.Ledger, now time.Time, files map[bot.ChatID]bot.FileID) {
	t.Helper()
	ctx := t.Context()
	var send []ledger.Out
	say := func(m bot.Message) {
		out, err := desk.Queue(m)
		if err != nil {
			t.Fatal(err)
		}
		send = append(send, out)
	}
	for chat, name := range map[bot.ChatID]string{balthazar: "Balthazar", zuleika: "Zuleika"} {
		say(bot.Message{Chat: chat, Text: "Hello " + name})
		say(bot.Message{Chat: playedOwner, Text: "How long did the car of " + name + " take?"})
		say(bot.Message{Chat: playedOwner, Text: "Shall we?", Choices: [][]bot.Choice{{{Label: "Yes", Data: enquiryOf(chat) + "|9|owner|approve"}}}})
		say(bot.Message{Chat: playedOwner, Photo: files[chat]})
		raw, err := json.Marshal(bot.Event{Op: "u9", Chat: chat, From: bot.Person{ID: chat, Name: name}, What: bot.Text{Body: "hello"}})
		if err != nil {
			t.Fatal(err)
		}
		if err := l.Poison(ctx, fmt.Sprintf("u90%d", chat%10), raw, "step: document "+enquiryOf(chat), now); err != nil {
			t.Fatal(err)
		}
		if _, err := l.Failed(ctx, "fetch:photo:"+enquiryOf(chat)+":0"); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := l.Commit(ctx, ledger.Change{Op: "litter", Now: now, Send: send}); err != nil {
		t.Fatal(err)
	}
}

// enquiryOf is the id of a person's first enquiry: see package conversations.
func enquiryOf(chat bot.ChatID) string {
	return map[bot.ChatID]string{balthazar: "5ei-1", zuleika: "5ej-1"}[chat]
}

// filesOf are the first pictures people sent.
func filesOf(records map[string]ledger.Record) map[bot.ChatID]bot.FileID {
	files := map[bot.ChatID]bot.FileID{}
	for _, chat := range []bot.ChatID{balthazar, zuleika} {
		var e struct {
			Photos []struct{ File bot.FileID }
		}
		if json.Unmarshal(records["doc enq:"+enquiryOf(chat)].Body, &e) == nil && len(e.Photos) > 0 {
			files[chat] = e.Photos[0].File
		}
	}
	return files
}
