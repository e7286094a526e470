package conversations_test

import (
	"strings"
	"testing"

	"example.org/dryhand/conversations"
)

// A time agreed with somebody who only asks for another is kept in its place with one word
// more; they are told, and the older request is gone.
func TestAgreedWithWhoeverAsks(t *testing.T) {
	start := newOffice(t, talk(t))
	start.asked(mia, "Ford Fiesta")
	was := *start.enquiry(mia).Slot
	for _, says := range []string{"mia thu 2pm agreed", "book mia thu 2pm", "spoke to mia, thursday 2pm"} {
		o := start.fork()
		o.say(boss, says)
		if m := o.lastTo(boss); !strings.Contains(m.Text, "the request for Tue 13 Apr, 12:00 is dropped") || *o.enquiry(mia).Slot != was {
			t.Errorf("%q: %q", says, m.Text)
		}
		o.say(boss, "yes")
		e := o.enquiry(mia)
		if e.Stage != conversations.Held || e.Slot.Start.Format("Mon 15:04") != "Thu 14:00" {
			t.Fatalf("%q, yes: %q at %v; he reads %q", says, e.Stage, e.Slot, o.lastTo(boss).Text)
		}
		if m := o.lastTo(mia); !strings.Contains(m.Text, "as you and the boss agreed, instead of Tue 13 Apr, 12:00") {
			t.Errorf("%q: she reads %q", says, m.Text)
		}
		if n := len(o.entries(e.ID)); n != 1 {
			t.Errorf("%q: she stands in the diary %d times", says, n)
		}
		for i := 0; o.enquiry(mia).Stage == conversations.Held && i < 4; i++ {
			o.say(mia, "yes")
		}
		o.say(boss, "yes")
		if e := o.enquiry(mia); e.Stage != conversations.Booked {
			t.Errorf("%q: in the end she is %q", says, e.Stage)
		}
	}
}

// With nobody the desk knows it says so, and how they come in.
func TestAgreedWithAStranger(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	for says, who := range map[string]bool{"kai thu 2pm agreed": true, "book kai thu 2pm": true, "agreed with kai, thursday at 2pm": true,
		"thu 2pm": false, "dentist thu 2pm": false, "thursday": false, "mia thu 2pm agreed": false, "is kai in thu 2pm?": false} {
		o := start.fork()
		o.say(boss, says)
		if m := o.lastTo(boss); strings.Contains(m.Text, "We know of no Kai") != who {
			t.Errorf("%q: %q", says, m.Text)
		}
	}
}

// Work that comes to mind at the car is offered for their yes, and kept with the notes.
func TestAnExtraInWords(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.until(start.enquiry(mia).Slot.Start)
	start.tap(boss, "Look over")
	working := start.fork()
	working.tap(boss, "Start work")
	for _, at := range []*office{start, working} {
		for says, button := range map[string]string{"+ pet hair 20": "£100 in all", "dash as well 15": "£95 in all", "add wheels 25": "wheels cleaned inside and out +£10", "can do the dash too for 15": "£95 in all"} {
			o := at.fork()
			o.say(boss, says)
			if m := o.lastTo(boss); !strings.Contains(m.Text, "for Mia to say yes to") || len(o.enquiry(mia).Job.Notes) != 1 {
				t.Errorf("%q: %q", says, m.Text)
				continue
			}
			o.button(boss, button)
		}
		for _, says := range []string{"dent in the door as well", "took 3h", "needs 30 mins more", "2 scratches too"} {
			o := at.fork()
			o.say(boss, says)
			if m := o.lastTo(boss); strings.Contains(m.Text, "to say yes to") {
				t.Errorf("%q: %q", says, m.Text)
			}
		}
	}
	o := start.fork()
	o.say(boss, "+ pet hair 20", "100 in all")
	o.tap(boss, "Ask for their yes")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "£100") {
		t.Errorf("she reads %q", m.Text)
	}
	o = working.fork()
	o.tap(boss, "Add an extra")
	o.say(boss, "paint sealant")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "Shall we go ahead?") {
		t.Errorf("she reads %q", m.Text)
	}
}

// With another's car in hand a time agreed with somebody is no note.
func TestAgreedWithAnotherCarInHand(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.until(o.enquiry(mia).Slot.Start)
	o.tap(boss, "Look over", "Start work")
	o.asked(zoe, "Kia Rio")
	o.say(boss, "book zoe thu 2pm")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "a tap keeps it") || len(o.enquiry(mia).Job.Notes) > 0 {
		t.Errorf("he reads %q", m.Text)
	}
}
