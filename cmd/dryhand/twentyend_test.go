package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations/wording"
)

// updateKinds are the kinds of updates of Bot API 10.1: the fields of Update at
// core.telegram.org/bots/api#update, by the machine-readable description of
// 11 June 2026.
var updateKinds = strings.Fields(`message edited_message channel_post edited_channel_post business_connection business_message
	edited_business_message deleted_business_messages message_reaction message_reaction_count inline_query chosen_inline_result
	callback_query shipping_query pre_checkout_query purchased_paid_media poll poll_answer my_chat_member chat_member
	chat_join_request chat_boost removed_chat_boost managed_bot`)

// R15: an update of any kind, with any of its fields left out or null. None makes
// the bot stumble, none blocks a chat, and an edited answer is that answer anew.
func TestR15AnyKindOfUpdateWithAnyFieldMissing(t *testing.T) {
	t.Parallel()
	f := newFront(t, standin.Config{}, nil)
	mia := f.standin.Person(101, "Mia")
	f.does(mia, journey()[:1]...)
	whole := func() map[string]any {
		chat, from := map[string]any{"id": 777, "type": "private"}, map[string]any{"id": 777, "is_bot": false, "first_name": "Ned"}
		return map[string]any{"id": "77", "message_id": 5, "date": f.clock.Now().Unix(), "edit_date": f.clock.Now().Unix(), "chat": chat, "from": from, "user": from,
			"text": "Ford Fiesta", "caption": "look", "media_group_id": "1", "data": "x|1|site|own", "message": map[string]any{"message_id": 5, "date": 0, "chat": chat},
			"photo":    []any{map[string]any{"file_id": "a", "file_unique_id": "a", "width": 1, "height": 1}},
			"document": map[string]any{"file_id": "a", "file_unique_id": "a", "file_name": "a.jpg", "mime_type": "image/jpeg"},
			"location": map[string]any{"latitude": 53.9, "longitude": -1.8}, "old_chat_member": map[string]any{"status": "member", "user": from},
			"new_chat_member": map[string]any{"status": "kicked", "user": from}, "reply_to_message": map[string]any{"message_id": 4, "date": 0, "chat": chat},
			"query": "q", "offset": "", "options": []any{}, "new_reaction": []any{}, "chat_instance": "1"}
	}
	op, bad := int64(1_000_000), 0
	try := func(kind, what string, content any) {
		op++
		body, err := json.Marshal(map[string]any{"update_id": op, kind: content})
		if err != nil {
			t.Fatal(err)
		}
		if status := f.post(playedSecret, body); status != http.StatusOK && bad < 10 {
			bad++
			t.Errorf("%s, %s: answered %d", kind, what, status)
		}
	}
	for _, kind := range append(updateKinds, "a_kind_of_tomorrow") {
		try(kind, "whole", whole())
		try(kind, "empty", map[string]any{})
		for field, value := range whole() {
			without, null := whole(), whole()
			delete(without, field)
			null[field] = nil
			try(kind, "without "+field, without)
			try(kind, "null "+field, null)
			inner, ok := value.(map[string]any)
			for name := range inner {
				short := whole()
				short[field] = maps.Clone(inner)
				delete(short[field].(map[string]any), name)
				if ok {
					try(kind, "without "+field+"."+name, short)
				}
			}
		}
	}
	f.post(playedSecret, fmt.Appendf(nil, `{"update_id":%d}`, op+1))
	if log := f.faults.String(); log != "" {
		t.Errorf("the bot stumbles:\n%s", log[:min(len(log), 2000)])
	}
	if a := f.asides(); len(a) > 0 {
		t.Errorf("put aside: %q", a)
	}
	f.mayFail = 100 // Ned's pictures are not to be had
	f.run(time.Minute)

	id := mia.Say("outside")
	f.settle()
	if err := mia.Edit(id, "inside"); err != nil {
		t.Fatal(err)
	}
	f.settle()
	if got := f.enquiry(mia, 1).Answers["wants"]; !slices.Equal(got, []string{"interior"}) {
		t.Errorf("outside, edited to inside, counts as %q", got)
	}
}

