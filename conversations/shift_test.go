package conversations_test

import (
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/diary"
)

// clashes are the entries of the whole diary that lie over each other.
func (o *office) clashes() (out []string) {
	for key := range o.docs {
		if !strings.HasPrefix(key, "day:") {
			continue
		}
		d := read[diary.Day](o, key)
		for i, en := range d.Entries {
			for _, before := range d.Entries[:i] {
				if en.Start.Before(before.End) && before.Start.Before(en.End) {
					out = append(out, before.ID+" and "+en.ID)
				}
			}
		}
	}
	return out
}

// A booking can move to a time that takes some of its own: the customer asks in their
// own words, or the owner. Until the other side has said yes both are kept, and nobody
// gets in between; whatever comes of it, one of the two is left.
func TestMovesByAnHour(t *testing.T) {
	later, old := "Tue 13 Apr, 13:00", "Tue 13 Apr, 12:00"
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	was := *start.enquiry(mia).Slot
	if got := was.Start.Format("Mon 2 Jan, 15:04"); got != old {
		t.Fatalf("booked for %s", got)
	}
	theirs := func(o *office) {
		o.say(mia, "Could you make it an hour later?")
		o.tap(mia, later)
	}
	ours := func(o *office) {
		o.tap(boss, "Move it")
		o.say(boss, "an hour later")
		o.tap(boss, later)
	}
	for _, tc := range []struct {
		name   string
		wish   func(*office)
		answer func(*office)
		hour   int
	}{
		{"theirs, agreed", theirs, func(o *office) { o.tap(boss, "Yes, that's fine") }, 1},
		{"theirs, refused", theirs, func(o *office) { o.tap(boss, "No, as it was") }, 0},
		{"theirs, unanswered", theirs, func(o *office) { o.until(o.enquiry(mia).Move.Until) }, 0},
		{"theirs, called off", theirs, func(o *office) { o.say(mia, "cancel"); o.tap(mia, "Yes, call it off") }, -1},
		{"ours, agreed", ours, func(o *office) { o.tap(mia, "Yes, that's fine") }, 1},
		{"ours, refused", ours, func(o *office) { o.tap(mia, "Keep it as it is") }, 0},
		{"ours, unanswered", ours, func(o *office) { o.until(o.enquiry(mia).Move.Until) }, 0},
		{"ours, and later still", ours, func(o *office) {
			o.say(mia, "an hour later than that please") // than what was proposed
			o.tap(mia, "Tue 13 Apr, 14:00")
			o.tap(boss, "Yes, that's fine")
		}, 2},
	} {
		o := start.fork()
		tc.wish(o)
		e := o.enquiry(mia)
		if e.Move == nil || e.Move.To == nil || !e.Move.To.Start.Equal(was.Start.Add(time.Hour)) || *e.Slot != was || len(o.clashes()) != 1 {
			t.Fatalf("%s: %+v, %+v; over each other: %v", tc.name, e.Slot, e.Move, o.clashes())
		}
		// Somebody else gets neither of the two, nor any part of them.
		z := o.fork()
		z.priced(zoe, "Ford Fiesta")
		z.tap(zoe, "Find a day", "Nothing like that", "No photo")
		z.say(zoe, "Tuesday 13 April")
		for _, label := range z.times(zoe) {
			if at, ok := strings.CutPrefix(label, "Tue 13 Apr, "); ok && at > "10:00" && at < "15:00" {
				t.Errorf("%s: Zoe is offered %s", tc.name, label)
			}
		}
		tc.answer(o)
		e = o.enquiry(mia)
		if tc.hour < 0 {
			if e.Slot != nil || len(o.entries(e.ID))+len(o.entries(e.ID+"~")) != 0 {
				t.Errorf("%s: %+v", tc.name, o.entries(e.ID))
			}
			continue
		}
		want := conversations.Span{Start: was.Start.Add(time.Duration(tc.hour) * time.Hour), End: was.End.Add(time.Duration(tc.hour) * time.Hour)}
		in := o.entries(e.ID)
		if !e.Slot.Start.Equal(want.Start) || e.Move != nil || len(in) != 1 || !in[0].Start.Equal(want.Start) || !in[0].End.Equal(want.End) || in[0].For != "" || in[0].Kind != diary.Booked ||
			len(o.entries(e.ID+"~")) != 0 || len(o.clashes()) != 0 {
			t.Errorf("%s: %+v with %+v, in the diary %+v and %+v, over each other %v", tc.name, e.Slot, e.Move, in, o.entries(e.ID+"~"), o.clashes())
		}
	}
	// Unasked, nobody is offered half an hour later, nor the very time they have.
	o := start.fork()
	o.tap(mia, "Move it")
	for range 3 {
		for _, label := range o.times(mia) {
			if label >= "Tue 13 Apr, 10:30" && label < "Tue 13 Apr, 14:00" {
				t.Errorf("offered %s to somebody who has %s", label, old)
			}
		}
		o.tap(mia, "Later days")
	}
}

