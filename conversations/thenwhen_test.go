package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// Days and hours as people tell them from one another, at the times that are offered: the day
// they go is none to be offered, one that does not suit is struck out, and where there never
// is any work they hear so (issue 10).
func TestDaysToldFromOneAnother(t *testing.T) {
	for _, tc := range []struct {
		said  []string
		reads string // in the last message
		days  []string
		not   []string // begin none of the buttons
	}{
		{said: []string{"need it done before then, trip on the 24th so before that"}, reads: "before Sat 24 Apr", not: []string{"Sat 24", "Mon 26"}},
		{said: []string{"we go on holiday thurs 15th, before that please"}, reads: "before Thu 15 Apr", days: []string{"Tue 13 Apr", "Wed 14 Apr"}, not: []string{"Thu 15", "Fri 16"}},
		{said: []string{"fri 16th at 12", "no thats the day we go, thurs or wed before?"}, reads: "before Fri 16 Apr", days: []string{"Wed 14 Apr", "Thu 15 Apr"}, not: []string{"Fri 16", "Thu 22"}},
		{said: []string{"thurs 22"}, days: []string{"Thu 22 Apr"}, not: []string{"Thu 15"}},
		{said: []string{"thurs 23"}, reads: "don't go together", days: []string{"Thu 22 Apr", "Fri 23 Apr"}, not: []string{"Thu 15"}},
		{said: []string{"tuesday 20th", "tues 20th 12 is no good"}, days: []string{"Tue 20 Apr, 09:00"}, not: []string{"Tue 20 Apr, 12:00"}},
		{said: []string{"tuesday 20th", "not tuesday at 12"}, days: []string{"Tue 20 Apr, 09:00"}, not: []string{"Tue 20 Apr, 12:00"}},
		{said: []string{"tuesday 20th", "the 12 oclock is no good for me"}, days: []string{"Tue 20 Apr, 09:00"}, not: []string{"Tue 20 Apr, 12:00"}},
		{said: []string{"tues 20th at 12", "sorry 12 is no good"}, days: []string{"Tue 20 Apr"}, not: []string{"Tue 20 Apr, 12:00"}},
		{said: []string{"next weekend"}, reads: "closed on Sun", days: []string{"Sat 17 Apr", "Sat 24 Apr"}, not: []string{"Sun", "Mon", "Fri"}},
		{said: []string{"next weekend", "the weekend after that"}, days: []string{"Sat 1 May"}, not: []string{"Sat 17", "Sat 24"}},
		{said: []string{"saturday", "sorry can we make it the sunday instead"}, reads: "closed on Sun", days: []string{"Sat 17 Apr", "Mon 19 Apr"}, not: []string{"Sun"}},
		{said: []string{"saturday", "the saturday after"}, days: []string{"Sat 24 Apr"}, not: []string{"Sat 17"}},
		{said: []string{"sat 24th", "the saturday after"}, days: []string{"Sat 1 May"}, not: []string{"Sat 24"}},
	} {
		o := newOffice(t, talk(t))
		o.now = time.Date(2027, 4, 12, 9, 40, 0, 0, time.UTC)
		o.say(mia, "Ford Fiesta inside, I'd bring it", "just the price")
		o.tap(mia, "Find a day", "Nothing like that", "No photo")
		n := len(o.said)
		o.say(mia, tc.said...)
		if m := o.lastTo(mia); !strings.Contains(m.Text, tc.reads) {
			t.Errorf("%q reads %q, without %q", tc.said, m.Text, tc.reads)
		}
		offers := buttons(o.lastTo(mia))
		begins := func(of string) bool {
			return slices.ContainsFunc(offers, func(b string) bool { return strings.HasPrefix(b, of) })
		}
		for _, day := range tc.days {
			if !begins(day) {
				t.Errorf("%q offers %q, without %s", tc.said, offers, day)
			}
		}
		for _, day := range tc.not {
			if begins(day) {
				t.Errorf("%q offers %q, with %s", tc.said, offers, day)
			}
		}
		if o.heard(boss, n, tc.said[len(tc.said)-1]) {
			t.Errorf("%q goes to the boss", tc.said)
		}
	}
}

// At the first message, the day that is named with "before that" is when it is needed by.
func TestNeededBeforeTheDayWeGo(t *testing.T) {
	o := newOffice(t, talk(t))
	o.now = time.Date(2027, 4, 12, 9, 40, 0, 0, time.UTC)
	o.say(mia, "Hi, golf inside please. we go on holiday fri 23rd, before that please")
	if m, e := o.lastTo(mia), o.enquiry(mia); !strings.Contains(m.Text, "needed before Fri 23 Apr") || e.Needed != "2027-04-22" || len(e.Times) > 0 {
		t.Errorf("needed %q, times %+v, reads %q", e.Needed, e.Times, m.Text)
	}
}

// After a booking, too, they hear that there is no work on that day, and what is nearest.
func TestABookedVisitToAClosedDay(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	n := len(o.said)
	o.say(mia, "sorry can we make it the sunday instead")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "closed on Sun") || len(buttons(m)) < 3 {
		t.Errorf("reads %q, with %q", m.Text, buttons(m))
	}
	if o.heard(boss, n, "sunday instead") {
		t.Error("goes to the boss")
	}
	o.say(mia, "the saturday after")
	start := o.enquiry(mia).Slot.Start
	if m := o.lastTo(mia); len(buttons(m)) == 0 || !strings.HasPrefix(buttons(m)[0], "Sat ") || start.Weekday() == time.Saturday {
		t.Errorf("offers %q, of a visit on %v", buttons(m), start)
	}
}
