package conversations_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// What is asked for under a figure fits, or does not, and is said to before anything else; the
// figure at which it would is a yes or a tap away, and it is then in.
func TestWhatIsAskedForUnderAFigure(t *testing.T) {
	start := pricedFor(t, "golf estate inside and outside at yours, up to 130 quid", "just the price")
	for says, c := range map[string]struct{ task, words string }{
		"please put the paint sealant in":                {"sealant", "£130 doesn't stretch to paint sealant; £"},
		"If the paint gets something on it, even better": {"sealant", "£130 doesn't stretch to paint sealant; £"},
		"and a polish":               {"polish-one-step", "£130 doesn't stretch to one round of machine polishing; £"},
		"can you add the headlights": {"lamps-polish", "Good, that fits within £130: headlights machine-polished and sealed."},
		"with hand wax please":       {"wax", "Good, that fits within £130: hand wax."},
	} {
		o := start.fork()
		o.say(mia, says)
		e, got := o.enquiry(mia), o.lastTo(mia).Text
		if !strings.HasPrefix(got, c.words) || slices.Contains(e.Quote.Tasks, c.task) == strings.Contains(c.words, "doesn't") {
			t.Errorf("%q: in it is %v, they read\n%s", says, e.Quote.Tasks, got)
		}
		if e.Sum == "" {
			continue
		}
		for _, yes := range []func(*office){func(o *office) { o.tap(mia, "Yes, fit it to £"+e.Sum) }, func(o *office) { o.say(mia, "ok do that") }} {
			o := o.fork()
			yes(o)
			if now := o.enquiry(mia); !slices.Contains(now.Quote.Tasks, c.task) || !slices.Equal(now.Answers["budget"], []string{e.Sum}) || fmt.Sprint(now.Quote.Budget/100) != e.Sum {
				t.Errorf("%q, yes: %v in it for %v", says, now.Quote.Tasks, now.Answers["budget"])
			}
		}
	}
}

// Whoever asks what something would add is told the sum that stands in the list of what is left
// out, and with those words it adds that.
func TestWhatItWouldAddIsOneSum(t *testing.T) {
	for _, figure := range []string{"", "130"} {
		o := pricedFor(t, "golf estate inside and outside at yours", "just the price")
		if figure != "" {
			o.say(mia, figure)
		}
		before := o.enquiry(mia).Quote
		line := before.Out[slices.IndexFunc(before.Out, func(l string) bool { return strings.HasPrefix(l, "One round of machine polishing") })]
		_, sum, _ := strings.Cut(line, "would add about ")
		sum = strings.TrimSuffix(sum, ")")
		o.say(mia, "is polishing included?")
		if got := o.lastTo(mia).Text; !strings.Contains(got, "one round of machine polishing would add about "+sum+".") {
			t.Errorf("for %q the list says %q, and they read\n%s", figure, line, got)
		}
		if figure != "" {
			continue
		}
		o.say(mia, "with one round of machine polishing")
		if now := o.enquiry(mia).Quote; fmt.Sprintf("£%d", (now.Likely-before.Likely)/100) != sum || !slices.Contains(now.Tasks, "polish-one-step") {
			t.Errorf("said to add %s, it went from %d to %d with %v", sum, before.Likely, now.Likely, now.Tasks)
		}
	}
}