// "An hour later" is told from what there is: from what is offered, from what is kept,
// from what has been asked for. Alone, "later" is later days.
func TestHourLaterThanWhat(t *testing.T) {
	o := newOffice(t, talk(t))
	o.priced(mia, "Ford Fiesta")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	first := o.times(mia)
	moved := func(labels []string, by time.Duration) string {
		var out []string
		for _, l := range labels {
			at, err := time.Parse("Mon 2 Jan, 15:04", l)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, at.Add(by).Format("2 Jan, 15:04"))
		}
		return strings.Join(out, "; ")
	}
	offered := func(o *office) string {
		var out []string
		for _, l := range o.times(mia) {
			_, l, _ = strings.Cut(l, " ")
			out = append(out, l)
		}
		return strings.Join(out, "; ")
	}
	o.say(mia, "an hour later")
	if got, want := offered(o), moved(first, time.Hour); got != want || !strings.Contains(o.lastTo(mia).Text, "These would suit what you said.") {
		t.Errorf("of %s, an hour later: %s\n%s", strings.Join(first, "; "), got, o.lastTo(mia).Text)
	}
	o.tap(mia, "Tue 13 Apr, 13:00")
	held := o.fork()
	held.say(mia, "half an hour earlier if possible")
	if got := offered(held); got != "13 Apr, 12:30" || held.enquiry(mia).Stage != conversations.Asking || len(held.entries(held.enquiry(mia).ID)) != 0 {
		t.Errorf("of a time that is kept, half an hour earlier: %s, it is %q", got, held.enquiry(mia).Stage)
	}
	held.tap(mia, "Tue 13 Apr, 12:30", "No, thank you", "Yes, ask for it")
	held.say(mia, "the day after would be better")
	if got := offered(held); !strings.HasPrefix(got, "14 Apr, ") || strings.Contains(got, "15 Apr") || held.enquiry(mia).Stage != conversations.Asking {
		t.Errorf("of a time that was asked for, the day after: %s, it is %q", got, held.enquiry(mia).Stage)
	}
	o.say(mia, "can we make it Thursday instead")
	if got := offered(o); !strings.HasPrefix(got, "15 Apr, ") {
		t.Errorf("instead of a time that is kept: %s", got)
	}
	o.say(mia, "later")
	if got := offered(o); strings.Contains(got, "15 Apr") {
		t.Errorf("later alone: %s", got)
	}
}

// Who is choosing another time names one as it comes; what nobody can have is said, and
// what was agreed on the way, that it costs nothing for the rain, stays so.
func TestTimesNamedWhileMoving(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.tap(mia, "Move it")
	o.say(mia, "Thursday morning")
	if got := o.times(mia); len(got) == 0 || !strings.HasPrefix(got[0], "Thu ") {
		t.Errorf("named Thursday: %v", got)
	}
	o.say(mia, "at three in the morning on Thursday")
	o.say(mia, "Sunday")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "closed on Sun") || len(o.times(mia)) == 0 {
		t.Errorf("named Sunday: %q with %v", m.Text, m.Choices)
	}
	o.say(mia, "leave it as it is")
	o.say(mia, "see you on Thursday")
	if !strings.Contains(o.lastTo(mia).Text, "you're booked for Tue 13 Apr") || o.enquiry(mia).Move != nil {
		t.Errorf("moved by a word: %q", o.lastTo(mia).Text)
	}

	o.say(boss, "tomorrow")
	o.tap(boss, "12:00 Mia ›", "Move it", "Let them choose")
	o.say(mia, "Fridays are best")
	if e := o.enquiry(mia); !e.Move.Offered || e.Move.By != conversations.Owner {
		t.Fatalf("naming a time makes it their wish: %+v", e.Move)
	}
	o.tap(mia, o.times(mia)[0])
	if e := o.enquiry(mia); e.Move != nil || e.Slot.Start.Weekday() != time.Friday {
		t.Errorf("chosen: %v, %+v", e.Slot, e.Move)
	}
}

// The owner's words are a time for a booking only just after he was asked for one, and
// only if they are nothing else.
func TestOwnerNamesTime(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.tap(boss, "Move it")
	for _, tc := range []struct {
		said  string
		first string // empty: it moves nothing
	}{
		{"an hour later", "Tue 13 Apr, 13:00"},
		{"make it Thursday at 10", "Thu 15 Apr, 10:00"},
		{"10", "Wed 14 Apr, 10:00"},
		{"tomorrow", "Tue 13 Apr, 14:00"},
		{"off Thursday", ""},
		{"rate 42", ""},
		{"rang Sarah, golf estate", ""},
	} {
		o := start.fork()
		o.say(boss, tc.said)
		got := ""
		if m := o.lastTo(boss); m.Kind == "move" {
			got = o.times(boss)[0]
		}
		if got != tc.first {
			t.Errorf("%q: offered %q, want %q; he reads %q", tc.said, got, tc.first, o.lastTo(boss).Text)
		}
		if tc.first == "" { // he has gone on to something else
			o.say(boss, "an hour later")
			if m := o.lastTo(boss); m.Kind == "move" {
				t.Errorf("%q and then an hour later: %q", tc.said, m.Text)
			}
		}
	}
	o := start.fork()
	o.tap(boss, "Keep it as it is")
	o.say(boss, "an hour later")
	if m := o.lastTo(boss); m.Kind == "move" {
		t.Errorf("of nothing: %q", m.Text)
	}
}
