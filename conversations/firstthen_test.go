package conversations_test

import (
	"strings"
	"testing"
)

// Whoever answers and goes on has answered, and the rest is heard: taken, answered, put to
// the boss or kept for him. A number that is of something else is no answer. The phrases
// are of people who tried the desk, and common usage.
func TestAnAnswerAndMore(t *testing.T) {
	tk := talk(t)
	const outside, inside = "ford fiesta, just the outside, I'll bring it", "ford fiesta, just the inside, I'll bring it"
	for _, c := range []struct {
		begins, says string
		// stays: the question is still open; answers are "question=answer"; hears is said to
		// them, boss what the owner is told, noted what is kept for him.
		stays                       bool
		answers, hears, boss, noted string
	}{
		{outside, "2. actually do the inside as well", false, "cond-paintwork=2 wants=exterior,interior", "Inside and out, right", "", ""},
		{inside, "2 like i said", false, "cond-interior=2", "✓ 2", "", ""},
		{inside, "1, it's clean", false, "cond-interior=1", "✓ 1", "", ""},
		{inside, "mud and plaster dust everywhere, 4", false, "cond-interior=4", "✓ 4", "", "mud and plaster dust everywhere"},
		{inside, "4 it reeks", false, "cond-interior=4 cond-smell=3", "Reeks, right", "", ""},
		{inside, "2. also will it get rid of cracks in the leather", false, "cond-interior=2", "one for the boss", "will it get rid of cracks", ""},
		{inside, "so a 3 then, my lad had his mates in it", false, "cond-interior=3", "✓ 3", "", "my lad had his mates"},
		{inside, "2 dogs and a cat", false, "cond-interior=", "How much hair", "", ""},
		{inside, "not a 3", true, "cond-interior=", "nearest", "", ""},
		{"ford fiesta, just the inside", "workshop. how long does it take?", false, "site=own", "how long it takes", "", ""},
		{"ford fiesta, just the inside", "workshop, is there a waiting room", false, "site=own", "one for the boss", "is there a waiting room", ""},
		// The nearest description is said back.
		{outside, "its got mud up the sides", false, "cond-paintwork=3", `nearest to 3, "A brown film`, "", "its got mud up the sides"},
		{inside, "its filthy, builders van", false, "cond-interior=3", "nearest to 3", "", ""},
		{inside, "Some crumbs and a bit of sand from the beach", false, "cond-interior=2", "✓ 2", "", ""},
		{inside, "is the mud a problem?", true, "cond-interior=", "", "is the mud a problem", ""},
		{outside, "loads of hair", true, "cond-paintwork=", "Hair, right", "", ""},
	} {
		o := newOffice(t, tk)
		o.say(mia, c.begins)
		at := o.enquiry(mia).At
		sent := o.say(mia, c.says)
		e := o.enquiry(mia)
		if (e.At == at) != c.stays {
			t.Errorf("%q at %s: now at %s", c.says, at, e.At)
		}
		for _, a := range strings.Fields(c.answers) {
			if q, want, _ := strings.Cut(a, "="); strings.Join(e.Answers[q], ",") != want {
				t.Errorf("%q: %s is %q, want %q", c.says, q, e.Answers[q], want)
			}
		}
		var told string
		for _, m := range sent {
			if m.Chat == boss {
				told += m.Text
			}
		}
		if !strings.Contains(o.lastTo(mia).Text, c.hears) || !strings.Contains(told, c.boss) || c.boss == "" && told != "" || !strings.Contains(strings.Join(e.Noted, "|"), c.noted) {
			t.Errorf("%q: they read\n%s\nthe boss %q, noted %q", c.says, o.lastTo(mia).Text, told, e.Noted)
		}
	}
}

// A no that goes on is a no, unless what follows takes it back.
func TestANoThatGoesOn(t *testing.T) {
	tk := talk(t)
	for says, at := range map[string]string{
		"no. is it ok if theres a child seat":   "photo",
		"no, my dad had it before":              "photo",
		"no, but there were mice in it one day": "quote", // which costs more
	} {
		o := newOffice(t, tk)
		o.say(mia, "ford fiesta, inside and out, I'll bring it to you", "just the price", "find a day")
		if e := o.enquiry(mia); e.At != "hazards" {
			t.Fatalf("at %s", e.At)
		}
		o.say(mia, says)
		if e := o.enquiry(mia); e.At != at {
			t.Errorf("%q leads to %s, told %v", says, e.At, e.Told)
		}
	}
}

// A number with a stop behind it is the answer, whatever else the rest tells of.
func TestANumberAloneIsTheAnswer(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Skoda Octavia estate, inside only, i'll bring it, 3 kids and a labrador have been in it for 4 years", "3")
	for n := 0; n < 6 && !strings.Contains(o.lastTo(mia).Text, "meets your nose"); n++ {
		o.say(mia, "1")
	}
	o.say(mia, "3, sour milk mostly")
	if got := o.enquiry(mia).Answers["cond-smell"]; len(got) != 1 || got[0] != "3" || strings.Contains(o.lastTo(mia).Text, "meets your nose") {
		t.Errorf("answered %v: %q", got, o.lastTo(mia).Text)
	}
}

// What they call their own is theirs when it is said back.
func TestTheirOwnIsSaidBackAsTheirs(t *testing.T) {
	for says, want := range map[string]string{
		"Ford Fiesta, a wash please before my nieces wedding": "before your nieces wedding",
		"my nieces car": "your nieces car",
	} {
		o := newOffice(t, talk(t))
		o.say(mia, "hello")
		o.say(mia, says)
		if got := o.lastTo(mia).Text; strings.Contains(got, "my nieces") || strings.Contains(got, "nieces") && !strings.Contains(got, want) {
			t.Errorf("%q said back as %q", says, got)
		}
	}
}
