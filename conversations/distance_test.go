package conversations_test

import (
	"strings"
	"testing"
)

// How far somebody says they are, at the question and past it.
func TestDistanceSaid(t *testing.T) {
	tk := talk(t)
	for _, c := range []struct {
		before, text, miles, says string
		budget                    bool
	}{
		{"", "about 10 mile", "10", "bout 10 miles", false},
		{"", "roughly 30", "30", "", false},
		{"", "8-15", "12", "8 to 15 miles", false},
		{"", "over 25", "", "How many miles is it, roughly?", false},
		{"", "20 minutes away", "", "", false},
		{"about 10 mile", "8 to 15", "10", "We've got that", false},
		{"under 8", "8 to 15", "12", "8 to 15 miles, right", false},
		{"under 8", "its 10 miles not 8", "10", "bout 10 miles, right", false},
		{"8 to 15 miles", "its 10 miles not 8", "12", "We've got that", false},
		{"under 8", "has done 90 miles a day", "5", "", false},
	} {
		t.Run(c.before+"/"+c.text, func(t *testing.T) {
			o := newOffice(t, tk)
			o.say(mia, "Ford Fiesta", "inside", "at home", "driveway", "tap and socket", "gravel")
			if c.before != "" {
				o.say(mia, c.before)
			}
			o.say(mia, c.text)
			e := o.enquiry(mia)
			if got := strings.Join(e.Answers["miles"], " "); got != c.miles {
				t.Errorf("%q miles, want %q", got, c.miles)
			}
			if said := o.lastTo(mia).Text; !strings.Contains(said, c.says) {
				t.Errorf("said %q, want %q in it", said, c.says)
			}
			if e.Answers["budget"] != nil {
				t.Errorf("read as money: %q", e.Answers["budget"])
			}
		})
	}
}

// A correction counts at the summary as well: the price is made anew.
func TestDistanceCorrectedAtTheSummary(t *testing.T) {
	o := newOffice(t, talk(t))
	o.atAddress(mia)
	o.say(mia, "14 Larch Close")
	o.tap(mia, "No, thank you")
	if o.say(mia, "its 18 miles not 8"); o.enquiry(mia).Answers["miles"][0] != "18" || o.enquiry(mia).At != "quote" {
		t.Errorf("%+v", o.lastTo(mia).Text)
	}
}

// Places nobody has told us of: whether we come there is the boss's to say, and that
// somebody is in one is kept for him and answers nothing else.
func TestPlacesWeDoNotKnow(t *testing.T) {
	tk := talk(t)
	begun := func(t *testing.T) *office {
		o := newOffice(t, tk)
		o.say(mia, "Ford Fiesta", "inside", "at home", "driveway", "tap and socket", "gravel", "under 8")
		return o
	}
	for text, rest := range map[string]string{
		"no idea what Calderwick is. im in fenwell": "",
		"3. Im in Fenwell by the way":               "3",
		"3, i live in Harrow Vale":                  "3",
	} {
		o := begun(t)
		at := o.enquiry(mia).At
		o.say(mia, text)
		if e := o.enquiry(mia); strings.Join(e.Answers[at], "") != rest || len(e.Noted) != 1 {
			t.Errorf("%q: answered %q, noted %q", text, e.Answers[at], e.Noted)
		}
	}
	for text, passed := range map[string]bool{
		"do you come to harrow vale?":    true,
		"not sure. do you cover Fenwell": true,
	} {
		o := newOffice(t, tk)
		o.say(mia, "Ford Fiesta", "inside", "at home")
		n := len(o.said)
		o.say(mia, text)
		if got := o.heard(boss, n, "asks: "+text); got != passed {
			t.Errorf("%q: passed on %v, want %v; %q", text, got, passed, o.lastTo(mia).Text)
		}
	}
	for _, text := range []string{"do you come to peoples houses?", "do you come to us then", "im in a hurry, do you come to me"} {
		o := newOffice(t, tk)
		o.say(mia, "Ford Fiesta", "inside")
		n := len(o.said)
		if o.say(mia, text); o.heard(boss, n, "asks: ") || len(o.enquiry(mia).Noted) > 0 {
			t.Errorf("%q names no place: %+v", text, o.said[n:])
		}
	}
}
