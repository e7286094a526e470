package conversations_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/wording"
)

// Two questions there are not: one of the car, one of the place.
var (
	colour = conversations.MadeUp{ID: "colour", Before: "wants", RestsOn: "vehicle", Text: "What colour is it?", Options: []string{"Pale", "Dark", "Two-tone"},
		ForNow: "Dark", Label: wording.LabelTrim}
	slope = conversations.MadeUp{ID: "slope", Before: "miles", RestsOn: "site", Text: "Is it level there?", Options: []string{"Level", "Sloping"},
		ForNow: "Level", Label: wording.LabelGlass, OfPlace: true}
)

// A question that is one entry of the form can be answered in all the ways there are, gone
// back over, changed by name, and goes along when the car comes again.
func TestAQuestionIsOneEntryOfTheForm(t *testing.T) {
	conversations.WithQuestions(t, colour, slope)
	for says, want := range map[string]string{
		"dark": "Dark", "2": "Dark", "the last one": "Two-tone", "it's a pale one": "Pale", "dark. it has a dent in the door": "Dark", "no idea": "Dark",
	} {
		o := newOffice(t, talk(t))
		o.say(mia, "Ford Fiesta")
		o.say(mia, says)
		e := o.enquiry(mia)
		if got := strings.Join(e.Answers["colour"], ","); got != want || e.At != "wants" {
			t.Errorf("%q answers with %q and leads to %s, want %q\n%s", says, got, e.At, want, o.lastTo(mia).Text)
		}
		if got := slices.Contains(e.Unsure, "colour"); got != (says == "no idea") {
			t.Errorf("%q: unsure %v", says, got)
		}
	}

	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta")
	old := o.button(mia, "Pale")
	o.say(mia, "dark", "back")
	if e := o.enquiry(mia); e.At != "colour" || len(e.Answers["colour"]) > 0 {
		t.Errorf("one back is %q, still answered %q", e.At, e.Answers["colour"])
	}
	o.say(mia, "two-tone")
	if o.event(mia, old); o.enquiry(mia).Answers["colour"][0] != "Two-tone" {
		t.Error("a stale button counts")
	}
	o.say(mia, "inside", "your place")
	o.say(mia, "change an answer", "trim")
	if e := o.enquiry(mia); e.At != "colour" {
		t.Errorf("changed by name, %q is asked:\n%s", e.At, o.lastTo(mia).Text)
	}
	o.say(mia, "pale", "change an answer", "car")
	if e := o.enquiry(mia); len(e.Answers["colour"]) > 0 {
		t.Errorf("another car, and it is still %q", e.Answers["colour"])
	}
}

// What is asked of the customer's place is told with it, goes along to the next visit
// there, and goes when the car is brought to us instead.
func TestAQuestionOfThePlaceGoesWithThePlace(t *testing.T) {
	conversations.WithQuestions(t, colour, slope)
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta", "dark", "outside", "at home", "driveway", "tap and socket", "soil", "level", "10 miles", "just the price")
	o.say(mia, "yes", "nothing like that", "no photo")
	o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
	o.say(mia, "14 Mill Lane, Wymondham", "yes")
	e := o.enquiry(mia)
	if got := e.Answers["slope"]; !slices.Equal(got, []string{"Level"}) || e.At != "confirm" {
		t.Fatalf("level there: %q, asked %s:\n%s", got, e.At, o.lastTo(mia).Text)
	}
	again := conversations.ComesAgain(e)
	want := map[string]string{"vehicle": "Ford Fiesta", "colour": "Dark", "site": "theirs", "surface": "driveway", "slope": "Level", "consent": "yes", "hazards": "done", "photo": "skip"}
	for q, a := range want {
		if got := strings.Join(again[q], ","); got != a {
			t.Errorf("when the car comes again, %s is %q, want %q", q, got, a)
		}
	}
	for _, q := range []string{"wants", "quote", "slot", "confirm"} {
		if a, ok := again[q]; ok {
			t.Errorf("when the car comes again, %s is still %q", q, a)
		}
	}

	changed := o.fork()
	changed.say(mia, "change an answer")
	if said := changed.lastTo(mia).Text; !strings.Contains(said, "Water and power: Tap and socket") || !strings.Contains(said, "Where: At home or work, Glass\n") {
		t.Errorf("the place is told back as\n%s", said)
	}
	changed.say(mia, "where")
	if left := changed.enquiry(mia).Answers; len(left["slope"]) > 0 || len(left["surface"])*len(left["colour"]) == 0 {
		t.Errorf("where is changed, and there is left %q", left)
	}

	o.say(mia, "yes")
	o.tap(boss, "No")
	o.tap(boss, "Too far")
	if left := o.enquiry(mia).Answers; len(left["slope"])+len(left["surface"]) > 0 || left["site"][0] != "own" || len(left["colour"]) == 0 {
		t.Errorf("it is brought to us, and of the other place is left %q", left)
	}
}
