package conversations_test

import (
	"strings"
	"testing"

	"example.org/dryhand/conversations"
)

// sick tells of somebody who was sick in a car and has it put to the owner.
func sick(t *testing.T) *office {
	t.Helper()
	o := newOffice(t, talk(t))
	o.say(mia, "My lad was sick on the back seat yesterday, ford fiesta, can you get it out and how much?")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "sorry to hear somebody's been sick in it. So: Ford Fiesta; Inside.") || strings.Contains(m.Text, "protective") {
		t.Errorf("told of it: %q", m.Text)
	}
	o.say(mia, "is it 50 or 500, roughly?")
	o.tap(mia, "Yes, have a look", "At the workshop")
	o.say(mia, "cant take any. its the middle seat and a bit down the side")
	if !o.chatOf(mia).Person {
		o.tap(mia, "No photo")
	}
	card := o.lastTo(boss).Text
	for _, has := range []string{"At the workshop", "is it 50 or 500", "the middle seat", "protective clothing"} {
		if !strings.Contains(card, has) {
			t.Errorf("the card says nothing of %q: %q", has, card)
		}
	}
	return o
}

// A car that had to be seen first goes on like any other once the owner has set price and
// time himself: nothing of the form is asked, their yes books it (issue 10).
func TestASettledCarIsBooked(t *testing.T) {
	o := sick(t)
	o.tap(boss, "Write to them")
	o.say(boss, "about 95, max 120. thursday at 4?")
	o.say(mia, "thursday 3pm suits me")
	o.tap(boss, "Keep Thu 15 Apr, 15:00")
	if m := o.lastTo(boss); !hasLabel(m, "Likely £95, at most £120") {
		t.Fatalf("the price he wrote: %q", m.Text)
	}
	byWord := o.fork()
	byWord.say(boss, "95 max 120")
	for _, f := range []*office{byWord, o} {
		if f == o {
			f.tap(boss, "Likely £95")
		}
		m := f.lastTo(mia)
		if !strings.Contains(m.Text, "Thu 15 Apr, 15:00, likely £95, at most £120") || !hasLabel(m, "Yes, book it") {
			t.Fatalf("to say yes to: %q", m.Text)
		}
		f.tap(mia, "Yes, book it")
		if e := f.enquiry(mia); e.Stage != conversations.Booked || e.Quote.Likely != 9500 || e.Quote.High != 12000 {
			t.Errorf("booked: %q, %+v", e.Stage, e.Quote)
		}
	}
	n := len(o.said)
	o.tap(boss, "Job sheet")
	if o.count(boss, n, "Nitrile gloves") == 0 || o.count(boss, n, "disinfectant") == 0 {
		t.Errorf("the sheet has no cautions")
	}
}

// With a price alone the free times are offered at it; a time that would end after hours is
// the owner's to take all the same.
func TestSettledInPart(t *testing.T) {
	o := sick(t)
	o.tap(boss, "Write to them")
	o.say(boss, "I'd say £95")
	o.tap(boss, "Hand back", "£95")
	f := o.fork()
	f.tap(boss, "Carry on")
	if got := f.times(mia); len(got) == 0 || !strings.Contains(f.lastTo(mia).Text, "the price is £95") {
		t.Fatalf("at the price alone: %q", f.lastTo(mia).Text)
	}
	f.tap(mia, f.times(mia)[0])
	f.tap(mia, "Yes, ask for it")
	if e := f.enquiry(mia); e.Stage != conversations.Waits || e.Quote.Likely != 9500 {
		t.Errorf("asked for: %q, %+v", e.Stage, e.Quote)
	}
	o.tap(boss, "Time")
	o.say(boss, "thursday at 4pm")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "past your hours") {
		t.Fatalf("after hours: %q", m.Text)
	}
	o.tap(boss, "Take it all the same", "Carry on")
	o.say(mia, "yes please")
	if e := o.enquiry(mia); e.Stage != conversations.Booked || e.Slot.Start.UTC().Hour() != 15 {
		t.Errorf("taken all the same: %q, %+v", e.Stage, e.Slot)
	}
}
