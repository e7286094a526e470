package conversations_test

import (
	"strings"
	"testing"
)

// A car that no table knows goes by a few words, whatever else was said in the same
// breath; the owner reads all of it. Its name can be put right at any time, and a number
// in it is no money.
func TestACarGoesByAShortName(t *testing.T) {
	tk := talk(t)
	for says, name := range map[string]string{
		"its a rover i think from the 60s, red. my husbands. he's 70 in may and i want it nice for him": "rover",
		"rover 2000": "rover 2000",
		"an old thing my uncle left me when he moved away to live by the sea": "car",
		"the Wobblemobile, I bought it at an auction":                         "Wobblemobile",
	} {
		o := newOffice(t, tk)
		o.say(mia, "hello", says)
		e := o.enquiry(mia)
		if got := e.Answers["vehicle"]; len(got) != 1 || got[0] != name {
			t.Errorf("%q goes by %q, want %q", says, got, name)
		}
		if name != says && len(e.Noted) != 1 {
			t.Errorf("of %q the owner reads %q", says, e.Noted)
		}
		if len(e.Times) > 0 {
			t.Errorf("%q is taken for a time: %+v", says, e.Times)
		}
	}
}

func TestACarIsNamedAnew(t *testing.T) {
	tk := talk(t)
	for _, says := range []string{"no thats wrong its just a rover 2000", "£2000??? no. that's the car! a rover 2000. and all I wrote is on there as the car", "Rover 2000"} {
		o := newOffice(t, tk)
		o.say(mia, "hello", "a rover", "saloon", "outside", "I'll bring it", "just the price")
		o.say(mia, says)
		e := o.enquiry(mia)
		if e.At != "quote" || e.Car == nil || !strings.EqualFold(e.Car.Name, "rover 2000") || len(e.Answers["budget"]) > 0 {
			t.Errorf("%q: at %s, %+v, budget %v\n%s", says, e.At, e.Car, e.Answers["budget"], o.lastTo(mia).Text)
		}
	}
}

// What can be changed may be typed by its name, once it has been shown.
func TestWhatCanBeChangedIsTypedByName(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "ford fiesta, outside, I'll bring it", "just the price", "car")
	if e := o.enquiry(mia); e.At != "quote" {
		t.Errorf("unasked, %q is gone to", e.At)
	}
	o.say(mia, "change an answer", "the car please")
	if e := o.enquiry(mia); e.At != "vehicle" {
		t.Errorf("at %q", e.At)
	}
}
