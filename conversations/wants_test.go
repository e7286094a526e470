package conversations_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/pricing"
)

// A piece of work asked for by its name is in the price, among the lines that are
// shown, whatever the rest of the car would need; one not wanted takes nothing else
// away. The messages are made up, as customers write (common usage, no source).
func TestWhatIsNamedIsInIt(t *testing.T) {
	const shampooed, extracted = "fabric-shampoo", "fabric-extract"
	tk := talk(t)
	for _, c := range []struct{ says, wants, in string }{
		{"polo, need the seats shampooed, just the seats really", "fabric-shampoo interior", shampooed},
		{"can u shampoo the seats and carpets of my polo", "fabric-shampoo interior", shampooed},
		{"polo, want the seats doing", "fabric-shampoo interior", shampooed},
		{"polo, valet with the seats wet vacced", "exterior fabric-extract interior", extracted},
		{"polo, clean and feed the leather", "interior leather", "leather"},
		{"polo, leather seats cleaned please", "interior leather", "leather"},
		{"polo, wash and wax", "exterior wax", "wax"},
		{"polo, ceramic coating please", "ceramic-coating", "ceramic-coating"},
		{"polo, wash and get the tyres dressed", "dress-tyres exterior", "dress-tyres"},
		{"polo, wash and a clay bar", "clay exterior", "clay"},
		{"polo, two stage polish", "polish polish-two-step", "polish-two-step"},
		{"fiat 500 convertible, reproof the roof please", "soft-top soft-top-proof", "soft-top-proof"},
		{"polo, wash it, no wax", "exterior", "wash"},
		{"polo, inside, no shampooing, just hoovered", "interior", "vacuum"},
	} {
		o := newOffice(t, tk)
		o.say(mia, c.says+". I'd bring it to you", "just the price")
		e := o.enquiry(mia)
		if wants := strings.Join(slices.Sorted(slices.Values(e.Answers["wants"])), " "); wants != c.wants {
			t.Errorf("%q: wanted is %q, want %q", c.says, wants, c.wants)
		}
		task, _ := tk.Rules.Task(c.in)
		if e.Quote == nil || !slices.Contains(e.Quote.Main, task.Words) {
			t.Errorf("%q: %q is not among what is shown:\n%s", c.says, task.Words, o.lastTo(mia).Text)
		}
	}
}

// Named where the buttons are, or changed afterwards, it is in as well.
func TestWhatIsNamedLaterIsInIt(t *testing.T) {
	for _, c := range []struct {
		says  []string
		wants string
	}{
		{[]string{"inside with the seats shampooed"}, "fabric-shampoo interior"},
		{[]string{"outside, clay bar and wax"}, "clay exterior wax"},
		{[]string{"inside", "your place", "just the price", "and shampoo the seats as well"}, "fabric-shampoo interior"},
		{[]string{"inside, seats shampooed", "your place", "just the price", "without the shampooing"}, "interior"},
	} {
		o := newOffice(t, talk(t))
		o.say(mia, "Ford Fiesta")
		o.say(mia, c.says...)
		if wants := strings.Join(slices.Sorted(slices.Values(o.enquiry(mia).Answers["wants"])), " "); wants != c.wants {
			t.Errorf("after %q wanted is %q, want %q", c.says, wants, c.wants)
		}
	}
}

// Who says "shampooed" of seats with food trodden into them gets what the rules have
// for those, and not less for having named it.
func TestANameDoesNotMeanLess(t *testing.T) {
	tk := talk(t)
	o := newOffice(t, tk)
	o.say(mia, "Ford Fiesta, the seats shampooed, I'd bring it to you", "4", "just the price")
	if e := o.enquiry(mia); !slices.Contains(e.Quote.Tasks, "fabric-extract") || slices.Contains(e.Quote.Tasks, "fabric-shampoo") {
		t.Errorf("in it: %q", e.Quote.Tasks)
	}
}

