package conversations_test

import (
	"strings"
	"testing"
)

// A sum above what is open, or above the most that was named, is asked about once and then
// kept as the owner says; that it is paid is not lost on the way.
func TestPaidMoreThanSaid(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.until(start.enquiry(mia).Slot.End)
	most := start.enquiry(mia).Quote.High

	o := start.fork()
	o.say(boss, "mia paid 160")
	if got := o.lastTo(boss).Text; !strings.Contains(got, "finished: £160?") {
		t.Fatalf("before it is done: %q", got)
	}
	o.tap(boss, "Finish ›")
	o.say(boss, "as reckoned")
	if got := o.lastTo(boss).Text; !strings.Contains(got, "£160 is more than") || most >= 16000 {
		t.Fatalf("above the most, %d: %q", most, got)
	}

	o = start.fork()
	o.tap(boss, "Done")
	o.say(boss, "90", "paid 160")
	o.tap(boss, "They've said yes")
	if w := o.enquiry(mia).Work; w.Price != 16000 || w.Paid.IsZero() {
		t.Errorf("their yes: %+v", w)
	}

	for button, price := range map[string]int64{"£160, and it's paid": 16000, "£85, and it's paid": 8500} {
		o = start.fork()
		o.tap(boss, "Done")
		o.say(boss, "90", "85")
		o.tap(boss, o.lastTo(boss).Choices[len(o.lastTo(boss).Choices)-1][0].Label)
		o.say(boss, "paid 160")
		if got := o.lastTo(boss).Text; !strings.Contains(got, "£160 is more than the £85 of Mia's that is open") {
			t.Fatalf("afterwards: %q", got)
		}
		o.tap(boss, button)
		if w := o.enquiry(mia).Work; w.Price != price || w.Paid.IsZero() {
			t.Errorf("%s: %+v", button, w)
		}
	}
}
