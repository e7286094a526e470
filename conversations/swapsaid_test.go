package conversations_test

import (
	"slices"
	"strings"
	"testing"
)

// One piece of work in the place of another is taken at the price, said or asked, and all the
// rest stays.
func TestASwapSaidOrAsked(t *testing.T) {
	start := pricedFor(t, "golf estate inside and outside at yours, up to 120", "just the price")
	for says, c := range map[string]struct{ in, out string }{
		"do the smell instead of the glass and stay at 120":         {"smell-out", "glass"},
		"can it do the smell instead of the glass and stay at 120":  {"smell-out", "glass"},
		"could you do the headlights instead of the wheels?":        {"lamps-polish", "wheel"},
		"wax instead of the wheels please":                          {"wax", "wheel"},
		"can we swap the glass for the headlights?":                 {"lamps-polish", "glass"},
		"would it be the same price with wax rather than the glass": {"wax", "glass"},
	} {
		o := start.fork()
		said := o.say(mia, says)
		e, got := o.enquiry(mia), o.lastTo(mia).Text
		without := !slices.ContainsFunc(e.Quote.Tasks, func(id string) bool { return strings.HasPrefix(id, c.out) })
		if !slices.Contains(e.Quote.Tasks, c.in) || !without || !slices.Contains(e.Quote.Tasks, "wash") || !slices.Contains(e.Quote.Tasks, "vacuum") ||
			e.Quote.Budget != 12000 || !strings.HasPrefix(got, "Good, that fits within £120: ") || len(said) != 1 {
			t.Errorf("%q: in it is %v for %d, %d messages, they read\n%s", says, e.Quote.Tasks, e.Quote.Budget, len(said), got)
		}
		o.say(mia, "put it back how it was")
		if now := o.enquiry(mia).Quote.Tasks; !slices.Equal(now, start.enquiry(mia).Quote.Tasks) {
			t.Errorf("%q, put back: %v", says, now)
		}
	}
	o := start.fork()
	o.say(mia, "the inside instead of the outside")
	if e := o.enquiry(mia); !slices.Equal(e.Answers["wants"], []string{"interior"}) {
		t.Errorf("a side in the place of the other: %v", e.Answers["wants"])
	}
}