// R16: names and notes with markup, quotes, emoji, letters from right to left and
// of no width, on the whole way from hello to the job's end. Everything arrives,
// as it was written; what is longer than a message goes in parts.
func TestR16NamesAndNotesBreakNoMessage(t *testing.T) {
	t.Parallel()
	f := newFront(t, standin.Config{}, nil)
	const hostile = `<b>Ann &"` + "👩‍🚒\u202e\u200b </b> {{.Name}} %s"
	ann := f.standin.Person(101, hostile)
	f.say(f.owner(), "/start")
	f.say(ann, "Ford Fiesta "+hostile, hostile)
	f.does(ann, journey()[1:]...)
	f.tap(f.owner(), "Yes, book it")
	f.say(ann, hostile)
	f.tap(f.owner(), "Write to them")
	f.say(f.owner(), hostile+" from the owner")
	long := strings.Repeat("🧽", 2048) // 4096 units, the most a person can send at once
	f.say(ann, long)
	f.run(7 * 24 * time.Hour)
	f.tap(f.owner(), "Done")
	f.say(f.owner(), "90", "80")
	f.run(400 * 24 * time.Hour)

	if r := f.refused(); len(r) > 0 {
		t.Errorf("the platform refuses %d messages: %q", len(r), r)
	}
	if a := f.asides(); len(a) > 0 {
		t.Errorf("put aside: %q", a)
	}
	read := strings.Join(told(f.owner()), "\n")
	if !strings.Contains(read, hostile) || strings.Count(read, "🧽") != 2048 {
		t.Errorf("the owner does not read what was written; sponges: %d", strings.Count(read, "🧽"))
	}
	if times(ann, "From the workshop: "+hostile) != 1 || times(ann, `<b>Ann &"`) < 3 {
		t.Errorf("the customer reads %q", told(ann))
	}
	for _, text := range told(f.owner()) {
		if strings.Contains(text, "\u202e") && !strings.Contains(text, "writes:") && !strings.Contains(text, "Passed on") && !strings.Contains(text, "Ford Fiesta") {
			t.Errorf("a name turns the owner's line round: %q", text)
		}
	}
}

// R17: six hours of nobody answering. Everything written comes at once, counted
// from the moment it was written; taps are gone after 150 seconds, and people are
// shown where they stand and told to tap again.
func TestR17AfterAnOutageNothingOldIsActedOn(t *testing.T) {
	t.Parallel()
	f := newFront(t, standin.Config{}, nil)
	mia, zoe, raj := f.standin.Person(101, "Mia"), f.standin.Person(102, "Zoe"), f.standin.Person(103, "Raj")
	f.does(mia, journey()[:8]...)
	f.does(raj, journey()[:8]...)
	f.does(zoe, journey()[:3]...)
	f.clock.Set(time.Date(2027, 4, 12, 22, 50, 0, 0, time.UTC)) // ten to midnight
	f.settle()
	f.before(func(http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Retry-After", "1800")
			w.WriteHeader(http.StatusBadGateway)
		})
	})
	mia.Say("the day after tomorrow") // Wednesday the 14th, when it was said
	raj.Say("today at 23:55")
	if err := zoe.Tap(0, label(wording.LabelBring)); err != nil {
		t.Fatal(err)
	}
	f.spinning++
	var crowd []*standin.Person
	for i := range 40 {
		p := f.standin.Person(int64(500+i), "Someone")
		p.Say("Ford Fiesta")
		p.Say("outside")
		crowd = append(crowd, p)
	}
	f.run(5 * time.Hour)
	zoe.Say("hello? anybody there?")
	f.run(time.Hour)
	f.before(nil)
	f.run(time.Hour)

	if lost := f.standin.Lost(); len(lost) != 1 || lost[0].Kind != "callback_query" {
		t.Fatalf("lost: %+v", lost)
	}
	const sorry = "Sorry, we were away for a while"
	if !strings.Contains(last(mia), "[Wed 14 Apr") || times(mia, sorry) != 1 {
		t.Errorf("Mia, who meant Wednesday, reads %q", last(mia))
	}
	if !strings.Contains(last(raj), "Nothing is free at that hour") || f.enquiry(raj, 1).Slot != nil {
		t.Errorf("Raj, who meant an hour long past, reads %q", last(raj))
	}
	if !strings.Contains(last(zoe), "please tap again") || !strings.Contains(last(zoe), "Where would we do it?") {
		t.Errorf("Zoe, whose tap was lost, reads %q", last(zoe))
	}
	f.tap(zoe, label(wording.LabelBring))
	if got := f.enquiry(zoe, 1).Answers["site"]; !slices.Equal(got, []string{"own"}) {
		t.Errorf("tapped again, it counts as %q", got)
	}
	if times(zoe, sorry) != 1 {
		t.Error("Zoe is told twice that we were away")
	}
	for _, p := range crowd {
		if n := len(told(p)); n != 2 || times(p, sorry) != 1 || !strings.Contains(last(p), "Where would we do it?") {
			t.Fatalf("%d reads %q", p.ID(), told(p))
		}
	}
}

