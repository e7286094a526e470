package conversations_test

import (
	"strings"
	"testing"

	"example.org/dryhand/conversations"
)

// More than the most that was agreed to is not simply taken: the customer was promised
// to be asked, so the owner is.
func TestPriceAboveTheMost(t *testing.T) {
	finishing := func(t *testing.T) (*office, int64) {
		o := newOffice(t, talk(t))
		o.booked(mia, "Ford Fiesta")
		o.until(o.enquiry(mia).Slot.End)
		o.tap(boss, "Done")
		o.say(boss, "150", "200")
		e := o.enquiry(mia)
		if m := o.lastTo(boss); e.Work.Price != 0 || !strings.Contains(m.Text, "£200 is more than the £95 at most that Mia agreed to.") {
			t.Fatalf("taken: %d, told %q", e.Work.Price, m.Text)
		}
		return o, e.Quote.High
	}
	for _, c := range []struct {
		name string
		then func(o *office)
		want func(most int64) int64
	}{
		{"they said yes", func(o *office) { o.tap(boss, "They've said yes") }, func(int64) int64 { return 20000 }},
		{"the most", func(o *office) { o.tap(boss, "£95") }, func(most int64) int64 { return most }},
		{"another amount", func(o *office) { o.say(boss, "90") }, func(int64) int64 { return 9000 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			o, most := finishing(t)
			c.then(o)
			if e := o.enquiry(mia); e.Work.Price != c.want(most) || e.Stage != conversations.Booked {
				t.Errorf("it came to %d", e.Work.Price)
			}
			o.tap(boss, "That's all ›")
			if e := o.enquiry(mia); e.Stage != conversations.Done {
				t.Errorf("it is %q", e.Stage)
			}
		})
	}
	// Nobody else can say it.
	o, _ := finishing(t)
	o.event(zoe, o.button(boss, "They've said yes"))
	if e := o.enquiry(mia); e.Work.Price != 0 {
		t.Errorf("somebody else's press set the price to %d", e.Work.Price)
	}
}