// Where it is bad is where it is to be cleaned, if nothing else is said: nobody is asked
// which part it is about who has just said it.
func TestAComplaintSaysWhatIsWanted(t *testing.T) {
	for says, want := range map[string]string{
		"passat estate, a state inside, how much?":                                      "interior",
		"golf estate, dog sick all over the back seat, how much":                        "interior",
		"polo, headlights gone yellow":                                                  string(pricing.Headlights),
		"polo, caked in mud outside and sand in the boot. price?":                       "exterior interior",
		"polo, milk spilt, what would that cost":                                        "interior",
		"polo, milk over the back seat. it stinks":                                      "interior",
		"polo, milk spilt":                                                              "", // perhaps a valet is wanted as well
		"polo, it's filthy, how much?":                                                  "", // all of it, or only one side
		"polo. There's hair everywhere and the outside hasn't been washed since summer": "exterior interior",
		"polo, the outside is well overdue":                                             "exterior",
		"polo, haven't washed the outside in ages and the seats are filthy":             "exterior interior",
		"polo, dog hair everywhere":                                                     "", // perhaps a wash is wanted as well
		"polo, just the inside, the outside is filthy but I do that myself":             "interior",
		"polo, the inside is fine":                                                      "",
		"polo, no need to do the inside, it's not too bad in there ":                    "",
	} {
		o := newOffice(t, talk(t))
		o.say(mia, says)
		if got := strings.Join(slices.Sorted(slices.Values(o.enquiry(mia).Answers["wants"])), " "); got != want {
			t.Errorf("%q: wanted is %q, want %q", says, got, want)
		}
	}
}

// Asked what to look at, whoever tells how it is on both sides means both.
func TestWhatIsNeededIsWanted(t *testing.T) {
	for says, want := range map[string]string{
		"There's hair everywhere and the outside hasn't been washed since summer":                  "exterior interior",
		"theres dog hair all over the seats and the outside is filthy, not been cleaned in months": "exterior interior",
		"not washed the outside in ages":                 "exterior",
		"outside please, hair everywhere but leave that": "exterior",
	} {
		o := newOffice(t, talk(t))
		o.say(mia, "Ford Fiesta", says)
		if got := strings.Join(slices.Sorted(slices.Values(o.enquiry(mia).Answers["wants"])), " "); got != want {
			t.Errorf("%q: wanted is %q, want %q", says, got, want)
		}
	}
}

// What is said of the soft top is the soft top's: it is in the price, with how it looks,
// and a wash beside it is the outside.
func TestSoftTopInWords(t *testing.T) {
	for says, want := range map[string]struct{ wants, grade string }{
		"soft top on my mx5 has gone green, can bring it":                            {"soft-top", "3"},
		"hi mx5 soft top green with algae needs a clean and a wash, can bring it":    {"exterior soft-top", "3"},
		"hi mx5 soft top needs a clean and the car a wash":                           {"exterior soft-top", ""},
		"mx5, roof has gone green, wash too":                                         {"exterior soft-top", "3"},
		"mx5 soft top outside please":                                                {"exterior", ""},
		"the soft top's gone green and sticky on my mx5, do you come out to people?": {"soft-top", "3"},
	} {
		o := newOffice(t, talk(t))
		o.say(mia, says)
		e := o.enquiry(mia)
		wants := slices.Sorted(slices.Values(e.Answers["wants"]))
		if grade := strings.Join(e.Answers["cond-soft-top"], ""); strings.Join(wants, " ") != want.wants || grade != want.grade {
			t.Errorf("%q: wants %v, grade %q", says, wants, grade)
		}
		if last := o.lastTo(mia).Text; strings.Contains(says, "come out") && !strings.Contains(last, "Yes, we come to you.\n\nWhat does it stand on") {
			t.Errorf("%q: %s", says, last)
		}
	}
	o := newOffice(t, talk(t))
	o.say(mia, "soft top on my mx5 has gone green", "just the roof please, and a wash I suppose")
	if wants := slices.Sorted(slices.Values(o.enquiry(mia).Answers["wants"])); strings.Join(wants, " ") != "exterior soft-top" {
		t.Errorf("wants %v: %s", wants, o.lastTo(mia).Text)
	}
}
