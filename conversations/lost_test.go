package conversations_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/conversations/wording"
)

// Whoever cannot say, or names an answer by its place, with a yes or with a sign, is led
// on; nobody is asked the same question twice for it. The phrases are common usage, no
// source.
func TestAnAnswerInOtherWordsLeadsOn(t *testing.T) {
	price := []string{"Ford Fiesta", "inside", "your place", "just the price"}
	days := append(slices.Clone(price), "yes", "no", "no photo")
	reminders := []string{"Ford Fiesta", "outside", "your place", "just the price", "yes", "no", "no photo", "first"}
	for _, c := range []struct {
		before []string
		says   string
		at     string // the question that is left behind
		answer string // empty: it stays
		unsure bool
	}{
		{[]string{"golf, inside"}, "not sure", "which", "b", true}, // the estate is the longest
		{[]string{"golf, inside"}, "dunno mate", "which", "b", true},
		{[]string{"golf, inside"}, "the second one", "which", "b", false},
		{[]string{"golf, inside"}, "2nd", "which", "b", false},
		{[]string{"golf, inside"}, "2", "which", "b", false},
		{[]string{"golf, inside"}, "the top one", "which", "a", false},
		{[]string{"golf, inside"}, "last one", "which", "c", false},
		{[]string{"golf, inside"}, "🤷‍♀️", "which", "b", true},
		{[]string{"hello"}, "I'm not sure", "vehicle", "car", true},
		{[]string{"Ford Fiesta"}, "not sure really", "wants", "exterior,interior", true},
		{[]string{"Ford Fiesta", "inside"}, "no idea", "site", "own", true},
		{[]string{"Ford Fiesta", "inside"}, "I do not know", "site", "own", true},
		{[]string{"Ford Fiesta", "inside"}, "don't mind", "site", "own", true},
		{[]string{"Ford Fiesta", "inside"}, "1st one pls", "site", "own", false},
		{[]string{"Ford Fiesta", "inside"}, "second", "site", "theirs", false},
		{[]string{"Ford Fiesta", "inside"}, "🏠", "site", "theirs", false},
		{[]string{"Ford Fiesta", "inside"}, "my yard", "site", "theirs", false},
		{[]string{"Ford Fiesta", "inside", "at mine"}, "not sure", "surface", "driveway", true},
		{[]string{"Ford Fiesta", "inside", "at mine"}, "no, garage", "surface", "garage", false},
		{[]string{"Ford Fiesta", "inside", "at mine"}, "no garage, just the street", "surface", "street", false},
		{[]string{"Ford Fiesta", "inside", "at mine"}, "concrete", "surface", "driveway", false},
		{[]string{"Ford Fiesta", "inside", "at mine", "driveway"}, "yep", "services", "both", false},
		{[]string{"Ford Fiesta", "inside", "at mine", "driveway"}, "nope", "services", "neither", false},
		{[]string{"Ford Fiesta", "inside", "at mine", "driveway"}, "theres a hose no electric", "services", "tap", false},
		{[]string{"Ford Fiesta", "inside", "at mine", "driveway"}, "no water, but a socket", "services", "socket", false},
		{[]string{"Ford Fiesta", "inside", "at mine", "driveway"}, "not sure", "services", "neither", true},
		{[]string{"Ford Fiesta", "outside", "at mine", "driveway", "yes"}, "dont know", "drain", "unknown", false},
		{[]string{"Ford Fiesta", "inside", "at mine", "driveway", "yes", "gravel"}, "no idea", "miles", "12", true},
		{[]string{"Ford Fiesta", "inside", "your place"}, "skip", "cond-interior", "unsure", true},
		{[]string{"Ford Fiesta", "inside", "your place"}, "I am not sure how dirty it is, I have not seen it", "cond-interior", "unsure", true},
		{[]string{"Ford Fiesta", "inside", "your place"}, "the 1st", "cond-interior", "1", false},
		{price, "yep go on then", "quote", "done", false},
		{price, "👍", "quote", "done", false},
		{price, "hmm let me think", "quote", "", false},
		{price, "I'll have to ask my husband", "quote", "", false},
		{append(slices.Clone(price), "yes"), "not sure", "hazards", "done", true},
		{append(slices.Clone(price), "yes", "no"), "nothing", "photo", "skip", false},
		{append(slices.Clone(price), "yes", "no"), "👎", "photo", "skip", false},
		{days, "not sure yet", "slot", "", false},
		{days, "skip", "slot", "", false},
		{reminders, "yep", "consent", "yes", false},
		{reminders, "👍🏽", "consent", "yes", false},
		{reminders, "👎", "consent", "no", false},
		{reminders, "not sure", "consent", "no", false},
		{append(slices.Clone(days), "first"), "let me check with the wife", "confirm", "", false},
	} {
		o := newOffice(t, talk(t))
		o.say(mia, c.before...)
		if at := o.enquiry(mia).At; at != c.at {
			t.Errorf("%q leads to %q, not to %q:\n%s", c.before, at, c.at, o.lastTo(mia).Text)
			continue
		}
		o.say(mia, c.says)
		e, m := o.enquiry(mia), o.lastTo(mia)
		if got := strings.Join(e.Answers[c.at], ","); got != c.answer || o.puzzled(m) {
			t.Errorf("%q answers %s with %q, want %q:\n%s", c.says, c.at, got, c.answer, m.Text)
		}
		if got := slices.Contains(e.Unsure, c.at); got != c.unsure && c.answer != "unsure" {
			t.Errorf("%q at %s: unsure %v, want %v", c.says, c.at, got, c.unsure)
		}
		if c.answer == "" && !strings.Contains(m.Text, "No rush") && !strings.Contains(m.Text, "take your time") {
			t.Errorf("%q at %s: %s", c.says, c.at, m.Text)
		}
	}
}

