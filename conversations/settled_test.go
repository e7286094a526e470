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

// A time alone is a visit to look first: it is booked without a price, which is named at the
// car and said yes to there.
func TestALookIsBooked(t *testing.T) {
	o := sick(t)
	o.tap(boss, "Write to them")
	o.say(boss, "bring it thursday at 3, I'll look at it first")
	f := o.fork()
	f.tap(boss, "Hand back", "Time")
	f.say(boss, "thursday at 3pm")
	f.tap(boss, "Carry on")
	o.say(mia, "thursday 3pm is fine")
	o.tap(boss, "Keep Thu 15 Apr, 15:00", "When I've seen it")
	for _, o := range []*office{f, o} {
		if m := o.lastTo(mia); !strings.Contains(m.Text, "Price: named once the boss has had a look") || strings.Contains(m.Text, "£") {
			t.Fatalf("to say yes to: %q", m.Text)
		}
		o.tap(mia, "Yes, book it")
		if e := o.enquiry(mia); e.Stage != conversations.Booked || e.Quote.NeedSee == "" {
			t.Fatalf("booked: %q, %+v", e.Stage, e.Quote)
		}
		o.tap(boss, "Look over", "Grades", "Price")
		o.say(boss, "95, most 120")
		o.tap(boss, "Ask for their yes")
		if m := o.lastTo(mia); !strings.Contains(m.Text, "likely £95, no more than £120") || !strings.Contains(m.Text, "instead of a price still to be named") {
			t.Errorf("the price at the car: %q", m.Text)
		}
		o.tap(mia, "Yes, go ahead")
		if q := o.enquiry(mia).Quote; q.NeedSee != "" || q.Likely != 9500 || q.High != 12000 {
			t.Errorf("agreed: %+v", q)
		}
	}
}

// What the owner types of them is theirs to read, or settles it; it is no question of his
// about a day.
func TestTypedOfWhoWaits(t *testing.T) {
	start := sick(t)
	for says, shows := range map[string]string{
		"about 95, max 120. can he bring it thurs at 4": "Mia would read: \"about 95",
		"mia: about 95, can you bring it friday?":       "Mia would read: \"about 95",
		"mia 95":                     "Price: £95\n– No time yet",
		"mia booked thu 3pm 95":      "Price: £95\n– Time in view: Thu 15 Apr, 15:00",
		"mia thu 3pm 95 max 120":     "Price: likely £95, at most £120\n– Time in view: Thu 15 Apr, 15:00",
		"thursday":                   "Thu 15 Apr",
		"mia thursday at 3pm agreed": "Keep|Mia: if Thu 15 Apr, 15:00",
	} {
		o := start.fork()
		o.say(boss, says)
		shows = shows[strings.Index(shows, "|")+1:]
		if m := o.lastTo(boss); !strings.Contains(m.Text, shows) {
			t.Errorf("%q shows %q", says, m.Text)
		}
	}
}
