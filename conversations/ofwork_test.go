package conversations

import (
	"slices"
	"testing"

	"example.org/dryhand/pricing"
)

// A piece of work keeps on its button what tells it from others.
func TestForButton(t *testing.T) {
	for words, want := range map[string]string{
		"Seats, carpets, mats and boot vacuumed":                              "Seats, carpets, mats and boot",
		"Dash, vents, buttons, pedals and door cards brushed clean":           "Dash, vents, buttons, pedals",
		"Dash, doors and console dusted and wiped":                            "Dash, doors and console dusted",
		"Outside glass, mirrors and lamps, streak-free":                       "Outside glass, mirrors and lamps",
		"Door edges, hinges and fuel flap":                                    "Door edges, hinges and fuel flap",
		"Spray sealant, good for one to three months":                         "Spray sealant",
		"Pre-wash, so that the dirt leaves before anything touches the paint": "Pre-wash",
		"Cloth seats and carpets washed out with hot water and sucked dry":    "Cloth seats and carpets washed out with hot water and sucked dry",
		"Pet hair pulled out":                                                 "Pet hair pulled out",
		"Deski i kokpit, drzwi oraz konsola, odkurzone i wytarte":             "Deski i kokpit, drzwi oraz konsola",
	} {
		if got := forButton(words); got != want {
			t.Errorf("%q: %q, want %q", words, got, want)
		}
	}
}

// What has been taken out of a job takes what is said of it along.
func TestWhatIsSaidOfWorkGoesWithIt(t *testing.T) {
	with := turn{Talk: Talk{Rules: pricing.DefaultRules()}}
	smell, _ := with.Rules.Task("smell-out")
	wash, _ := with.Rules.Task("tar")
	if smell.Wont == "" || wash.Wont == "" {
		t.Fatal("nothing is said of either")
	}
	wont := func(w pricing.Task) string { return w.Wont }
	said := []string{smell.Wont, wash.Wont, "Please ask whoever owns the car park."}
	got := with.ofWork(said, []pricing.Line{{Task: "tar"}}, wont)
	if !slices.Equal(got, said[1:]) {
		t.Errorf("without the smell: %q", got)
	}
	if got := with.ofWork(said, []pricing.Line{{Task: "tar"}, {Task: "smell-out"}}, wont); !slices.Equal(got, said) {
		t.Errorf("with it: %q", got)
	}
}

// A part of the car that no work is on any more is not to be photographed.
func TestOnlyWhatIsWorkedOnIsShown(t *testing.T) {
	with := turn{Talk: Talk{Rules: pricing.DefaultRules()}}
	for _, c := range []struct {
		q    *Quoted
		want bool
	}{
		{nil, true},
		{&Quoted{Tasks: []string{"wash"}}, false},
		{&Quoted{Tasks: []string{"wash", "wheels-face"}}, true},
		{&Quoted{Tasks: []string{"wash"}, QuoteWords: QuoteWords{NeedSee: "x"}}, true},
	} {
		if got := with.inTheJob(&Enquiry{Quote: c.q}, pricing.Wheels); got != c.want {
			t.Errorf("%+v: %v", c.q, got)
		}
	}
}
