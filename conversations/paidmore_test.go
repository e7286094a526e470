package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
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

// "who owes me" names also who is being finished with, and after the money the buttons of the
// job are still there, and typed do the same.
func TestOwedWhileFinishing(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.until(o.enquiry(mia).Slot.End.Add(time.Minute))
	o.say(boss, "who owes me")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Mia, Ford Fiesta") || !strings.Contains(m.Text, "you haven't said") {
		t.Errorf("done by now: %q", m.Text)
	}
	o.tap(boss, "Finish Mia")
	o.say(boss, "90", "85", "who owes me")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "£85; you haven't said") {
		t.Errorf("in the middle of it: %q", m.Text)
	}
	o.tap(boss, "Finish Mia", "That's all", "Paid")
	for _, label := range []string{"Not paid after all", "Make it regular", "What worked", "What stayed"} {
		if m := o.lastTo(boss); !slices.ContainsFunc(slices.Concat(m.Choices...), func(c bot.Choice) bool { return c.Label == label }) {
			t.Errorf("%q is gone: %v", label, m.Choices)
		}
	}
	o.say(boss, "make it regular")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "How often is Mia's") {
		t.Errorf("regular: %q", m.Text)
	}
}
