package conversations_test

import (
	"strings"
	"testing"
)

// Under the grading panel a number that is a grade is no price, however it is said: its
// part is asked for, or is in it. Money is read with the words people put behind it.
func TestAGradeIsNoPrice(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.until(start.enquiry(mia).Slot.Start)
	start.tap(boss, "Look over", "Grades")
	for says, hears := range map[string]string{
		"4": "A 4 for which part?", "its a 4": "A 4 for which part?", "paint 4": "Paintwork: 4 as you see it", "wheels is a 3": "Wheels: 3 as you see it",
		"95 quid": "As you see it: £95", "95 pounds": "As you see it: £95", "£95": "As you see it: £95", "make it 95 quid": "As you see it: £95",
	} {
		o := start.fork()
		o.say(boss, says)
		if m := o.lastTo(boss); !strings.Contains(m.Text, hears) {
			t.Errorf("%q is answered with %q, want %q", says, m.Text, hears)
		}
		o = start.fork()
		o.tap(boss, "Price")
		o.say(boss, says)
		if strings.Contains(says, "95") && !strings.Contains(o.lastTo(boss).Text, "As you see it: £95") {
			t.Errorf("asked for a price, %q is answered with %q", says, o.lastTo(boss).Text)
		}
	}
	o := start.fork()
	o.say(boss, "4")
	if m := o.lastTo(boss); m.Choices[0][0].Label != "Paintwork" {
		t.Errorf("no part to tap under %q", m.Text)
	}
	o.tap(boss, "Paintwork")
	o.say(boss, "4")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Paintwork: 4 as you see it") {
		t.Errorf("he reads %q", m.Text)
	}
}

// A line he was shown goes at a typed yes, or does not at a no; anything else leaves it
// with its button.
func TestADraftGoesAtAWord(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	for says, sent := range map[string]bool{"yes": true, "send": true, "send it": true, "yes send it": true, "Send it please": true, "no": false, "today": false} {
		o := start.fork()
		o.say(boss, "tell mia bring the key")
		n := len(o.said)
		o.say(boss, says)
		if o.heard(mia, n, "bring the key") != sent {
			t.Errorf("at %q it is sent: %v", says, !sent)
		}
		if !sent && o.puzzled(o.lastTo(boss)) {
			t.Errorf("%q is not followed", says)
		}
	}
	o := start.fork()
	o.say(boss, "tell mia bring the key", "today")
	n := len(o.said)
	o.say(boss, "yes")
	if o.heard(mia, n, "bring the key") {
		t.Error("a yes that comes later sends it all the same")
	}
}
