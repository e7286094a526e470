package conversations_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/bot"
)

// What somebody tells before it is asked, or in words of their own, is taken or noted, is
// said back with what it was taken for, and is asked no second time.
func TestWhatIsToldInPlainWords(t *testing.T) {
	const car = "Ford Fiesta, inside and outside"
	home := []string{car, "at home", "driveway"}
	priced := []string{car, "at the workshop", "just the price"}
	held := slices.Concat(priced, []string{"find a day", "nothing", "no photo", "the first one"})
	for _, c := range []struct {
		before      []string
		said        string
		reads       string // what they read
		question    string
		answer      string // of that question, empty where it has none
		bossHears   bool
		bossIsNoted bool
	}{
		{[]string{car}, "no pets", "No pets, right", "cond-pet-hair", "1", false, false},
		{home, "no dogs in it and no stains", "So: no dogs in it; no stains.", "cond-stains", "1", false, false},
		{[]string{car}, "non smoker", "noted that", "", "", false, true},
		{[]string{car}, "2016", "noted that", "", "", false, true},
		{[]string{car}, "At our house please, there's a drive", "✓ At home or work", "surface", "driveway", false, false},
		{[]string{car}, "We live about five miles from you", "About 5 miles, right", "miles", "5", false, false},
		{home, "We've an outside tap and you can plug in in the garage", "✓ Tap and socket", "services", "both", false, false},
		{append(home, "tap only"), "No, there is a socket as well, in the garage", "Tap and socket, right", "services", "both", false, false},
		{append(home, "tap only"), "it goes onto the lawn", "✓ Gravel or soil", "drain", "soil", false, false},
		{append(home, "tap only", "don't know"), "We're about five miles away", "✓ Under 8 miles", "miles", "5", false, false},
		{[]string{car, "at the workshop"}, "only dust really", "nearest to 1, \"A little dust", "cond-interior", "1", false, true},
		{[]string{car, "at the workshop"}, "it's just dusty inside", "nearest to 1, \"A little dust", "wants", "exterior", false, true},
		{[]string{car, "at the workshop"}, "pretty bad", "nearest to 3", "cond-interior", "3", false, true},
		{[]string{car, "at the workshop"}, "full of hair, crumbs and a bit of dried mud in the footwells", "✓ 2 – Crumbs and sand", "cond-interior", "2", false, true},
		{[]string{car, "at the workshop"}, "Is that Thursday possible, after 2?", "Thursday; after 2", "", "", false, false},
		{[]string{car, "at the workshop"}, "hmm ok. and a polish? would be a nice touch", "Inside and out, Machine polish, right", "wants", "polish", false, false},
		{priced, "is sat ok", "Sat, right", "quote", "done", false, false},
		{priced, "is there anything cheaper?", "The least we'd do", "", "", false, false},
		{priced, "is a polish in it?", "Not as it stands: one round of machine polishing would add", "", "", false, false},
		{append(priced, "find a day", "nothing", "no photo"), "Is there anything earlier in the week? Tuesday maybe", "These would suit", "", "", false, false},
		{held, "yes, a reminder would be good", "✓ Yes, remind me", "consent", "yes", false, false},
		{held, "Actually Thursday is fine, the 2pm one", "We're keeping Thu ", "", "", false, false},
	} {
		o := newOffice(t, talk(t))
		for _, said := range c.before {
			o.say(mia, said)
		}
		got := o.say(mia, c.said)
		e := o.enquiry(mia)
		if !slices.ContainsFunc(got, func(m bot.Message) bool { return m.Chat == mia && strings.Contains(m.Text, c.reads) }) {
			t.Errorf("%q: she reads %q", c.said, o.lastTo(mia).Text)
		}
		if c.question != "" && !slices.Contains(e.Answers[c.question], c.answer) {
			t.Errorf("%q: %s is %v, want %s", c.said, c.question, e.Answers[c.question], c.answer)
		}
		if heard := slices.ContainsFunc(got, func(m bot.Message) bool { return m.Chat == boss }); heard != c.bossHears {
			t.Errorf("%q: the boss hears of it: %v", c.said, heard)
		}
		if noted := slices.ContainsFunc(e.Noted, func(n string) bool { return strings.Contains(n, c.said) }); noted != c.bossIsNoted {
			t.Errorf("%q: noted for him: %v, %q", c.said, noted, e.Noted)
		}
	}
	o := newOffice(t, talk(t))
	for _, said := range append(held, "Actually Thursday is fine, the 2pm one") {
		o.say(mia, said)
	}
	if e := o.enquiry(mia); len(e.Answers["consent"]) > 0 || e.Slot == nil || e.Slot.Start.Weekday().String() != "Thursday" {
		t.Errorf("another time is no yes to a reminder: %v, %v", e.Answers["consent"], e.Slot)
	}
}
