package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// A time on the table is chosen by any words that name it alone. What names several is
// asked among these; what is free and not on the table is offered alone, and "yes" takes
// it. Said on Tuesday 13 April 2027 at twenty to seven in the evening, to
// [Thu 15 Apr, 09:00] [Fri 16 Apr, 12:00] [Sat 17 Apr, 09:00] [Mon 19 Apr, 12:00]; what
// people wrote to a bot that did not follow (issue 10).
func TestTimesAreChosenInWords(t *testing.T) {
	for _, tt := range []struct {
		said []string // one after the other
		kept string   // the time that is kept then
		// table are the times on the buttons where none is kept, and text is in what is said.
		table []string
		text  string
	}{
		{said: []string{"The first one, Thursday"}, kept: "Thu 15 Apr, 09:00"},
		{said: []string{"the first one please"}, kept: "Thu 15 Apr, 09:00"},
		{said: []string{"the last one"}, kept: "Mon 19 Apr, 12:00"},
		{said: []string{"Thursday 15th at nine"}, kept: "Thu 15 Apr, 09:00"},
		{said: []string{"Thursday 15 April 09:00"}, kept: "Thu 15 Apr, 09:00"},
		{said: []string{"yes the 15th 9 o'clock"}, kept: "Thu 15 Apr, 09:00"},
		{said: []string{"ok the monday one"}, kept: "Mon 19 Apr, 12:00"},
		{said: []string{"ok friday then 12"}, kept: "Fri 16 Apr, 12:00"},
		{said: []string{"no friday this week at 12"}, kept: "Fri 16 Apr, 12:00"},
		{said: []string{"Could it be Thursday morning?"}, kept: "Thu 15 Apr, 09:00"},
		{said: []string{"Fri 16 Apr, 12:00"}, kept: "Fri 16 Apr, 12:00"},
		// Free, but not on the table.
		{said: []string{"friday at 2pm"}, table: []string{"Fri 16 Apr, 14:00"}, text: "Fri 16 Apr, 14:00 is free. Shall we keep it for you?"},
		{said: []string{"Fri 16 Apr 2pm"}, table: []string{"Fri 16 Apr, 14:00"}},
		{said: []string{"friday 16th 2pm", "yes"}, kept: "Fri 16 Apr, 14:00"},
		{said: []string{"friday 16th 2pm", "yep"}, kept: "Fri 16 Apr, 14:00"},
		{said: []string{"friday 16th 2pm", "That one please, book it"}, kept: "Fri 16 Apr, 14:00"},
		{said: []string{"friday 16th 2pm", "ok the friday 2pm one"}, kept: "Fri 16 Apr, 14:00"},
		{said: []string{"friday 16th 2pm", "no"}, table: []string{"Sat 17 Apr, 09:00"}},
		// An hour that is not read keeps no other one.
		{said: []string{"is 10 possible on monday"}, table: []string{"Mon 19 Apr, 09:00", "Mon 19 Apr, 12:00", "Mon 19 Apr, 15:00"}},
		{said: []string{"friday", "could it be 11 instead"}, table: []string{"Fri 16 Apr, 11:00"}},
		{said: []string{"friday", "11 would be better"}, table: []string{"Fri 16 Apr, 11:00"}},
		// To be had, and not asked for.
		{said: []string{"ok make it friday 16th at 2 then please"}, kept: "Fri 16 Apr, 14:00"},
		{said: []string{"go for friday at 2pm"}, kept: "Fri 16 Apr, 14:00"},
		{said: []string{"shall we make it friday at 2?"}, table: []string{"Fri 16 Apr, 14:00"}},
		{said: []string{"the first one", "ok make it friday the 16th at 2 then"}, kept: "Fri 16 Apr, 14:00"},
		// Day and hour hold together.
		{said: []string{"have you got anything friday afternoon? i finish work at 2"}, table: []string{"Fri 16 Apr, 14:00", "Fri 16 Apr, 14:30", "Fri 16 Apr, 15:00", "Fri 23 Apr, 14:00"}},
		// A day of the week is the coming one: its times first, and one a week on.
		{said: []string{"any monday afternoon"}, table: []string{"Mon 19 Apr, 12:00", "Mon 19 Apr, 13:30", "Mon 19 Apr, 15:00", "Mon 26 Apr, 12:00"}},
		{said: []string{"any monday afternoon", "12 is ok"}, kept: "Mon 19 Apr, 12:00"},
		{said: []string{"any monday afternoon", "2.30 then"}, table: []string{"Mon 19 Apr, 14:30", "Later days ›"}},
		{said: []string{"monday at 9", "can you do 10?"}, table: []string{"Mon 19 Apr, 10:00", "Later days ›"}},
		// Not done before the day ends: said, and the nearest on that day first.
		{said: []string{"monday 4pm"}, table: []string{"Mon 19 Apr, 15:00", "Mon 19 Apr, 09:00", "Later days ›"}, text: "Begun at 16:00 it wouldn't be done by 17:00, when we finish, sorry."},
		{said: []string{"this friday but after 2 please"}, table: []string{"Fri 16 Apr, 14:00", "Fri 16 Apr, 14:30", "Fri 16 Apr, 15:00"}},
		// The day stays when only the hour is named then.
		{said: []string{"the 22nd please", "nine oclock"}, kept: "Thu 22 Apr, 09:00"},
		{said: []string{"the 22nd please", "2pm please"}, table: []string{"Thu 22 Apr, 14:00"}},
		{said: []string{"the 22nd please", "any other day at nine"}, table: []string{"Thu 15 Apr, 09:00"}},
		// A number may be a place in the list or an hour.
		{said: []string{"2"}, table: []string{"Fri 16 Apr, 12:00", "At 2 o'clock"}, text: "number 2 of those, Fri 16 Apr, 12:00, or 2 o'clock?"},
		{said: []string{"4"}, kept: "Mon 19 Apr, 12:00"}, // too late to begin
		{said: []string{"1", "At 1 o'clock"}, table: []string{"Thu 15 Apr, 13:00"}},
		{said: []string{"1", "Thu 15 Apr, 09:00"}, kept: "Thu 15 Apr, 09:00"},
		{said: []string{"ugh. 9 then"}, table: []string{"Thu 15 Apr, 09:00", "Fri 16 Apr, 09:00"}},
		// Which, then?
		{said: []string{"yep"}, table: []string{"Thu 15 Apr, 09:00"}, text: "Which of these, please?"},
		{said: []string{"book it"}, table: []string{"Thu 15 Apr, 09:00"}},
		{said: []string{"no later than friday"}, table: []string{"Thu 15 Apr, 09:00"}},
		// None is chosen by what asks for more of them, or names a range.
		{said: []string{"anything else on Thursday?"}, table: []string{"Thu 15 Apr, 09:00"}},
		{said: []string{"Thursdays are best"}, table: []string{"Thu 15 Apr, 09:00"}},
		{said: []string{"not thursday"}, table: []string{"Fri 16 Apr, 09:00"}},
		{said: []string{"mornings"}, table: []string{"Thu 15 Apr, 09:00"}},
		// What is kept is exchanged for what is named then, and kept if it is that.
		{said: []string{"the first one", "friday at 12"}, table: []string{"Fri 16 Apr, 12:00"}},
		{said: []string{"friday at 12", "ugh. 9 then"}, table: []string{"Fri 16 Apr, 09:00"}},
		{said: []string{"the first one", "nine oclock"}, kept: "Thu 15 Apr, 09:00"},
	} {
		t.Run(strings.Join(tt.said, " / "), func(t *testing.T) {
			o := newOffice(t, talk(t))
			o.now = time.Date(2027, 4, 13, 17, 40, 0, 0, time.UTC)
			o.priced(mia, "Ford Fiesta")
			o.tap(mia, "Find a day", "Nothing like that", "No photo")
			for _, s := range tt.said {
				o.say(mia, s)
			}
			last := o.lastTo(mia)
			if tt.text != "" && !strings.Contains(last.Text, tt.text) {
				t.Errorf("said %q, which has not %q", last.Text, tt.text)
			}
			if tt.kept != "" && !strings.Contains(last.Text, "keeping "+tt.kept) {
				t.Errorf("said %q, which does not keep %s", last.Text, tt.kept)
			}
			if tt.table == nil {
				return
			}
			got := buttons(last)
			if i := slices.Index(got, tt.table[0]); i != 0 || len(got) < len(tt.table) || !slices.Equal(got[:len(tt.table)], tt.table) {
				t.Errorf("offers %q, not %q", got, tt.table)
			}
			if len(tt.table) == 1 && strings.Contains(tt.text, "is free") && len(got) != 2 {
				t.Errorf("offers %q beside it", got)
			}
		})
	}
}