// "Ok" to the photos, and "I'll have a think" to anything, are no riddles.
func TestWhoTakesTheirTimeIsLeftToIt(t *testing.T) {
	for says, before := range map[string][]string{
		"ok":                {"Ford Fiesta", "inside", "your place", "just the price", "yes", "no"},
		"i'll have a think": {"Ford Fiesta", "inside", "your place"},
	} {
		o := newOffice(t, talk(t))
		o.say(mia, before...)
		at := o.enquiry(mia).At
		o.say(mia, says)
		if m := o.lastTo(mia); !strings.HasPrefix(m.Text, "Right you are") || o.enquiry(mia).At != at {
			t.Errorf("%q at %s: %s", says, at, m.Text)
		}
	}
}

// Whenever suits: the first time there is.
func TestWheneverIsTheFirstTime(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta", "inside", "your place", "just the price", "yes", "no", "no photo")
	first := o.lastTo(mia).Choices[0][0].Label
	o.say(mia, "whenever suits you")
	if e := o.enquiry(mia); e.Slot == nil || !strings.Contains(o.lastTo(mia).Text, first) {
		t.Errorf("kept: %v\n%s", e.Slot, o.lastTo(mia).Text)
	}
}

// Nobody is asked about a reminder of what falls due of no work of theirs; if something
// is put on all the same, they are asked when it is done.
func TestNoReminderOfNothing(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Volvo V60", "outside", "your place", "just the price", "60", "yes", "no", "no photo", "first")
	if e := o.enquiry(mia); e.At != "confirm" {
		t.Fatalf("asked %q:\n%s", e.At, o.lastTo(mia).Text)
	}
	o.say(mia, "yes")
	o.tap(boss, "Yes, book it")
	o.until(o.enquiry(mia).Slot.Start)
	o.tap(boss, "Look over", "Start work", "Add an extra")
	for _, row := range o.lastTo(boss).Choices {
		if strings.Contains(row[0].Label, "ealant") {
			o.tap(boss, row[0].Label)
			break
		}
	}
	o.tap(mia, "Yes, go ahead")
	o.worked(mia)
	o.tap(boss, "Finish ›")
	o.say(boss, "80", "80")
	o.tap(boss, "That's all ›")
	asked := o.ofKind(mia, string(wording.AskConsent))
	if len(asked) != 1 {
		t.Fatalf("with a sealant on, asked %d times:\n%s", len(asked), o.lastTo(mia).Text)
	}
	o.tap(mia, "Yes, remind me")
	if e := o.enquiry(mia); e.Plan == nil {
		t.Error("no reminder is planned")
	}
}

