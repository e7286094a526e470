package conversations_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/wording"
)

// eve is somebody who tries everything.
const eve = bot.ChatID(666)

// signed is a talk in which links are handed out.
func signed(t tb, pairs ...string) conversations.Talk {
	tk := with(t, pairs...)
	tk.Bot, tk.Secret = "desk_bot", []byte("a secret of these tests")
	return tk
}

// guestBooked is a booking of somebody who rang.
func (o *office) guestBooked(words string) {
	o.t.Helper()
	o.say(boss, words, "just the price")
	o.tap(boss, "Find a day", "Nothing like that", "No photo")
	o.event(boss, bot.Tap{ID: "t", Data: o.lastTo(boss).Choices[0][0].Data})
	o.tap(boss, "Yes, remind me", "Yes, book it")
}

// link is what stands behind "?start=" in the latest link the owner has.
func (o *office) link() string {
	o.t.Helper()
	for _, m := range slices.Backward(o.chat[boss]) {
		if _, payload, ok := strings.Cut(m.Text, "?start="); ok {
			return strings.Fields(payload)[0]
		}
	}
	o.t.Fatalf("no link")
	return ""
}

// theirs are all documents but those of one chat.
func (o *office) others(who bot.ChatID) map[string]string {
	out := map[string]string{}
	own := fmt.Sprintf("chat:%d", who)
	for key, d := range o.docs {
		// That somebody has asked for something is counted.
		if key == own || strings.HasPrefix(key, "tally:") || strings.HasPrefix(key, "enq:") && read[conversations.Enquiry](o, key).Chat == who {
			continue
		}
		out[key] = string(d.Body)
		if key == fmt.Sprintf("chat:%d", boss) {
			c := read[conversations.Chat](o, key)
			// That he was told of an enquiry of theirs, as anybody may ask him something.
			c.Talks = slices.DeleteFunc(c.Talks, func(id string) bool { return read[conversations.Enquiry](o, "enq:"+id).Chat == who })
			c.Under, c.Shown = nil, nil // and that their question stands before him
			body, _ := json.Marshal(c)
			out[key] = string(body)
		}
	}
	return out
}

// Whatever a stranger presses, writes, forwards or opens: nothing of anybody else's
// changes, nobody else is told anything, and nothing of theirs is shown to him.
func TestImpostorGetsNowhere(t *testing.T) {
	o := newOffice(t, signed(t, bank...))
	o.booked(mia, "Ford Fiesta")
	o.asked(zoe, "Volvo V60")
	o.guestBooked("rang Sarah, golf estate outside, she'll drop it off")
	o.tap(boss, "Link for them")
	old := o.link()
	o.tap(boss, "Link for them")
	good := o.link()

	var tries []any
	write := func(texts ...string) {
		for _, s := range texts {
			tries = append(tries, bot.Text{Body: s, Message: 900})
		}
	}
	press := func(data ...string) {
		for _, d := range data {
			tries = append(tries, bot.Tap{ID: "t", Data: d, Message: 1})
		}
	}
	// Every button anybody was ever shown, the owner's above all.
	for _, of := range []bot.ChatID{boss, mia, zoe} {
		for _, tap := range o.ever[of] {
			press(tap.Data)
		}
	}
	// Every press there is, about enquiries whose ids can be guessed.
	questions := []string{"owner", "visit", "move", "grade", "extra", "kind", "paid", "deposit", "byhand", "reason", "query", "job", "snag", "consent-later", "desk", "run", "review", "settings", "nudge", "wear", "agree"}
	choices := []string{"approve", "decline", "done", "write", "hand-back", "link", "sheet", "arrived", "adjust", "ask", "surely", "cancel", "theirs", "yes", "no", "keep", "here", "not", "without", "return", "back", "says", "let-go", "nobody", "rebook", "price", "rules", "words", "none", "off", "today", "rain:2027-04-13", "off:2027-04-13", "8000"}
	for _, id := range []string{o.enquiry(mia).ID, o.enquiry(zoe).ID, "-1-1", "-"} {
		for _, q := range questions {
			for _, c := range choices {
				// The revision is what it is now: whoever guesses would have to guess that too.
				press(fmt.Sprintf("%s|%d|%s|%s", id, read[conversations.Enquiry](o, "enq:"+id).Rev, q, c))
			}
		}
	}
	// The owner's own words, and links that are none, void, or another's in part.
	write("today", "tomorrow", "this week", "rained off", "running 20 late", "figures", "calendar", "settings", "rate 1", "minimum 1", "undo", "link",
		"rang Bob, golf, outside", "150", "£1", "/start claim-", "/start claim-AAAAAAAAAAAAAAAAAAAAAAAAAA", "/start take-", "/start take-1-1-", "/start take-1-2-aaaaaaaaaaaaaaaaaaaaaaaaaa",
		"/start "+old, "/start "+good[:len(good)-1], "/start "+good+"a", "/start "+strings.ToUpper(good), "/start "+strings.Replace(good, "-1-2-", "-1-3-", 1),
		"/start "+strings.Replace(good, "take-1-", "take-2-", 1), "start "+good, good, "https://t.me/desk_bot?start="+good)
	// What the owner was told, forwarded.
	for _, m := range o.chat[boss] {
		if m.Text != "" && len(m.Text) < 600 && !strings.Contains(m.Text, good) {
			write(m.Text)
		}
	}
	// All of it once more, sent on as if from the owner or a bot.
	for _, what := range slices.Clone(tries) {
		if w, ok := what.(bot.Text); ok {
			w.Forward = &bot.Forward{Name: []string{"Owner", "Sarah", ""}[len(tries)%3]}
			tries = append(tries, w, bot.Photo{File: "f", Unique: "u", Caption: w.Body, Message: 901, Forward: w.Forward})
		}
	}
	tries = append(tries, bot.Place{Lat: 53.9, Lon: -1.8}, bot.Other{Kind: "contact"}, bot.Membership{Blocked: true}, bot.Membership{})

	private := []string{"Mia", "Zoe", "Sarah", "V60", "2t-", "2u-"}
	before := o.others(eve)
	own := "" // what he wrote himself he may read again
	for _, what := range tries {
		if text, ok := what.(bot.Text); ok {
			own += text.Body + "\n"
		}
		n := len(o.said)
		o.event(eve, what)
		for _, m := range o.said[n:] {
			if m.Chat == eve {
				for _, p := range private {
					if strings.Contains(m.Text, p) && !strings.Contains(own, p) {
						t.Fatalf("on %#v he is told %q", what, m.Text)
					}
				}
				continue
			}
			if m.Chat == boss && slices.Contains([]string{string(wording.OwnerAsks), string(wording.OwnerTheirText)}, m.Kind) {
				continue // as anybody may ask him something
			}
			t.Fatalf("on %#v %d is told %q", what, m.Chat, m.Text)
		}
		if after := o.others(eve); !maps.Equal(before, after) {
			t.Fatalf("%#v changed\n%s", what, cmp.Diff(before, after))
		}
	}
	t.Logf("%d tries", len(tries))

	// The same link in the right hands does what it is for, which shows that the
	// tries above could have done something.
	ann := bot.ChatID(103)
	o.event(ann, bot.Text{Body: "/start " + good, Message: 901})
	if e := read[conversations.Enquiry](o, "enq:-1-1"); e.Chat != ann {
		t.Fatalf("the link did not work: %+v", e)
	}
	before = o.others(eve)
	o.event(eve, bot.Text{Body: "/start " + good, Message: 902})
	if d := cmp.Diff(before, o.others(eve)); d != "" {
		t.Errorf("used twice:\n%s", d)
	}
}