// Hours at which we never work are answered with those at which we do, and the nearest
// times; a day by which nothing is free is said, and stands on the owner's card all the
// same (issue 10).
func TestWhenNothingSuits(t *testing.T) {
	start := newOffice(t, talk(t))
	start.now = time.Date(2027, 4, 13, 17, 40, 0, 0, time.UTC)
	start.priced(mia, "Ford Fiesta")
	start.tap(mia, "Find a day", "Nothing like that", "No photo")

	o := start.fork()
	o.say(mia, "gotta be after 5 im at work")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "we usually work Mon–Fri 09:00–17:00, Sat 09:00–13:00") {
		t.Errorf("after five: %q", m.Text)
	}
	if got := o.times(mia); len(got) == 0 || got[0] != "Thu 15 Apr, 15:00" {
		t.Errorf("nearest to five: %q", got)
	}

	o = start.fork()
	o.say(mia, "I need it back by tomorrow")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "Nothing is free by Wed 14 Apr any more") {
		t.Errorf("by tomorrow: %q", m.Text)
	}
	if got := o.times(mia); len(got) == 0 || got[0] != "Thu 15 Apr, 09:00" {
		t.Errorf("after tomorrow: %q", got)
	}
	o.tap(mia, "Thu 15 Apr, 09:00", "No, thank you", "Yes, ask for it")
	if m := o.card(); !strings.Contains(m.Text, "Needed by Wed 14 Apr") {
		t.Errorf("the card: %q", m.Text)
	}

	o = start.fork()
	o.say(mia, "need it sorted by friday please!!", "actually monday afternoon")
	if got := o.times(mia); len(got) == 0 || !strings.HasPrefix(got[0], "Mon 19 Apr") {
		t.Errorf("by Friday, then Monday: %q with %q", o.lastTo(mia).Text, got)
	}

	o = start.fork()
	o.say(mia, "need it sorted by friday please!!", "morning would be best")
	for _, got := range o.times(mia) {
		if !strings.HasPrefix(got, "Thu 15 Apr") && !strings.HasPrefix(got, "Fri 16 Apr") {
			t.Errorf("by Friday, in the morning: %q", got)
		}
	}
	o.tap(mia, "Later days")
	if got := o.times(mia); len(got) == 0 || strings.HasPrefix(got[0], "Fri 16") || strings.HasPrefix(got[0], "Thu 15") {
		t.Errorf("later days: %q", got)
	}
}

