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
