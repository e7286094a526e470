package conversations_test

import (
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations"
	"example.org/dryhand/pricing"
	"github.com/google/go-cmp/cmp"
)

// layer is what was set from the chat.
func (o *office) layer() pricing.Layer { return read[pricing.Layer](o, conversations.LayerKey) }

func (o *office) told(t *testing.T, who string, parts ...string) {
	t.Helper()
	for _, p := range parts {
		if got := o.lastTo(boss).Text; !strings.Contains(got, p) {
			t.Errorf("%s: told %q, want %q in it", who, got, p)
		}
	}
}

// What the owner writes is read, said back, counts from the next price on, and can
// be taken back; who has a price already keeps it.
func TestSettingTheRate(t *testing.T) {
	o := newOffice(t, talk(t))
	o.priced(mia, "Ford Fiesta")
	was := o.enquiry(mia).Quote
	o.say(boss, "rate 80")
	o.told(t, "rate 80", "Rate: £80 an hour", "£40 an hour")
	if l := o.layer(); l.Version != 1 || *l.Rate != 8000 {
		t.Fatalf("kept %+v", l)
	}
	o.priced(zoe, "Ford Fiesta")
	is := o.enquiry(zoe).Quote
	if is.Likely < was.Likely*3/2 || is.Rules != was.Rules+"+1" {
		t.Errorf("£%d by %s, then £%d by %s", was.Likely/100, was.Rules, is.Likely/100, is.Rules)
	}
	o.say(mia, "start")
	if got := o.enquiry(mia).Quote; got.Likely != was.Likely {
		t.Errorf("the price named before went from %d to %d", was.Likely, got.Likely)
	}
	o.tap(boss, "Undo")
	o.told(t, "undo", "Taken back: Rate")
	if l := o.layer(); l.Version != 2 || l.Rate != nil {
		t.Errorf("after undo %+v", l)
	}
	o.tap(boss, "Undo") // of the undoing
	if l := o.layer(); l.Version != 3 || l.Rate == nil || *l.Rate != 8000 {
		t.Errorf("after undoing that %+v", l)
	}
	past := read[conversations.Layers](o, "settings:past")
	if len(past.Changes) != 3 || past.Changes[0].By != "Boss" || !past.Changes[0].At.Equal(monday) {
		t.Errorf("remembered %+v", past)
	}
}

// Everything that can be set, in the words somebody may write it in.
func TestWordsOfSettings(t *testing.T) {
	tk := talk(t)
	for text, want := range map[string]string{
		"rate £42.50 an hour":       "£42.50 an hour",
		"Rate: 42":                  "Rate: £42 an hour",
		"skilled rate 60":           "Skilled rate: £60 an hour",
		"minimum 75":                "Minimum: £75",
		"notice 3 days":             "Notice: 72 hours",
		"notice 36":                 "Notice: 36 hours",
		"radius 15 miles":           "How far: 15 miles",
		"free miles 5":              "Free miles: 5",
		"hours sat 9-1, sun 10-2":   "", // two days with different hours are asked for apart
		"hours sat 8-12":            "Sat 08:00–12:00",
		"hours mon-fri 8:30-12,1-5": "Mon–Fri 08:30–12:00 + 13:00–17:00",
		"hours weekdays 7am to 3pm": "Mon–Fri 07:00–15:00, Sat 09:00–13:00",
		"hours saturday off":        "Hours: Mon–Fri 09:00–17:00 from",
		"hours sunday 10:00-16:00":  "Sun 10:00–16:00",
		"hours Fri 12 to 8":         "Fri 12:00–20:00",
		"hours sat 13-9":            "Sat 13:00–21:00",
	} {
		o := newOffice(t, tk)
		o.say(boss, text)
		got := o.lastTo(boss).Text
		if want == "" {
			if o.layer().Version != 0 || !strings.Contains(got, "We can't read") {
				t.Errorf("%q: %q", text, got)
			}
			continue
		}
		if o.layer().Version != 1 || !strings.Contains(got, want) {
			t.Errorf("%q: %q, want %q in it", text, got, want)
		}
	}
}

// What an owner who reads Polish is told that he can write is understood as well: days,
// hours and lengths in his own words, and days as the desk shortens them itself.
func TestWordsOfTheOwnersDayInPolish(t *testing.T) {
	o := newOffice(t, inLanguages(t, talk(t)))
	o.say(boss, "po polsku")
	for text, want := range map[string]string{
		"godziny sob 9-12":                                       "sob. 09:00–12:00",
		"godziny pon-pt 8:30-12, 13-17":                          "pon.–pt. 08:30–12:00 + 13:00–17:00",
		"godziny sobota zamknięte":                               "odtąd pon.–pt. 09:00–17:00;",
		"wyprzedzenie 3 dni":                                     "odtąd 72 godziny",
		"wolne od 3 do 28 maja":                                  "Masz wolne: pon. 3 maj do pt. 28 maj.",
		"wolne od 28 kwietnia do 3 maja":                         "Masz wolne: śr. 28 kwi do pon. 3 maj.",
		"wolne pt. 16 kwi od 14":                                 "Masz wolne: pt. 16 kwi, od 14:00.",
		"od wtorku do czwartku mam urlop":                        "Masz wolne: wt. 13 kwi do czw. 15 kwi.",
		"pracuję niedz. 18 kwi":                                  "Pracujesz: niedz. 18 kwi",
		"pracuję w piątek":                                       "napisz „wolne pt. 16 kwi od 14”",
		"golf kombi, w środku i na zewnątrz, zajęło mi 5 godzin": "u Ciebie 5 godzin",
		"golf kombi, mycie, trwało 2 i pół godziny":              "u Ciebie 2 godz. 30 min",
		"golf kombi, mycie, zajęło mi półtorej godziny":          "u Ciebie 90 min",
		"golf kombi, zajęło mi sporo":                            "Opisz zlecenie w jednej linijce",
	} {
		f := o.fork()
		f.say(boss, text)
		if m := f.lastTo(boss); !strings.Contains(m.Text, want) {
			t.Errorf("%q is answered with %q, want %q in it", text, m.Text, want)
		}
	}
}

