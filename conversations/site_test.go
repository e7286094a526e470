package conversations_test

import (
	"slices"
	"testing"

	"example.org/dryhand/bot"
)

// Where there is no workshop nobody is asked whether they would come to it, also not
// where they cannot be helped at home.
func TestMobileOnly(t *testing.T) {
	o := newOffice(t, with(t, "mobile-only: false ", "mobile-only: true "))
	o.say(mia, "Ford Fiesta, outside")
	o.tap(mia, "On the street")
	if q := o.enquiry(mia); q.Answers["site"][0] != "theirs" || q.Quote == nil || q.Quote.Refused == "" {
		t.Fatalf("a car in the street is not refused: %+v", q)
	}
	for _, m := range o.said {
		if slices.ContainsFunc(slices.Concat(m.Choices...), func(c bot.Choice) bool { return c.Label == "At the workshop" }) {
			t.Errorf("there is no workshop, and this offers it: %q", m.Text)
		}
	}
}

// What is told of a tap, a socket and a drain in other words than the buttons' is taken, and a
// socket nobody speaks of is none.
func TestTapAndDrainInWords(t *testing.T) {
	start := newOffice(t, talk(t))
	start.say(mia, "Ford Fiesta, outside")
	start.tap(mia, "At home or work", "Driveway")
	for said, want := range map[string]string{
		"yes theres an outside tap": "tap", "tap and I can run a lead out": "both", "no tap im afraid but theres a socket": "socket",
		"a hose, and an outside plug": "both", "theres no tap or socket": "neither",
	} {
		o := start.fork()
		o.say(mia, said)
		if got := o.enquiry(mia).Answers["services"]; !slices.Equal(got, []string{want}) {
			t.Errorf("%q: %v, want %s", said, got, want)
		}
	}
	start.tap(mia, "Tap only")
	for said, want := range map[string]string{
		"drain": "foul", "theres a drain": "foul", "drain on drive": "foul", "12 miles, drain on drive": "foul", "road drain": "surface", "down a drain": "unknown",
		"drain by the back door i think": "foul", "down the drain by the back door": "foul", "drain. is the engine included": "foul",
	} {
		o := start.fork()
		o.say(mia, said)
		if got := o.enquiry(mia).Answers["drain"]; !slices.Equal(got, []string{want}) {
			t.Errorf("%q: %v, want %s", said, got, want)
		}
	}
}
