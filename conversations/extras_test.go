package conversations_test

import (
	"slices"
	"strings"
	"testing"
)

// At the car every piece of work that was left out can be added, page by page, and each
// stands on one page only; past the last page comes the first again.
func TestEveryExtraIsOffered(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Skoda Octavia estate", "Outside", "Inside")
	o.tap(boss, "Start work", "Add an extra")
	var all []string
	first := o.lastTo(boss).Choices[0][0].Label
	for range 10 {
		for _, row := range o.lastTo(boss).Choices {
			if l := row[0].Label; !strings.HasPrefix(l, "‹") && l != "The rest" {
				if slices.Contains(all, l) {
					t.Fatalf("%q is offered twice", l)
				}
				all = append(all, l)
			}
		}
		o.tap(boss, "The rest")
		if o.lastTo(boss).Choices[0][0].Label == first {
			break
		}
	}
	for _, part := range []string{"leather", "dash", "bonnet", "headlights", "shampooed by hand", "wax", "ceramic", "clay"} {
		if !slices.ContainsFunc(all, func(l string) bool { return strings.Contains(strings.ToLower(l), part) }) {
			t.Errorf("nothing of %q among\n%s", part, strings.Join(all, "\n"))
		}
	}
}

// An extra can cost nothing, and a stain is work where he is asked what is to be added.
func TestAnExtraAtNoCharge(t *testing.T) {
	start := newOffice(t, talk(t))
	start.begun(mia, "Skoda Octavia estate", "Outside", "Inside")
	start.tap(boss, "Start work", "Add an extra")
	was := start.enquiry(mia).Quote
	for _, text := range []string{"coffee stain on the back seat, no charge", "stains, on me"} {
		o := start.fork()
		o.say(boss, text)
		if m := o.lastTo(boss); !strings.HasPrefix(m.Choices[0][0].Label, "stains treated one by one, no charge") {
			t.Fatalf("%q: %q with %v", text, m.Text, m.Choices)
		}
		o.tap(boss, "stains treated")
		o.tap(mia, "Yes, go ahead")
		if q := o.enquiry(mia).Quote; !slices.Contains(q.Tasks, "stains-out") || q.Likely != was.Likely || q.High != was.High {
			t.Errorf("%q: %q at %d to %d", text, q.Tasks, q.Likely, q.High)
		}
	}
	for _, text := range []string{"scratch on the left door", "stain on the roof lining was there"} {
		o := start.fork()
		o.tap(boss, "‹ Back")
		o.say(boss, text)
		if e := o.enquiry(mia); e.Seen != nil || len(e.Extra) > 0 {
			t.Errorf("%q: %q", text, o.lastTo(boss).Text)
		}
	}
}

// An extra costs on the day what the list of what is left out said it would add, though each
// price is rounded by itself.
func TestAnExtraCostsWhatWasSaid(t *testing.T) {
	for _, budget := range []string{"", "70"} {
		o := newOffice(t, talk(t))
		o.say(mia, "VW Golf estate, inside. Dog hair, coffee stain")
		o.tap(mia, "At the workshop")
		o.say(mia, "2")
		o.tap(mia, "Just the price")
		if budget != "" {
			o.say(mia, budget)
		}
		o.tap(mia, "Find a day", "Nothing like that", "No photo", "Thu", "Yes, ask for it")
		o.tap(boss, "Yes, book it")
		o.until(o.enquiry(mia).Slot.Start)
		o.tap(boss, "Start work", "Add an extra")
		compared := 0
		for _, line := range o.enquiry(mia).Quote.Out {
			words, sum, ok := strings.Cut(strings.ToLower(line), " (would add about ")
			if !ok {
				continue
			}
			for _, row := range o.lastTo(boss).Choices {
				if at, adds, _ := strings.Cut(row[0].Label, " +"); strings.HasPrefix(words, strings.TrimSuffix(at, "…")) {
					compared++
					if adds != strings.TrimSuffix(sum, ")") {
						t.Errorf("with %q: said %q, now %q", budget, line, row[0].Label)
					}
				}
			}
		}
		if compared < 3 {
			t.Errorf("with %q only %d of %q could be compared with %v", budget, compared, o.enquiry(mia).Quote.Out, o.lastTo(boss).Choices)
		}
	}
}

// Whoever has said yes to more hears when the car will be ready with it.
func TestAnExtraSaysWhenItIsReady(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Skoda Octavia estate", "Outside", "Inside")
	o.tap(boss, "Start work", "Add an extra")
	o.tap(boss, o.lastTo(boss).Choices[0][0].Label)
	o.tap(mia, "Yes, go ahead")
	said := o.lastTo(mia).Text
	o.say(mia, "when will it be ready?")
	for _, m := range []string{said, o.lastTo(mia).Text} {
		_, at, ok := strings.Cut(m, "by about ")
		if !ok || !strings.Contains(said, "ready by about "+at[:5]) {
			t.Errorf("she reads %q, then %q", said, m)
		}
	}
}
