package conversations_test

import (
	"strings"
	"testing"
	"time"
)

// Whoever has written that they are coming, or late, is not asked where they are and not
// called silent: what they wrote is shown. Whoever has not is asked first.
func TestWhoWroteIsNotCalledSilent(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.until(start.enquiry(mia).Slot.Start.Add(-10 * time.Minute))
	for _, c := range []struct {
		wrote string
		asked bool // where she is
	}{
		{"", true},
		{"on my way 10 mins", false},
		{"5 mins away", false},
		{"gonna be 20 late sorry", false},
		{"stuck in traffic!!", false},
		{"is it too late to add the inside?", true},
	} {
		o := start.fork()
		if c.wrote != "" {
			o.say(mia, c.wrote)
			if !strings.Contains(o.lastTo(boss).Text, "Mia writes: "+c.wrote) && !strings.Contains(o.lastTo(boss).Text, c.wrote) {
				t.Errorf("%q reaches the owner as %q", c.wrote, o.lastTo(boss).Text)
			}
		}
		o.until(o.now.Add(15 * time.Minute))
		n := len(o.said)
		o.say(boss, "nobody here yet")
		if o.heard(mia, n, "we were looking out for you") != c.asked {
			t.Errorf("%q: then Mia reads %q", c.wrote, o.lastTo(mia).Text)
		}
		if o.say(boss, "nobody here"); !c.asked && o.heard(boss, n, "has been asked") {
			t.Errorf("%q: the owner reads %q", c.wrote, o.lastTo(boss).Text)
		}
		o.until(o.now.Add(16 * time.Minute))
		if wrote := o.heard(boss, n, `Mia wrote at 11:50: "`+c.wrote+`". Not here yet?`); wrote != (c.wrote != "") || o.heard(boss, n, "and nothing from Mia") == wrote {
			t.Errorf("%q: the owner reads %q", c.wrote, o.lastTo(boss).Text)
		}
	}
	o := start.fork()
	o.until(o.now.Add(20 * time.Minute))
	o.say(boss, "nobody here")
	o.say(mia, "on my way 10 mins")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "we're waiting") {
		t.Errorf("asked and answered: %q", m.Text)
	}
	o.until(o.now.Add(16 * time.Minute))
	if m := o.lastTo(boss); !strings.Contains(m.Text, `Mia wrote at 12:10: "on my way 10 mins"`) {
		t.Errorf("asked and answered: %q", m.Text)
	}
}