// Who cannot come on the day they have is offered others, and what they have asked for is
// taken back in so many words. Who cannot come on another day moves nothing; the owner
// reads it in full (issue 10).
func TestCannotMakeIt(t *testing.T) {
	for _, tt := range []struct{ said, kept string }{
		{"cant make it tomorrow sorry", "tomorrow"},
		{"cant make it friday sorry", ""},
	} {
		o := newOffice(t, talk(t))
		o.booked(mia, "Ford Fiesta") // on Tuesday the 13th
		o.say(mia, tt.said)
		got := o.times(mia)
		if tt.kept == "" {
			if o.enquiry(mia).Move != nil || !strings.Contains(o.lastTo(boss).Text, tt.said) {
				t.Errorf("%s: %q, the owner reads %q", tt.said, o.lastTo(mia).Text, o.lastTo(boss).Text)
			}
			continue
		}
		if len(got) == 0 || slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, "Tue 13 Apr") }) {
			t.Errorf("%s: %q offers %q", tt.said, o.lastTo(mia).Text, got)
		}
		o.say(mia, "the first one")
		if m := o.enquiry(mia).Move; m == nil || m.To == nil || o.talk.Words.Moment(m.To.Start.In(o.talk.Zone)) != got[0] {
			t.Errorf("the first of %q: %+v", got, m)
		}
	}
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	o.say(mia, "cant make it tomorrow sorry")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "find another day, or call it off") || o.enquiry(mia).Stage != "asked" {
		t.Errorf("asked for: %q", m.Text)
	}
	o.tap(mia, "Move it")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "we've taken your request for Tue 13 Apr") || len(o.times(mia)) == 0 {
		t.Errorf("taken back: %q", m.Text)
	}
}

// A time the owner declines was named to the hour: what else is free that day is offered,
// and that nothing is free then is not said twice (issue 10).
func TestDeclinedToTheHour(t *testing.T) {
	o := newOffice(t, talk(t))
	o.now = time.Date(2027, 4, 13, 17, 40, 0, 0, time.UTC)
	o.priced(mia, "Ford Fiesta")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	o.say(mia, "friday 16th at 2pm", "yes")
	o.tap(mia, "No, thank you", "Yes, ask for it")
	o.tap(boss, "No", "Not that time")
	if m := o.lastTo(mia); strings.Contains(m.Text, "Nothing is free") || !strings.Contains(m.Text, "Here is what else is free") {
		t.Errorf("declined: %q", m.Text)
	}
	if got := o.times(mia); len(got) < 2 || slices.ContainsFunc(got, func(s string) bool { return !strings.HasPrefix(s, "Fri 16 Apr") || s == "Fri 16 Apr, 14:00" }) {
		t.Errorf("offered then: %q", got)
	}
}
