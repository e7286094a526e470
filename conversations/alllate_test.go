package conversations_test

import (
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
)

// Late for everybody is shown first, and one yes tells all of today's: nobody before it,
// nobody of another day, and nobody once the visits are other than those shown.
func TestLateForEverybody(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.bookedOn(zoe, "Tuesday 13 April at 3pm")
	at := start.enquiry(mia).Slot.Start
	start.until(at.Add(-time.Hour))
	later := func(o *office, who bot.ChatID) time.Duration {
		return o.enquiry(who).Slot.Start.Sub(start.enquiry(who).Slot.Start)
	}
	for _, c := range []struct {
		says []string
		want time.Duration
	}{
		{[]string{"30 late both"}, 0},
		{[]string{"30 late both", "yes"}, 30},
		{[]string{"everyone 30 mins late", "yes"}, 30},
		{[]string{"30 late all day", "send it"}, 30},
		{[]string{"tell them both 20 late", "yep"}, 20},
		{[]string{"tell everyone im half an hour late", "no"}, 0},
		{[]string{"late for everyone", "45", "yes"}, 45},
		{[]string{"20 late all", "make it 30", "tell them"}, 30},
		{[]string{"20 late all", "today", "yes"}, 0},
	} {
		o := start.fork()
		n := len(o.said)
		o.say(boss, c.says[0])
		if m := o.lastTo(boss); !strings.Contains(m.Text, "for everybody still to come today") || o.count(mia, n, "")+o.count(zoe, n, "") > 0 {
			t.Errorf("%q is answered with %q", c.says, m.Text)
		}
		o.say(boss, c.says[1:]...)
		for _, who := range []bot.ChatID{mia, zoe} {
			if got := later(o, who); got != c.want*time.Minute || o.heard(who, n, "late, sorry") != (c.want > 0) {
				t.Errorf("%q: %s is %v later and reads %q", c.says, names[who], got, o.lastTo(who).Text)
			}
		}
	}
	o := start.fork()
	o.say(boss, "20 late all")
	old := o.button(boss, "Tell them all")
	o.say(boss, "20 late for mia")
	o.event(boss, old)
	if m := o.lastTo(boss); later(o, mia) != 20*time.Minute || later(o, zoe) != 0 || !strings.Contains(m.Text, "about 12:40") {
		t.Errorf("an old yes: Mia %v, Zoe %v, %q", later(o, mia), later(o, zoe), m.Text)
	}
}
