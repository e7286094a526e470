package conversations_test

import (
	"strings"
	"testing"
)

// Who says that a job is done with what it took and what it came to is asked whether it is
// finished, and need not say any of it again.
func TestTheEndInOneBreath(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.until(start.enquiry(mia).Slot.Start)
	working := start.fork()
	working.tap(boss, "Start work")
	working.until(working.now.Add(7000e9))
	for says, figures := range map[string]struct {
		minutes int
		pence   int64
		hears   string
	}{
		"all done, took 2h10, £75 cash":    {130, 7500, "finished: 2 hours 10 minutes, £75?"},
		"done, took 2h10":                  {130, 0, "finished: 2 hours 10 minutes?"},
		"all done, 75 cash":                {0, 7500, "finished: £75?"},
		"finished, 2 hours 10":             {130, 0, "finished: 2 hours 10 minutes?"},
		"mia done, 2 hrs 10, £75":          {130, 7500, "finished: 2 hours 10 minutes, £75?"},
		"thats it done, 75 quid, 2h10":     {130, 7500, "finished: 2 hours 10 minutes, £75?"},
		"all done £75 took 2 hours 10":     {130, 7500, "finished: 2 hours 10 minutes, £75?"},
		"all done, took me 2h10, paid £75": {130, 7500, "finished: 2 hours 10 minutes, £75?"},
	} {
		for _, from := range []*office{start, working} {
			for _, yes := range []string{"yes", "Finish ›", "finish"} {
				o := from.fork()
				o.say(boss, says)
				if m := o.lastTo(boss); !strings.Contains(m.Text, "Mia's Ford Fiesta "+figures.hears) {
					t.Errorf("%q: he reads %q", says, m.Text)
					continue
				}
				if yes == "Finish ›" {
					o.tap(boss, yes)
				} else {
					o.say(boss, yes)
				}
				if figures.minutes == 0 {
					o.say(boss, "130")
				}
				if figures.pence == 0 {
					o.say(boss, "£75")
				}
				w := o.enquiry(mia).Work
				if w == nil || w.Minutes != 130 || w.Price != 7500 {
					t.Errorf("%q, %q: %+v, he reads %q", says, yes, w, o.lastTo(boss).Text)
				}
			}
		}
	}
	working.say(boss, "all done, took 2h10")
	for _, no := range []string{"no", "carry on", "not yet"} {
		o := working.fork()
		o.say(boss, no)
		if m := o.lastTo(boss); strings.Contains(m.Text, "Noted") || o.enquiry(mia).Work != nil || !strings.Contains(m.Text, "1 of ") {
			t.Errorf("%q: he reads %q", no, m.Text)
		}
	}
	for _, says := range []string{"golf estate, inside and out, took me 5 hours", "started at 9, took 2h10 to get the hair out"} {
		o := start.fork()
		o.say(boss, says)
		if m := o.lastTo(boss); strings.Contains(m.Text, "finished:") {
			t.Errorf("%q: he reads %q", says, m.Text)
		}
	}
	o := working.fork()
	o.say(boss, "no", "75 cash", "yes")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "how long did it take?") {
		t.Errorf("yes is answered with %q", m.Text)
	}
}