// The owner's presses work for the owner: the same data from him does change things.
func TestTheSamePressesWorkForTheOwner(t *testing.T) {
	o := newOffice(t, signed(t))
	o.asked(zoe, "Volvo V60")
	e := o.enquiry(zoe)
	data := fmt.Sprintf("%s|%d|owner|approve", e.ID, e.Rev)
	o.event(eve, bot.Tap{ID: "t", Data: data})
	if got := o.enquiry(zoe).Stage; got != conversations.Waits {
		t.Fatalf("a stranger's press made it %q", got)
	}
	o.event(boss, bot.Tap{ID: "t", Data: data})
	if got := o.enquiry(zoe).Stage; got != conversations.Booked {
		t.Fatalf("the owner's press left it %q", got)
	}
}

// Who takes over has the booking, the reminders of it and the say about it; no
// nudge before they have agreed to one themselves.
func TestTakingOver(t *testing.T) {
	for _, consents := range []bool{true, false} {
		o := newOffice(t, signed(t))
		o.guestBooked("rang Sarah, golf estate outside, she'll drop it off")
		o.tap(boss, "Link for them")
		o.say(zoe, "/start "+o.link())
		e := o.enquiry(zoe)
		if e.ID != "-1-1" || e.Stage != conversations.Booked || len(o.entries("-1-1")) != 1 || e.Answers["consent"] != nil {
			t.Fatalf("taken over: %+v", e)
		}
		if consents {
			o.tap(zoe, "Yes, remind me")
		}
		n := len(o.said)
		o.until(e.Slot.Start)
		if !o.heard(zoe, n, "Tomorrow at") || o.heard(boss, n, "To pass on to") {
			t.Errorf("the day before: %+v", o.said[n:])
		}
		o.until(e.Slot.End)
		o.tap(boss, "Done")
		o.say(boss, "90", "80")
		o.tap(boss, "paint sealant", "That's all ›")
		n = len(o.said)
		o.until(o.now.Add(300 * 24 * time.Hour))
		nudged := slices.ContainsFunc(o.said[n:], func(m bot.Message) bool { return m.Chat == zoe && m.Kind == "nudge" })
		if nudged != consents || o.heard(boss, n, "To pass on to") {
			t.Errorf("agreed %v, nudged %v", consents, nudged)
		}
	}
}

// A form that is still open goes on with the question it was at.
func TestTakingOverAnOpenForm(t *testing.T) {
	o := newOffice(t, signed(t))
	o.say(boss, "rang Sarah, golf estate outside", "link")
	at := read[conversations.Enquiry](o, "enq:-1-1").At
	o.say(zoe, "/start "+o.link())
	e := o.enquiry(zoe)
	if m := o.lastTo(zoe); e.At != at || len(m.Choices) == 0 {
		t.Fatalf("at %q, was %q: %q", e.At, at, m.Text)
	}
	n := len(o.said)
	o.tap(zoe, "At the workshop")
	for _, m := range o.said[n:] {
		if m.Chat == boss {
			t.Errorf("the owner still answers for her: %q", m.Text)
		}
	}
	if o.chatOf(boss).Guest != 0 {
		t.Error("what the owner types would still be hers")
	}
}
