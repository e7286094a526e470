package conversations

import "testing"

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
