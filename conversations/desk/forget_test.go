package desk_test

import (
	"context"
	"encoding/json"
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

const (
	ours  = bot.ChatID(46655) // zzz in base 36
	owner = bot.ChatID(7001)
)

func asJSON(t *testing.T, v any) []byte {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// known is a ledger with one person in it, and what is known of them.
func known(t *testing.T, rdb redis.UniversalClient, owner bot.ChatID) (*ledger.Ledger, *desk.Person) {
	t.Helper()
	ctx := context.Background()
	l, err := ledger.New(rdb, "desk")
	if err != nil {
		t.Fatal(err)
	}
	_, err = l.Commit(ctx, ledger.Change{Op: "u1", Now: now, Read: map[string]int64{"chat:46655": 0, "enq:zzz-1": 0}, Put: []ledger.Doc{
		{Key: "chat:46655", Body: []byte(`{"id":46655,"name":"Zoë"}`)},
		{Key: "enq:zzz-1", Body: []byte(`{"id":"zzz-1","chat":46655,"name":"Zoë O.","photos":[{"file":"pic","unique":"u"}]}`)},
	}})
	if err != nil {
		t.Fatal(err)
	}
	// A day has no name, and an empty name stands in every text.
	_, err = l.Commit(ctx, ledger.Change{Op: "u0", Now: now, Read: map[string]int64{"day:2027-01-01": 0}, Put: []ledger.Doc{
		{Key: "day:2027-01-01", Body: []byte(`{"entries":[{"id":"zzz-1","start":"2027-01-01T09:00:00Z","end":"2027-01-01T10:00:00Z","kind":"booked"}]}`)},
	}, Send: []ledger.Out{{Chat: 7001, Body: []byte(`{"chat":7001,"text":"Good morning"}`)}}})
	if err != nil {
		t.Fatal(err)
	}
	p, err := desk.FindPerson(ctx, l, ours, owner)
	if err != nil {
		t.Fatal(err)
	}
	return l, p
}

func toOwner(t *testing.T, m bot.Message) ledger.Record {
	return ledger.Record{Kind: "out", Key: "7001|0000000000000009", Body: asJSON(t, m)}
}

func TestPartTellsWhoseARecordIs(t *testing.T) {
	button := func(data string) [][]bot.Choice { return [][]bot.Choice{{{Label: "Yes", Data: data}}} }
	tests := []struct {
		name string
		r    ledger.Record
		want bool
	}{
		{"their chat", ledger.Record{Kind: "doc", Key: "chat:46655"}, true},
		{"a longer number", ledger.Record{Kind: "doc", Key: "chat:466551"}, false},
		{"their enquiry", ledger.Record{Kind: "doc", Key: "enq:zzz-12"}, true},
		{"an enquiry whose letters end alike", ledger.Record{Kind: "doc", Key: "enq:1zzz-1"}, false},
		{"an enquiry whose base-36 number reads like their decimal one", ledger.Record{Kind: "doc", Key: "enq:46655-1"}, false},
		{"their reminder", ledger.Record{Kind: "due", Key: "photo:zzz-1:2"}, true},
		{"another's reminder", ledger.Record{Kind: "due", Key: "photo:zzy-1:2"}, false},
		{"a message to them", ledger.Record{Kind: "out", Key: "46655|0000000000000001", Body: []byte(`{}`)}, true},
		{"a button of theirs", toOwner(t, bot.Message{Text: "Book?", Choices: button("zzz-1|4|owner|approve")}), true},
		{"a namesake's button", toOwner(t, bot.Message{Text: "Book Zoë?", Choices: button("abc-1|4|owner|approve")}), false},
		{"their picture", toOwner(t, bot.Message{Photo: "pic"}), true},
		{"a namesake's picture", toOwner(t, bot.Message{Photo: "other", Text: "Zoë"}), false},
		{"nobody's name", toOwner(t, bot.Message{Text: "Good morning"}), false},
		{"only their name", toOwner(t, bot.Message{Text: "Minutes for Zoë?"}), true},
		{"a longer name", toOwner(t, bot.Message{Text: "Minutes for Zoëlle?"}), false},
		{"a namesake is told something", ledger.Record{Kind: "out", Key: "9|0000000000000001", Body: asJSON(t, bot.Message{Text: "Hello Zoë"})}, false},
		{"an event of theirs", ledger.Record{Kind: "aside", Key: "u7", Body: asJSON(t, bot.Event{Op: "u7", Chat: ours})}, true},
		{"an event of another", ledger.Record{Kind: "aside", Key: "u7", Body: asJSON(t, bot.Event{Op: "u7", Chat: 5})}, false},
		{"an error about them", ledger.Record{Kind: "aside", Key: "u8", Reason: "document enq:zzz-1: broken"}, true},
		{"a message to them set aside", ledger.Record{Kind: "aside", Key: "46655|0000000000000001"}, true},
		{"a message about them set aside", ledger.Record{Kind: "aside", Key: "7001|0000000000000001", Body: asJSON(t, bot.Message{Text: "Zoë O. is waiting"})}, true},
		{"a name of an event", ledger.Record{Kind: "op", Key: "d:hold:zzz-1@5"}, false},
		{"an empty day", ledger.Record{Kind: "doc", Key: "day:2027-04-15", Body: []byte(`{}`)}, false},
	}
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		_, p := known(t, rdb, owner)
		for _, tt := range tests {
			if _, got := p.Part(tt.r); got != tt.want {
				t.Errorf("%s: theirs %v, want %v", tt.name, got, tt.want)
			}
		}
		_, p = known(t, rdb, 0)
		if _, got := p.Part(toOwner(t, bot.Message{Text: "Minutes for Zoë?"})); got {
			t.Error("a name counts though the owner's chat is unknown: customers have namesakes")
		}
	})
}

