package conversations_test

import (
	"slices"
	"strings"
	"testing"
)

// Whoever cannot come has not said what is to become of the visit: they are offered other
// times and calling it off, and the owner reads their words (issue 10).
func TestCannotComeOffersBoth(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta") // on Tuesday the 13th, 12:00
	for _, says := range []string{
		"im ill, cant make tomorrow", "cant make tuesday anymore", "something came up tuesday", "im ill", "sorry, got covid", "not gonna make it",
		"cant make it", "kids are poorly so tuesdays no good now", "won't be able to make it I'm afraid", "car wont start",
	} {
		o := start.fork()
		o.say(mia, says)
		m := o.lastTo(mia)
		if !strings.Contains(m.Text, "Sorry to hear that") || !hasLabel(m, "Call it off") || !hasLabel(m, "Keep it as it is") {
			t.Errorf("%q: %q, %v", says, m.Text, m.Choices)
		}
		got := o.times(mia)
		if len(got) == 0 || slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, "Tue 13 Apr") }) {
			t.Errorf("%q offers %q", says, got)
		}
		if !strings.Contains(toldBoss(o.said), says) {
			t.Errorf("%q: the owner reads %q", says, toldBoss(o.said))
		}
		o.tap(mia, "Call it off")
		if !strings.HasPrefix(o.lastTo(mia).Text, "Call off ") {
			t.Errorf("%q, then calling off: %q", says, o.lastTo(mia).Text)
		}
	}
	for _, says := range []string{"what if im ill?", "what happens if i cant make it", "my dog was ill in it last week", "cant make it friday sorry"} {
		o := start.fork()
		o.say(mia, says)
		if e := o.enquiry(mia); e.Move != nil || strings.Contains(o.lastTo(mia).Text, "Sorry to hear") {
			t.Errorf("%q: %q", says, o.lastTo(mia).Text)
		}
	}
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	o.say(mia, "im ill")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "You've asked for") || !hasLabel(m, "Call it off") || !hasLabel(m, "Move it") {
		t.Errorf("while it is asked for: %q, %v", m.Text, m.Choices)
	}
}

// Another time, told from the one they have, is what is offered first.
func TestSameTimeNextWeek(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	for says, want := range map[string]string{
		"can we do next tuesday same time": "Tue 20 Apr, 12:00", "same time next week?": "Tue 20 Apr, 12:00", "could we do the same time on friday": "Fri 16 Apr, 12:00",
		"sorry something came up on tuesday, can i do thursday instead?": "Thu 15 Apr", "to thursday instead of tuesday": "Thu 15 Apr",
		"can i change tuesday to thursday": "Thu 15 Apr", "could i move to thursday": "Thu 15 Apr",
		"how about next tuesday": "Tue 20 Apr", "can we do thursday": "Thu 15 Apr",
	} {
		o := start.fork()
		o.say(mia, says)
		if got := o.times(mia); len(got) == 0 || !strings.HasPrefix(got[0], want) {
			t.Errorf("%q: %q, offers %q", says, o.lastTo(mia).Text, got)
		}
	}
	for _, says := range []string{"same time tuesday yeah?", "see you at the same time then", "can you do my mums golf on friday"} {
		o := start.fork()
		o.say(mia, says)
		if e := o.enquiry(mia); e.Move != nil {
			t.Errorf("%q moves: %q", says, o.lastTo(mia).Text)
		}
	}
}
