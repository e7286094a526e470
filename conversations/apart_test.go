package conversations_test

import (
	"strings"
	"testing"

	"example.org/dryhand/conversations"
)

// However a length or an amount is typed, it is read wherever he is asked for one: how
// long a job took, what it came to, how late he is, what is left, a price by hand.
func TestAmountsTypedWithWetHands(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.until(start.enquiry(mia).Slot.End)
	start.tap(boss, "Done")
	for says, minutes := range map[string]int{
		"hour an half": 90, "an hour an half": 90, "1 an half hours": 90, "hour n a half": 90, "2 n half hrs": 150, "90min": 90, "90mins": 90,
		"two and half hours": 150, "1 hour and half": 90, "2hrs": 120, "about hour and a half": 90, "half an hour": 30, "hour and a quarter": 75,
		"about 2 and 3 quarter hours": 165, "two and three quarter hours": 165, "2 3/4 hours": 165, "2¾ hours": 165, "two hours and three quarters": 165, "an hour and three quarters": 105,
		"1 1/2 hrs": 90, "2½ hours": 150, "1 and three quarters of an hour": 105, "2 and a quarter hours": 135,
	} {
		o := start.fork()
		if o.say(boss, says); o.enquiry(mia).Work == nil || o.enquiry(mia).Work.Minutes != minutes {
			t.Errorf("%q is answered with %q", says, o.lastTo(boss).Text)
		}
	}
	start.say(boss, "90")
	for says, pence := range map[string]int64{"85quid": 8500, "85 quid": 8500, "85pounds cash": 8500, "82.50quid": 8250, "£85": 8500, "call it 85quid": 8500} {
		o := start.fork()
		if o.say(boss, says); o.enquiry(mia).Work.Price != pence {
			t.Errorf("%q is answered with %q", says, o.lastTo(boss).Text)
		}
	}
	start.say(boss, "80quid")
	start.tap(boss, "That's all")
	if start.say(boss, "mia paid 50quid"); !strings.Contains(start.lastTo(boss).Text, "£80 of Mia's is open. Is all of it here?") {
		t.Errorf("a part in one word: %q", start.lastTo(boss).Text)
	}

	late := newOffice(t, talk(t))
	late.booked(mia, "Ford Fiesta")
	for says, hears := range map[string]string{"20mins late": "Mia knows: 12:20", "hour an half late": "Mia knows: 13:30", "1hr late": "Mia knows: 13:00"} {
		o := late.fork()
		o.until(o.enquiry(mia).Slot.Start.Add(-1))
		if o.say(boss, says); !strings.Contains(o.lastTo(boss).Text, hears) {
			t.Errorf("%q is answered with %q", says, o.lastTo(boss).Text)
		}
	}
	asked := newOffice(t, talk(t))
	asked.asked(mia, "Ford Fiesta")
	asked.tap(boss, "Adjust", "Price")
	asked.say(boss, "make it 95quid")
	if e := asked.enquiry(mia); e.Stage != conversations.Waits || e.Seen == nil || e.Seen.Likely != 9500 {
		t.Errorf("a price by hand: %q", asked.lastTo(boss).Text)
	}
}
