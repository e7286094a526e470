package conversations_test

import (
	"slices"
	"strings"
	"testing"
)

// What is asked for besides, or in the place of a line, drops nothing that was asked for first:
// where the figure has no room for both, the price stays and the figure that has is a yes away.
func TestNothingAskedForIsDroppedForMore(t *testing.T) {
	start := pricedFor(t, "wash and wax on a VW Passat saloon at yours, dont need the wheels doing, up to 80", "2")
	stood := start.enquiry(mia).Quote
	if !slices.Contains(stood.Tasks, "wax") {
		t.Fatalf("in it is %v", stood.Tasks)
	}
	for _, says := range []string{
		"can i have the rain glass thing instead of the tar and bits",
		"can i have the rain glass instead of the foam",
		"can you do the rain glass too",
	} {
		o := start.fork()
		o.say(mia, says)
		e, got := o.enquiry(mia), o.lastTo(mia).Text
		if !slices.Equal(e.Quote.Tasks, stood.Tasks) || e.Quote.Budget != 8000 || e.Sum == "" || !strings.HasPrefix(got, "£80 doesn't stretch to glass") || !strings.Contains(got, "with the hand wax still in it; £"+e.Sum+" would.") {
			t.Errorf("%q: in it is %v for %d, they read\n%s", says, e.Quote.Tasks, e.Quote.Budget, got)
		}
		back := o.fork()
		back.say(mia, "back")
		if now := back.enquiry(mia); !slices.Equal(now.Quote.Tasks, stood.Tasks) || now.Sum != "" || now.Meant != nil {
			t.Errorf("%q, back: %v, asked of %q", says, now.Quote.Tasks, now.Sum)
		}
		for _, yes := range []func(*office){func(o *office) { o.tap(mia, "Yes, fit it to £"+e.Sum) }, func(o *office) { o.say(mia, "yes please") }} {
			o := o.fork()
			yes(o)
			o.say(mia, "just the price")
			now := o.enquiry(mia).Quote
			for _, id := range []string{"wash", "wax", "glass-polish"} {
				if !slices.Contains(now.Tasks, id) {
					t.Errorf("%q, yes: %v for %d", says, now.Tasks, now.Budget)
				}
			}
		}
	}
}

// What was to be left out has one sum too, and to ask after it orders nothing.
func TestWhatWasLeftOutIsAskedAfter(t *testing.T) {
	o := pricedFor(t, "wash and wax on a VW Passat saloon at yours, dont need the wheels doing", "2")
	before := o.enquiry(mia).Quote
	for says, want := range map[string]string{
		"so the wheels arent in that?":     "wheels would add about £25.",
		"are the wheels in it?":            "wheels would add about £25.",
		"how much more with the wheels?":   "wheels would add about £25.",
		"what would the wheels cost":       "wheels would add about £25.",
		"is that without the wheels?":      "Yes, that's without wheels.",
		"no wheels right?":                 "Yes, that's without wheels.",
		"thats without the wheels, right?": "Yes, that's without wheels.",
	} {
		o := o.fork()
		said := o.say(mia, says)
		if got := o.lastTo(mia).Text; len(said) != 1 || !strings.Contains(got, want) || !slices.Equal(o.enquiry(mia).Quote.Tasks, before.Tasks) {
			t.Errorf("%q: %d messages, in it is %v, they read\n%s", says, len(said), o.enquiry(mia).Quote.Tasks, got)
		}
	}
	o.say(mia, "with wheels")
	if now := o.enquiry(mia).Quote; now.Likely-before.Likely != 2500 {
		t.Errorf("with wheels: from %d to %d", before.Likely, now.Likely)
	}
}

// Where a figure buys nothing on one side of the car that was asked for, that stands first, and
// whoever asks is told it.
func TestASideThatIsOutIsSaid(t *testing.T) {
	start := pricedFor(t, "Volvo V60 estate, inside and out at yours, £60", "just the price")
	const words = "For £60 that's the outside only: nothing inside is in it. All of the inside, by itself, would come to "
	stood := start.enquiry(mia).Quote
	if got := start.lastTo(mia).Text; !strings.Contains(got, words) {
		t.Fatalf("in it is %v, they read\n%s", stood.Tasks, got)
	}
	for _, says := range []string{"does that include inside?", "nothing inside?", "thats just outside?", "is that just the outside?", "so nothing on the inside?"} {
		o := start.fork()
		said := o.say(mia, says)
		if got := o.lastTo(mia).Text; len(said) != 1 || !strings.HasPrefix(got, words) || !slices.Equal(o.enquiry(mia).Answers["wants"], start.enquiry(mia).Answers["wants"]) {
			t.Errorf("%q: %d messages, wants %v, they read\n%s", says, len(said), o.enquiry(mia).Answers["wants"], got)
		}
	}
	start.say(mia, "just the inside")
	if e := start.enquiry(mia); !slices.Equal(e.Answers["wants"], []string{"interior"}) || e.Quote.Budget != 6000 {
		t.Errorf("the other side: %v for %d", e.Answers["wants"], e.Quote.Budget)
	}
}