// What makes no sense changes nothing, and says why.
func TestWrongSettings(t *testing.T) {
	tk := talk(t)
	for text, want := range map[string]string{
		"rate 0":               "must be between 1 and 1000",
		"rate lots":            "We can't read",
		"minimum 1000000":      "must be between",
		"notice 9999":          "must be between 0 and 1000",
		"hours mon 9-12, 11-3": "without overlapping",
		"hours mon 9":          "We can't read",
		"hours whenever":       "We can't read",
		"radius far":           "We can't read",
		"rate 42; DROP TABLE":  "We can't read",
		"skilled rate £-5":     "We can't read",
		"free miles 1e9":       "We can't read",
	} {
		o := newOffice(t, tk)
		o.say(boss, text)
		if got := o.lastTo(boss).Text; !strings.Contains(got, want) {
			t.Errorf("%q: %q, want %q in it", text, got, want)
		}
		if l := o.layer(); l.Version != 0 {
			t.Errorf("%q changed %+v", text, l)
		}
	}
}

// The same by buttons; a word that is something else is that.
func TestSettingByButtons(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(boss, "settings")
	o.told(t, "settings", "All as in the rules file", "Rate: £40 an hour")
	o.tap(boss, "Minimum")
	o.say(boss, "today")
	if o.layer().Version != 0 {
		t.Error("today was taken for a minimum")
	}
	o.say(boss, "85")
	o.told(t, "85", "Minimum: £85")
	o.tap(boss, "What is set", "Protections", "hand wax")
	if l := o.layer(); !cmp.Equal(l.Unused, []string{"wax"}) {
		t.Errorf("not in use: %v", l.Unused)
	}
	o.say(boss, "what is set")
	o.told(t, "what is set", "Minimum: £85 (the file says £60)", "Version 2", "Boss")
	o.say(boss, "changes")
	o.told(t, "changes", "1 – Mon 12 Apr, 12:00, Boss: Minimum: £85, was £60", "Not offered from now on: hand wax")
	o.tap(boss, "Back to the file")
	if l := o.layer(); l.Version != 3 || l.Minimum != nil || l.Unused != nil {
		t.Errorf("back to the file: %+v", l)
	}
}

// An old button of undoing does not undo what came after.
func TestUndoOnlyTheLast(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(boss, "rate 42")
	old := o.button(boss, "Undo")
	o.say(boss, "minimum 70")
	o.event(boss, old)
	if l := o.layer(); l.Version != 2 || l.Rate == nil || l.Minimum == nil {
		t.Errorf("after an old press: %+v", l)
	}
	o.told(t, "old press", "nothing to take back")
}

// Nobody but the owner sets anything.
func TestOnlyTheOwnerSets(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(boss, "rate 42")
	undo := o.button(boss, "Undo")
	for _, text := range []string{"rate 1", "hours sun 0-24", "undo", "what is set", "golf, inside, took me 5 hours"} {
		o.say(zoe, text)
	}
	o.event(zoe, undo)
	if l := o.layer(); l.Version != 1 || *l.Rate != 4200 {
		t.Errorf("a customer changed it to %+v", l)
	}
	if _, there := o.docs["learned"]; there {
		t.Error("a customer has taught us")
	}
}

// A file that is read anew keeps what was set over it.
func TestAnotherFileKeepsTheLayer(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(boss, "rate 80", "hours sun 10-12")
	src := strings.Replace(string(pricing.DefaultYAML()), "minimum: £60", "minimum: £90", 1)
	rules, err := pricing.ParseRules("rules.yaml", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	o.talk.Rules = rules
	o.say(boss, "what is set")
	o.told(t, "another file", "Rate: £80 an hour (the file says £40 an hour)", "Minimum: £90\n", "Sun 10:00–12:00")
}

// Longer days give more times, from the next offer on; a day off gives none.
func TestHoursReachTheDiary(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(boss, "hours mon-fri off", "hours sun 10-16")
	o.priced(mia, "Ford Fiesta")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	for _, row := range o.lastTo(mia).Choices {
		for _, c := range row {
			if at, err := time.Parse("Mon 2 Jan, 15:04", c.Label); err == nil && !strings.HasPrefix(c.Label, "Sat") && !strings.HasPrefix(c.Label, "Sun") {
				t.Errorf("offered %s (%s)", c.Label, at)
			}
		}
	}
	if first := o.lastTo(mia).Choices[0][0].Label; !strings.HasPrefix(first, "Sat") && !strings.HasPrefix(first, "Sun") {
		t.Errorf("the first time offered is %q", first)
	}
}
