package conversations_test

import (
	"slices"
	"strings"
	"testing"
)

// A figure that complains and asks, near what was named, is no figure to stay under until
// they say so; a yes means it, a no leaves the price as it was.
func TestAFigureThatAsks(t *testing.T) {
	start := []string{"golf hatchback inside and out at your place", "2", "just the price"}
	for says, asked := range map[string]string{
		"thats a lot, 115?":                 "115",
		"bit steep... 100?":                 "100",
		"bit steep, 80":                     "",
		"what about 80?":                    "",
		"115 then?? what would that get me": "",
	} {
		o := pricedFor(t, start...)
		o.say(mia, says)
		e, last := o.enquiry(mia), o.lastTo(mia).Text
		if e.Sum != asked || asked != "" && (len(e.Answers["budget"]) > 0 || !strings.Contains(last, "£"+asked+" isn't a figure we named. Shall we fit the work to it?")) {
			t.Errorf("%q: asked about %q, budget %v\n%s", says, e.Sum, e.Answers["budget"], last)
		}
		if asked == "" {
			if len(e.Answers["budget"]) == 0 || !strings.HasPrefix(last, "For £") {
				t.Errorf("%q: not fitted\n%s", says, last)
			}
			continue
		}
		for _, yes := range []func(*office){
			func(o *office) { o.say(mia, "yes please") }, func(o *office) { o.say(mia, "yes") }, func(o *office) { o.tap(mia, "Yes, fit it to £"+asked) },
		} {
			o := o.fork()
			yes(o)
			if e := o.enquiry(mia); !slices.Equal(e.Answers["budget"], []string{asked}) || e.Sum != "" || e.At != "quote" {
				t.Errorf("%q, yes: %v at %s\n%s", says, e.Answers["budget"], e.At, o.lastTo(mia).Text)
			}
		}
		for _, no := range []string{"no", "no thanks", "whole list"} {
			o := o.fork()
			o.say(mia, no, "yes")
			if e := o.enquiry(mia); len(e.Answers["budget"]) > 0 || !slices.Equal(e.Answers["quote"], []string{"done"}) {
				t.Errorf("%q, %s, then yes: %v at %s\n%s", says, no, e.Answers, e.At, o.lastTo(mia).Text)
			}
		}
	}
}

// Who asks for the cheapest is told that, with what is in it, and not a dearer thing first.
func TestTheCheapest(t *testing.T) {
	for _, c := range []struct {
		before []string
		says   string
		want   string
		sum    string
	}{
		{nil, "whats the cheapest wash", "Our smallest job starts at £60, for a small hatchback", ""},
		{[]string{"golf hatchback"}, "whats the cheapest you do", "The least we'd do on your Volkswagen Golf Hatchback is £60", ""},
		{[]string{"golf hatchback inside and out at your place", "2", "just the price"}, "whats the cheapest you do", "The least we'd do on your Volkswagen Golf Hatchback is £60", "60"},
	} {
		o := newOffice(t, talk(t))
		o.say(mia, c.before...)
		o.say(mia, c.says)
		e, last := o.enquiry(mia), o.lastTo(mia).Text
		if !strings.Contains(last, c.want) || e.Sum != c.sum {
			t.Errorf("%q, %q: sum %q, want %q in\n%s", c.before, c.says, e.Sum, c.want, last)
		}
		if c.sum == "" {
			continue
		}
		o.say(mia, "yes")
		if e := o.enquiry(mia); !slices.Equal(e.Answers["budget"], []string{c.sum}) || e.Quote.High > 6000 {
			t.Errorf("yes to the cheapest: %v, %d", e.Answers["budget"], e.Quote.High)
		}
	}
}

// A piece of work that is not in the price and is named by what it is done to comes in;
// what is in it already is not added again.
func TestWithTheLeatherPlease(t *testing.T) {
	start := []string{"golf hatchback inside and out at your place", "2", "just the price"}
	for says, task := range map[string]string{
		"with the leather please": "leather", "and the leather": "leather", "leather please": "leather", "and leather": "leather",
		"and the dash brushed clean": "plastics-deep",
		"with the seats please":      "", "without the leather": "",
	} {
		o := pricedFor(t, start...)
		likely := o.enquiry(mia).Quote.Likely
		o.say(mia, says)
		e := o.enquiry(mia)
		if task == "" {
			if e.Quote.Likely != likely || slices.Contains(e.Answers["wants"], "leather") {
				t.Errorf("%q: wants %v, %d\n%s", says, e.Answers["wants"], e.Quote.Likely, o.lastTo(mia).Text)
			}
			continue
		}
		if !slices.Contains(e.Quote.Tasks, task) || e.Quote.Likely <= likely {
			t.Errorf("%q: %v, %d\n%s", says, e.Quote.Tasks, e.Quote.Likely, o.lastTo(mia).Text)
		}
	}
	o := pricedFor(t, start...)
	o.say(mia, "yes", "nothing", "no photo", "the first one", "with the leather please")
	if e := o.enquiry(mia); !slices.Contains(e.Quote.Tasks, "leather") {
		t.Errorf("once a time is held: %v\n%s", e.Quote.Tasks, o.lastTo(mia).Text)
	}
	o = pricedFor(t, start...)
	o.say(mia, "yes", "nothing", "no photo", "with the leather please")
	if e := o.enquiry(mia); !slices.Contains(e.Quote.Tasks, "leather") {
		t.Errorf("at the times: %v\n%s", e.Quote.Tasks, o.lastTo(mia).Text)
	}
}
