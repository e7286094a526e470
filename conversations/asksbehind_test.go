package conversations_test

import (
	"slices"
	"strings"
	"testing"
)

// An answer and a question in one message: the answer counts and the question is answered, or
// the boss hears of it and they hear that he does, at every question of the form.
func TestAnAnswerAndAQuestion(t *testing.T) {
	home := []string{"Ford Fiesta", "inside and outside", "at home", "driveway", "tap only", "drain by the house", "about 7 miles"}
	here := []string{"Ford Fiesta", "inside and outside", "at the workshop"}
	priced := slices.Concat(home, []string{"just the price"})
	held := slices.Concat(priced, []string{"find a day", "nothing like that", "no photo", "the first one"})
	stages := []struct {
		before         []string
		asked          string
		answers, taken string
	}{
		{home[:1], "wants", "inside and outside", "exterior,interior"},
		{home[:2], "site", "at home", "theirs"},
		{home[:3], "surface", "driveway", "driveway"},
		{home[:4], "services", "there's an outside tap", "tap"},
		{home[:5], "drain", "drain by the house", "foul"},
		{home[:6], "miles", "about 7 miles", "7"},
		{here, "cond-interior", "2", "2"},
		{here, "cond-interior", "crumbs and sand", "2"},
		{slices.Concat(here, []string{"just the price", "fit it to my money"}), "budget", "90", "90"},
		{priced, "quote", "yes please", "done"},
		{priced[:len(priced):len(priced)], "budget", "100", "100"},
		{held[:len(held)-3], "hazards", "nothing like that", "done"},
		{held[:len(held)-2], "photo", "no photo", "skip"},
		{held[:len(held)-1], "slot", "the first one", ""},
		{held, "address", "14 Fleet Road", "said"},
		{append(held, "14 Fleet Road"), "consent", "yes please", "yes"},
	}
	asks := []struct{ text, before, after string }{
		{"How long does it take?", "how long it takes", "It takes"},
		{"what do you use on the seats?", "passed it on", "passed it on"},
		{"do you take card?", "passed that on|passed it on", "passed that on|passed it on"},
	}
	says := func(text, any string) bool {
		return slices.ContainsFunc(strings.Split(any, "|"), func(w string) bool { return strings.Contains(text, w) })
	}
	tk := talk(t)
	for _, s := range stages {
		o := newOffice(t, tk)
		o.say(mia, s.before...)
		was := o.enquiry(mia)
		for _, a := range asks {
			for _, said := range []string{s.answers + ". " + a.text, s.answers + ", " + strings.TrimSuffix(a.text, "?"), a.text + " " + s.answers} {
				f := o.fork()
				f.say(mia, said)
				e, got := f.enquiry(mia), f.lastTo(mia).Text
				if answer := strings.Join(e.Answers[s.asked], ","); s.taken != "" && answer != s.taken || s.taken == "" && len(e.Answers[s.asked]) == 0 {
					t.Errorf("%q at %s: answered %q", said, was.At, answer)
				}
				if want := a.before; !says(got, want) && !says(got, a.after) && e.At != "quote" {
					t.Errorf("%q at %s: they read\n%s", said, was.At, got)
				}
			}
		}
	}
}

// What only the boss can answer before the work or a time is chosen goes to him, and says
// nothing else: the evening before is no time they would like, and money off for two cars no
// figure to stay under.
func TestQuestionsThatAreTheBosss(t *testing.T) {
	car, priced := []string{"Ford Fiesta"}, []string{"Ford Fiesta", "inside and outside", "at the workshop", "just the price"}
	for _, c := range []struct {
		before   []string
		says, at string
		reads    string
	}{
		{car, "Can I drop it the night before?", "wants", "At the workshop, right"},
		{car, "can I collect it late?", "wants", "one for the boss"},
		{car, "inside and outside. can I leave it overnight", "site", "✓ Outside, Inside"},
		{priced, "can I drop it the evening before?", "quote", "one for the boss"},
		{priced, "ok. can i drop it the evening before", "hazards", "✓ Find a day"},
		{append(priced, "ok"), "nothing like that. can I collect it the next morning?", "photo", "✓ Nothing like that"},
		{car, "any discount for two cars", "wants", "One car at a time"},
		{car, "inside and outside, any discount for two cars", "site", "✓ Outside, Inside"},
		{priced, "any discount for two cars", "quote", "One car at a time"},
		{priced, "got 2 cars, do I get money off?", "quote", "One car at a time"},
		{priced, "yes please. any discount if I bring a second car?", "hazards", "✓ Find a day"},
	} {
		o := newOffice(t, talk(t))
		o.say(mia, c.before...)
		told := ""
		for _, m := range o.say(mia, c.says) {
			if m.Chat == boss {
				told += m.Text
			}
		}
		e, got := o.enquiry(mia), o.lastTo(mia).Text
		if e.At != c.at || !strings.Contains(got, c.reads) || !strings.Contains(got, "one for the boss") || !strings.Contains(told, c.says) || len(e.Times)+len(e.Answers["budget"]) > 0 {
			t.Errorf("%q: now at %s, times %v, figure %v, the boss %q, they read\n%s", c.says, e.At, e.Times, e.Answers["budget"], told, got)
		}
	}
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta", "can I drop it off Thursday?")
	if got := o.lastTo(mia).Text; !strings.Contains(got, "Thursday") || !strings.Contains(got, "At the workshop") {
		t.Errorf("a day to bring it is not heard:\n%s", got)
	}
}