// R18: something shared mixes two customers. Fifty write at once, step by step, and
// none ever reads another's name, car or price.
func TestR18FiftyCustomersAreNotMixedUp(t *testing.T) {
	t.Parallel()
	f := newFront(t, standin.Config{}, hesitate)
	cars := []string{"Ford Fiesta", "Volvo V60", "Nissan Qashqai", "Skoda Octavia Estate", "Mazda MX-5"}
	steps := []func(p *standin.Person, i int) error{
		func(p *standin.Person, i int) error { p.Say(cars[i%len(cars)]); return nil },
		func(p *standin.Person, i int) error { p.Say([]string{"inside", "outside"}[i/5%2]); return nil },
		func(p *standin.Person, _ int) error { return p.Tap(0, label(wording.LabelBring)) },
		func(p *standin.Person, _ int) error { p.Say("just the price"); return nil },
	}
	var all []*standin.Person
	for i := range 50 {
		all = append(all, f.standin.Person(int64(1000+i), fmt.Sprintf("Name%02d.", i)))
	}
	for _, do := range steps {
		for i, p := range all {
			if err := do(p, i); err != nil {
				t.Fatal(err)
			}
		}
		f.run(time.Minute)
	}
	prices := map[string]string{} // by car and work: the same question has one answer
	for i, p := range all {
		read := strings.Join(told(p), "\n")
		for j, other := range all {
			if (i == j) != strings.Contains(read, other.Name()) {
				t.Errorf("%s reads of %s: %v", p.Name(), other.Name(), i != j)
			}
		}
		for j, car := range cars {
			if (i%len(cars) == j) != strings.Contains(read, car) {
				t.Errorf("%s, who has a %s, reads of a %s: %v", p.Name(), cars[i%len(cars)], car, j != i%len(cars))
			}
		}
		e := f.enquiry(p, 1)
		if e.Quote == nil || e.Name != p.Name() {
			t.Fatalf("%s: %+v", p.Name(), e)
		}
		key, price := fmt.Sprint(i%len(cars), i/5%2), fmt.Sprint(e.Quote.Likely, e.Quote.High)
		if was, ok := prices[key]; ok && was != price {
			t.Errorf("%s pays %s, somebody with the same wishes %s", p.Name(), price, was)
		}
		prices[key] = price
	}
}

// R19: forged updates are refused without a trace, and the platform's own are not
// slowed down by any limit of ours.
func TestR19ForgedUpdatesLeaveNoTrace(t *testing.T) {
	t.Parallel()
	f := newFront(t, standin.Config{}, nil)
	mia := f.standin.Person(101, "Mia")
	f.does(mia, journey()[:1]...)
	before := everything(t, f.ledger)
	forged := func(op, chat int, text string) []byte {
		body, err := json.Marshal(map[string]any{"update_id": op, "message": map[string]any{"message_id": 9, "date": f.clock.Now().Unix(), "text": text,
			"chat": map[string]any{"id": chat, "type": "private"}, "from": map[string]any{"id": chat, "first_name": "x"}}})
		if err != nil {
			t.Fatal(err)
		}
		return body
	}
	for i, secret := range []string{"", "wrong", playedSecret + "x", playedSecret[1:], strings.ToUpper(playedSecret), strings.Repeat("a", 100_000)} {
		if status := f.post(secret, forged(900+i, 101, "stop")); status != http.StatusUnauthorized && status != http.StatusRequestHeaderFieldsTooLarge {
			t.Errorf("secret %.20q is answered %d", secret, status)
		}
	}
	if d := cmp.Diff(before, everything(t, f.ledger)); d != "" {
		t.Errorf("forged updates leave\n%s", d)
	}
	var all sync.WaitGroup
	began := time.Now()
	for i := range 100 {
		all.Go(func() {
			if status := f.post(playedSecret, forged(2000+i, 3000+i, "Ford Fiesta")); status != http.StatusOK {
				t.Errorf("one of a hundred is answered %d", status)
			}
		})
	}
	all.Wait()
	t.Logf("100 updates within %s", time.Since(began).Round(time.Millisecond))
	chats := 0
	for key := range f.docs() {
		if strings.HasPrefix(key, "chat:3") {
			chats++
		}
	}
	if chats != 100 {
		t.Errorf("%d of 100 take effect", chats)
	}
}

// R20: a picture too big to fetch is refused kindly; a link that has run out is
// asked for again; a download cut off is begun again, and what was measured is the
// whole picture.
func TestR20DownloadsThatFail(t *testing.T) {
	t.Parallel()
	f := newFront(t, standin.Config{}, nil)
	mia := f.standin.Person(101, "Mia")
	f.does(mia, journey()[:1]...)
	const mb = 1 << 20
	mia.SendFile("huge.jpg", "image/jpeg", bytes.Repeat([]byte{0xff}, 21*mb))
	f.run(time.Minute)
	if !strings.Contains(last(mia), "too big for us") {
		t.Errorf("21 MB are answered %q", last(mia))
	}
	pictures := sharpPictures(t, 3)
	f.mayFail = 1
	f.standin.Fault(standin.Download, standin.Fault{Times: 1, Status: http.StatusNotFound})
	f.standin.Fault(standin.Download, standin.Fault{Times: 1, DropAfter: true})
	links := f.standin.Calls()["getFile"].Calls
	for i, data := range pictures {
		mia.SendFile(fmt.Sprint(i, ".jpg"), "image/jpeg", data)
		f.run(time.Minute)
	}
	e := f.enquiry(mia, 1)
	for i, data := range pictures {
		sum := sha256.Sum256(data)
		p := e.Photos[i+1]
		if p.Report == nil || p.Report.SHA256 != hex.EncodeToString(sum[:]) {
			t.Errorf("picture %d: %+v, want the whole of it looked at", i, p)
		}
	}
	if n := times(mia, "bright enough"); n != 3 {
		t.Errorf("three good pictures, thanked for %d times: %q", n, told(mia))
	}
	if n := f.standin.Calls()["getFile"].Calls - links; n != 5 {
		t.Errorf("links asked for %d times, want 3 and one again for each failure", n)
	}
}
