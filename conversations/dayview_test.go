package conversations_test

import (
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
)

// From a day every visit on it is one tap away, as it stands at that moment: the card
// of a request, the buttons of a booking, the step in hand, what came of a job.
func TestVisitsAreOpenedFromTheDay(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	at := o.enquiry(mia).Slot.Start
	o.until(at.Add(-20 * time.Hour))
	for _, c := range []struct {
		then func()
		want string // in the words or on a button
	}{
		{func() {}, "Mia asks for Tue 13 Apr, 12:00"},
		{func() { o.tap(boss, "Yes, book it") }, "Tue 13 Apr, 12:00 to about 14:00: Mia, Ford Fiesta: Outside."},
		{func() { o.tap(boss, "Look over", "Start work") }, "1 of "},
		{func() { o.tap(boss, "Finish") }, "Put on: spray sealant."},
	} {
		if c.want == "1 of " {
			o.until(at)
		}
		c.then()
		if c.want == "Put on: spray sealant." {
			o.say(boss, "150", "80")
			o.tap(boss, "That's all ›")
		}
		o.say(boss, "/start")
		day := "Tomorrow"
		if o.now.Day() == at.Day() {
			day = "Today"
		}
		o.tap(boss, day, "12:00 Mia ›")
		if m := o.lastTo(boss); !strings.Contains(m.Text, c.want) || len(m.Choices) == 0 {
			t.Errorf("opened: %q with %v, want %q", m.Text, m.Choices, c.want)
		}
	}
}

// What nobody understands is answered in a line, not with all that could be written;
// a picture of nothing in particular and what cannot be read likewise.
func TestOwnerIsNotUnderstood(t *testing.T) {
	o := newOffice(t, talk(t))
	for _, c := range []struct {
		do   func()
		want string
	}{
		{func() { o.say(boss, "blue is the colour") }, "We didn't follow that"},
		{func() { o.event(boss, o.picture("")) }, "which car"},
		{func() { o.event(boss, bot.Other{Kind: "voice"}) }, "We can read words and photos here"},
		{func() { o.say(boss, "help") }, "This is your desk."},
	} {
		c.do()
		if m := o.lastTo(boss); !strings.HasPrefix(m.Text, c.want) && !strings.Contains(m.Text, c.want) || len(m.Choices) == 0 {
			t.Errorf("told %q with %v, want %q", m.Text, m.Choices, c.want)
		}
	}
}

// A day the owner names is shown, in either language; what is no day is not taken for one.
func TestADayIsNamed(t *testing.T) {
	o := newOffice(t, inLanguages(t, talk(t)))
	for said, want := range map[string]string{
		"what's on thursday?": "Thu 15 Apr", "16 April": "Fri 16 Apr", "Friday": "Fri 16 Apr",
		"friday or saturday": "didn't follow", "tyres": "didn't follow",
	} {
		f := o.fork()
		f.say(boss, said)
		if m := f.lastTo(boss); !strings.Contains(m.Text, want) {
			t.Errorf("%q is answered with %q", said, m.Text)
		}
	}
	o.say(boss, "po polsku", "a w czwartek?")
	if m := o.lastTo(boss); !strings.HasPrefix(m.Text, "czw. 15 kwi") {
		t.Errorf("a day named in Polish is answered with %q", m.Text)
	}
	o.say(boss, "wolne w piątek od 14 do 16")
	if m := o.lastTo(boss); !strings.HasPrefix(m.Text, "Masz wolne: pt. 16 kwi, 14:00 do 16:00.") {
		t.Errorf("hours off in Polish are answered with %q", m.Text)
	}
}

// A job that takes longer takes it from what is free that day, be it that he said so or
// that it shows by the steps that are left.
func TestWhatRunsOverIsNotFree(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta") // 12:00 to 14:00
	start.until(start.enquiry(mia).Slot.Start)
	for _, c := range []struct {
		says []string
		tap  bool
		wait time.Duration
		want string
		tick bool
	}{
		{nil, false, time.Hour, "Free: 14:00–17:00.", false},
		{[]string{"mia an hour longer"}, false, time.Hour, "Free: 15:00–17:00.", false},
		{[]string{"2 more hours"}, true, time.Hour, "Free: 16:00–17:00.", false},
		{nil, true, 90 * time.Minute, "Free: 15:", true},           // by the steps that are left
		{nil, true, 90 * time.Minute, "Free: 14:00–17:00.", false}, // nobody ticks, so nobody knows
	} {
		o := start.fork()
		if c.tap {
			o.tap(boss, "Start work")
		}
		o.say(boss, c.says...)
		o.until(o.now.Add(c.wait))
		if c.tick {
			o.tap(boss, "Done")
		}
		if o.say(boss, "today"); !strings.Contains(o.lastTo(boss).Text, c.want) {
			t.Errorf("%q, at work %v: %q, want %q", c.says, c.tap, o.lastTo(boss).Text, c.want)
		}
	}
}