// Signs that are no thanks are not taken for them, and anger neither.
func TestASignThatIsNoThanks(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta", "inside", "your place", "💩")
	if m := o.lastTo(mia); strings.Contains(m.Text, "welcome") {
		t.Errorf("%s", m.Text)
	}
	o.say(mia, "❤️")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "welcome") {
		t.Errorf("%s", m.Text)
	}
}

// The owner reads on his card what somebody was not sure of, and what they said that
// nobody understood; what was answered anew is sure again.
func TestTheOwnerReadsWhatIsUnsure(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "golf", "inside", "not sure", "I don't want him to know about this", "not sure", "just the price", "yes", "not sure", "no photo", "first", "yes")
	card := ""
	for _, m := range o.chat[boss] {
		card += m.Text + "\n"
	}
	for _, want := range []string{"Car: they weren't sure", "Where: they weren't sure", "To know of: they weren't sure", "They also wrote: I don't want him to know about this"} {
		if !strings.Contains(card, want) {
			t.Errorf("%q is not before the owner:\n%s", want, card)
		}
	}
	if strings.Contains(card, "You asked") {
		t.Errorf("the owner has asked nothing:\n%s", card)
	}
	o = newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta", "inside", "your place", "just the price", "yes", "not sure", "change")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "To know of: Not sure") {
		t.Errorf("reviewed: %s", m.Text)
	}
	o = newOffice(t, talk(t))
	o.say(mia, "golf", "not sure", "back", "the first one")
	if e := o.enquiry(mia); len(e.Unsure) > 0 || e.Car == nil {
		t.Errorf("answered anew, unsure of %q, car %v", e.Unsure, e.Car)
	}
}

// Whoever calls out is told that somebody is there, and where things stand, at any stage;
// with a person called, the call goes there too.
func TestCallingOut(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta", "inside")
	for _, says := range []string{"hello?", "are you there", "anyone there?", "??", "hi r u still there"} {
		f := o.fork()
		for _, m := range f.say(mia, says) {
			if m.Chat == boss {
				t.Errorf("%q fetches the boss: %s", says, m.Text)
			}
		}
		if m := f.lastTo(mia); !strings.HasPrefix(m.Text, "We're here.") || len(m.Choices) == 0 || f.enquiry(mia).At != "site" {
			t.Errorf("%q: %s", says, m.Text)
		}
	}
	o = newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.say(mia, "hello? anyone there")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "We're here. You're booked for") || o.chatOf(mia).Person {
		t.Errorf("booked: %s", m.Text)
	}
	o.say(mia, "person", "are you there?")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "The boss knows") {
		t.Errorf("with a person called: %s", m.Text)
	}
}

// Whoever wants a person hears once that what they write is on its way, and not again in
// the middle of what the owner and they are writing.
func TestWhatIsWrittenToAPersonIsOnItsWay(t *testing.T) {
	const way = "We've passed that on"
	o := newOffice(t, talk(t))
	o.say(mia, "can I talk to someone", "the boot smells of fish")
	if m := o.lastTo(mia); !strings.HasPrefix(m.Text, way) || strings.Contains(m.Text, "done") {
		t.Errorf("told: %s", m.Text)
	}
	for _, m := range o.say(mia, "since Sunday") {
		if m.Chat == mia {
			t.Errorf("told again: %s", m.Text)
		}
	}
	o = newOffice(t, talk(t))
	o.say(mia, "can I talk to someone")
	o.tap(boss, "Write to them")
	o.say(boss, "Of course, what is it?")
	for _, m := range o.say(mia, "the boot smells of fish") {
		if m.Chat == mia {
			t.Errorf("in the middle: %s", m.Text)
		}
	}
}
