package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/diary"
)

// regular makes Mia's car come every four weeks.
func regular(t *testing.T) *office {
	t.Helper()
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	o.tap(boss, "Make it regular", "Every 4 weeks")
	o.tap(mia, "Yes, every 4 weeks")
	return o
}

func (o *office) visits() (out []conversations.Enquiry) {
	for _, id := range o.chatOf(mia).Visits {
		out = append(out, read[conversations.Enquiry](o, "enq:"+id))
	}
	return out
}

// Three visits stand in the diary, four weeks apart by the clock on the wall, each
// cheaper than the first job and each with what a booking brings.
func TestStandingVisitsArePlannedAhead(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	first := o.enquiry(mia)
	o.done()
	o.tap(boss, "Make it regular", "Every 4 weeks")
	o.tap(mia, "Yes, every 4 weeks")
	all := o.visits()
	if len(all) != 3 {
		t.Fatalf("%d visits", len(all))
	}
	for i, v := range all {
		want := first.Slot.Start.In(o.talk.Zone).AddDate(0, 0, 28*(i+1))
		if !v.Slot.Start.Equal(want) || v.Stage != conversations.Booked {
			t.Errorf("visit %d is %q at %s, want %s", i, v.Stage, v.Slot.Start, want)
		}
		if en := o.entries(v.ID); len(en) != 1 || en[0].Kind != diary.Booked {
			t.Errorf("visit %d in the diary: %+v", i, en)
		}
		for _, due := range []string{"job:" + v.ID, "visit:" + v.ID + ":day-before", "visit:" + v.ID + ":morning"} {
			if _, ok := o.due[due]; !ok {
				t.Errorf("nothing reminds of %s", due)
			}
		}
		if v.Quote.Likely >= first.Quote.Likely || v.Quote.Refused != "" {
			t.Errorf("visit %d costs %d, the first job %d", i, v.Quote.Likely, first.Quote.Likely)
		}
	}
}

// One is skipped with a tap: its time is free, another stands at the end, the rest
// are where they were.
func TestStandingVisitIsSkipped(t *testing.T) {
	o := regular(t)
	before := o.visits()
	o.until(before[0].Slot.Start.Add(-15 * time.Hour))
	o.tap(mia, "Skip this one")
	after := o.visits()
	if len(after) != 3 || after[0].ID != before[1].ID || after[1].ID != before[2].ID {
		t.Fatalf("visits before %v, after %v", ids(before), ids(after))
	}
	if en := o.entries(before[0].ID); len(en) != 0 {
		t.Errorf("still in the diary: %+v", en)
	}
	if want := before[2].Slot.Start.In(o.talk.Zone).AddDate(0, 0, 28); !after[2].Slot.Start.Equal(want) {
		t.Errorf("the last is at %s, want %s", after[2].Slot.Start, want)
	}
	o.tap(mia, "End the standing visits")
	if len(o.visits()) != 0 || len(o.chatOf(mia).Visits) != 0 {
		t.Errorf("left: %v", ids(o.visits()))
	}
	for _, v := range after {
		if en := o.entries(v.ID); len(en) != 0 {
			t.Errorf("%s is still in the diary", v.ID)
		}
	}
}

func ids(all []conversations.Enquiry) (out []string) {
	for _, v := range all {
		out = append(out, v.ID)
	}
	return out
}

// A visit that is done brings another; one put later moves no other.
func TestStandingRowGoesOn(t *testing.T) {
	o := regular(t)
	row := o.visits()
	o.until(row[0].Slot.End)
	o.tap(boss, "Done")
	o.say(boss, "60", "60")
	o.tap(boss, "That's all ›")
	after := o.visits()
	if len(after) != 3 || after[0].ID != row[1].ID || o.enquiry(mia).ID != row[1].ID {
		t.Fatalf("visits %v, in hand %s", ids(after), o.enquiry(mia).ID)
	}
	if want := row[2].Slot.Start.In(o.talk.Zone).AddDate(0, 0, 28); !after[2].Slot.Start.Equal(want) {
		t.Errorf("the last is at %s, want %s", after[2].Slot.Start, want)
	}
}

// Where the day is shut, the nearest one is taken, and the row stays as it was: four
// weeks after Monday 5 April 2027 is the early May bank holiday (gov.uk/bank-holidays).
func TestStandingVisitAroundABankHoliday(t *testing.T) {
	o := newOffice(t, talk(t))
	o.now = time.Date(2027, 4, 1, 11, 0, 0, 0, time.UTC)
	o.priced(mia, "Ford Fiesta")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	var slot bot.Tap
	for range 4 {
		if slot = o.slotOn(mia, "Mon"); slot.Data != "" {
			break
		}
		o.tap(mia, "Later days")
	}
	if slot.Data == "" {
		t.Skip("no Monday is offered")
	}
	o.event(mia, slot)
	o.tap(mia, "Yes, remind me", "Yes, ask for it")
	o.tap(boss, "Yes, book it")
	start := o.enquiry(mia).Slot.Start.In(o.talk.Zone)
	o.done()
	o.tap(boss, "Make it regular", "Every 2 weeks")
	o.tap(mia, "Yes, every 2 weeks")
	moved := false
	for i, v := range o.visits() {
		want := start.AddDate(0, 0, 14*(i+1))
		got := v.Slot.Start.In(o.talk.Zone)
		shut := want.Format("01-02") == "05-03" || want.Format("01-02") == "05-31"
		if got.Equal(want) == shut {
			t.Errorf("visit %d at %s, its day %s", i, got, want)
		}
		moved = moved || shut
		if off := got.Sub(want).Abs(); off > 4*24*time.Hour {
			t.Errorf("visit %d is %s off its day", i, off)
		}
	}
	if !moved {
		t.Errorf("no visit of the row from %s would fall on a bank holiday", start)
	}
}

