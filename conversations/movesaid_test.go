package conversations_test

import (
	"strings"
	"testing"
)

// A time behind a name, or typed where he is asked for one, is offered and not the day
// shown; nothing is moved before he taps and the customer has said yes.
func TestATimeTypedIsOffered(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	was := *start.enquiry(mia).Slot
	for says, offered := range map[string]bool{
		"move mia to fri": true, "mia fri 9am": true, "mia fri 9": true, "mia to friday": true, "fri 9": false, "mia": false, "mia 120": false,
		"mia fri 9 agreed": true, "told mia fri 9am is fine": true, "book mia fri 9am": true, "book mia in fri 9": true, "spoke to mia, friday 9am": true,
		"mia can do fri 9": true, "agreed with mia fri 9": true, "mia said fri 9 is fine": true, "mia tue 12 agreed": false,
		"mia fri 9 agreed but she moans": false, "is mia on friday?": false,
	} {
		o := start.fork()
		o.say(boss, says)
		if m := o.lastTo(boss); strings.Contains(m.Text, "Move it to when?") != offered {
			t.Errorf("%q is answered with %q", says, m.Text)
		} else if offered && !strings.HasPrefix(m.Choices[0][0].Label, "Fri 16 Apr, 09:00") {
			t.Errorf("%q is offered %q", says, m.Choices[0][0].Label)
		}
		if *o.enquiry(mia).Slot != was {
			t.Errorf("%q moves it by itself", says)
		}
	}
	for says, hears := range map[string]string{"fri 9": "Mia has been asked about Fri 16 Apr, 09:00", "friday 9am": "Mia has been asked about Fri 16 Apr, 09:00", "fri": "Move it to when?"} {
		o := start.fork()
		o.tap(boss, "Move it")
		o.say(boss, says)
		if m := o.lastTo(boss); !strings.Contains(m.Text, hears) {
			t.Errorf("asked for a time, %q is answered with %q", says, m.Text)
		}
	}
}