// A day is shared: what is theirs is their entries, and a job that is still to
// come keeps its time.
func TestForgetLeavesOthersInTheDayAndTheTimeOfAJob(t *testing.T) {
	entry := func(id string, hour int, kind string) diary.Entry {
		at := now.Add(time.Duration(hour) * time.Hour)
		return diary.Entry{ID: id, Start: at, End: at.Add(time.Hour), Kind: kind, Point: diary.Point{Lat: 51.5}}
	}
	day := diary.Day{Entries: []diary.Entry{
		entry("zzz-1", -3, diary.Booked), entry("abc-1", -1, diary.Booked), entry("zzz-2", 0, diary.Asked), entry("zzz-3", 1, diary.Booked), entry("off", 3, diary.Off),
	}}
	const key = "day:2027-04-12"
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		ctx := context.Background()
		l, p := known(t, rdb, owner)
		if _, err := l.Commit(ctx, ledger.Change{Op: "u2", Now: now, Read: map[string]int64{key: 0}, Put: []ledger.Doc{{Key: key, Body: asJSON(t, day)}}}); err != nil {
			t.Fatal(err)
		}
		part, _ := p.Part(ledger.Record{Kind: "doc", Key: key, Body: asJSON(t, day)})
		theirs := diary.Day{Entries: []diary.Entry{day.Entries[0], day.Entries[2], day.Entries[3]}}
		if d := cmp.Diff(string(asJSON(t, theirs)), string(part.Body)); d != "" {
			t.Errorf("their part of the day:\n%s", d)
		}

		kept := diary.Entry{ID: "kept:20270412T194000", Start: day.Entries[3].Start, End: day.Entries[3].End, Kind: diary.Booked}
		gone, err := p.Forget(ctx, l, now)
		want := desk.Forgotten{Documents: 2, Entries: 4, Kept: []diary.Entry{kept}}
		if d := cmp.Diff(want, gone); d != "" || err != nil {
			t.Errorf("forgotten: %v\n%s", err, d)
		}
		loaded, err := l.Load(ctx, "", key)
		if err != nil {
			t.Fatal(err)
		}
		left := diary.Day{Entries: []diary.Entry{day.Entries[1], kept, day.Entries[4]}}
		if d := cmp.Diff(string(asJSON(t, left)), string(loaded.Docs[key].Body)); d != "" {
			t.Errorf("the day:\n%s", d)
		}
		again, err := p.Forget(ctx, l, now)
		if d := cmp.Diff(desk.Forgotten{}, again); d != "" || err != nil {
			t.Errorf("forgotten again: %v\n%s", err, d)
		}
	})
}