// slotOn is a button for a time on a day of the week, none if none is shown.
func (o *office) slotOn(who bot.ChatID, day string) bot.Tap {
	m := o.lastTo(who)
	for _, row := range m.Choices {
		for _, c := range row {
			if strings.HasPrefix(c.Label, day+" ") {
				return bot.Tap{ID: "t", Data: c.Data}
			}
		}
	}
	return bot.Tap{}
}

// Who is due: held back, hurried and dropped with two taps each, and what nobody is
// to hear is not listed.
func TestWhoIsDue(t *testing.T) {
	base := newOffice(t, talk(t))
	base.booked(mia, "Ford Fiesta")
	base.done()
	due := base.enquiry(mia).Work.Nudge
	base.until(due.AddDate(0, 0, -10).Add(30 * time.Hour))
	for _, tt := range []struct {
		name string
		do   func(*office)
		want func(*office, time.Time) bool
	}{
		{"held back", func(o *office) { o.tap(boss, "Hold it back") }, func(_ *office, at time.Time) bool { return at.After(due.AddDate(0, 0, 40)) }},
		{"hurried", func(o *office) { o.tap(boss, "Send it now") }, func(o *office, at time.Time) bool { return at.Before(o.now.Add(72*time.Hour)) && at.Before(due) }},
		{"dropped", func(o *office) { o.tap(boss, "Drop it") }, func(_ *office, at time.Time) bool { return at.IsZero() }},
	} {
		o := base.fork()
		o.t = t
		if said := o.say(boss, "due"); !strings.Contains(said[0].Text, "Mia, Ford Fiesta, £") {
			t.Fatalf("%s: %q", tt.name, said[0].Text)
		}
		o.tap(boss, "Mia, Ford Fiesta")
		tt.do(o)
		if at := o.enquiry(mia).Work.Nudge; !tt.want(o, at) {
			t.Errorf("%s: now due %s, was %s", tt.name, at, due)
		}
		if tt.name == "hurried" {
			o.until(o.enquiry(mia).Work.Nudge)
			if len(o.ofKind(mia, "nudge")) != 1 {
				t.Error("hurried and not heard")
			}
		}
	}
	o := base.fork()
	o.t = t
	o.say(mia, "stop")
	if said := o.say(boss, "due"); strings.Contains(said[0].Text, "Mia") {
		t.Errorf("who said stop is listed: %q", said[0].Text)
	}
}

// A nudge nobody knows of is the owner's to send again; one that surely did not
// arrive is due again by itself; neither is ever sent twice unasked.
func TestNudgeThatDidNotArrive(t *testing.T) {
	nudged := stages(t, talk(t))["nudged"]
	id := nudged.enquiry(mia).ID
	lost := func(what bot.Undelivered) *office {
		o := nudged.fork()
		o.t = t
		what.About, what.Kind = id, "nudge"
		o.event(mia, what)
		return o
	}
	o := lost(bot.Undelivered{Uncertain: true})
	o.until(o.now.AddDate(0, 0, 5))
	if n := len(o.ofKind(mia, "nudge")); n != 1 {
		t.Fatalf("%d nudges before the owner has said anything", n)
	}
	again := o.fork()
	again.t = t
	again.tap(boss, "Send it again")
	again.until(again.now.AddDate(0, 0, 5))
	if n := len(again.ofKind(mia, "nudge")); n != 2 {
		t.Errorf("%d nudges after he wanted it sent again", n)
	}
	o.tap(boss, "Leave it")
	o.until(o.now.AddDate(0, 0, 5))
	if n := len(o.ofKind(mia, "nudge")); n != 1 {
		t.Errorf("%d nudges after he left it", n)
	}
	o = lost(bot.Undelivered{})
	o.until(o.now.AddDate(0, 0, 5))
	if n := len(o.ofKind(mia, "nudge")); n != 2 {
		t.Errorf("%d nudges where the first surely did not arrive", n)
	}
	o = lost(bot.Undelivered{Never: true})
	o.until(o.now.AddDate(0, 0, 5))
	told := slices.ContainsFunc(o.chat[boss], func(m bot.Message) bool { return strings.Contains(m.Text, "could not be delivered") })
	if n := len(o.ofKind(mia, "nudge")); n != 1 || !told {
		t.Errorf("%d nudges where none can arrive, owner told: %v", n, told)
	}
}
