package conversations_test

import (
	"slices"
	"strings"
	"testing"
)

// Who tells of a dog that rides along is not asked whether one does, but how much hair
// there is; one step back takes it away again.
func TestAnAnimalRidesAlong(t *testing.T) {
	const whether, howMuch = "Does an animal ride along?", "How much hair is there in the car?"
	tk := talk(t)
	for _, says := range []string{
		"2 muddy labradors", "got a spaniel", "my dogs ride in it", "the dog's always in the back", "we have two dogs", "cockapoo on the back seat", "I carry the dogs",
	} {
		o := newOffice(t, tk)
		o.say(mia, "golf hatchback, inside only, at your place. "+says)
		if e, last := o.enquiry(mia), o.lastTo(mia).Text; e.At != "cond-pet-hair" || !strings.Contains(last, howMuch) || strings.Contains(last, whether) {
			t.Errorf("%q: at %s:\n%s", says, e.At, last)
		}
		none := o.fork()
		none.say(mia, "none")
		if got := none.enquiry(mia).Answers["cond-pet-hair"]; !slices.Equal(got, []string{"1"}) {
			t.Errorf("%q, none: %q", says, got)
		}
		o.say(mia, "back")
		if e := o.enquiry(mia); len(e.Tells) > 0 {
			t.Errorf("%q, taken back: %v", says, e.Tells)
		}
	}
	for says, grade := range map[string]string{
		"some dog hair": "2", "a bit of dog hair": "2", "fair bit of dog hair in the boot": "3", "quite a bit of dog hair": "3", "loads of labrador hair": "3",
	} {
		o := newOffice(t, tk)
		o.say(mia, "golf hatchback, inside only, at your place. "+says)
		if got := strings.Join(o.enquiry(mia).Answers["cond-pet-hair"], " "); got != grade {
			t.Errorf("%q is %q, want %q", says, got, grade)
		}
	}
	o := newOffice(t, tk)
	o.say(mia, "golf hatchback, outside only, at your place. got a labrador")
	if e := o.enquiry(mia); e.At == "cond-pet-hair" {
		t.Errorf("asked of hair where only the outside is wanted")
	}
}

// What is said of the one side does not come back as if it were of the whole car.
func TestEachWordOnItsSide(t *testing.T) {
	for says, want := range map[string]string{
		"its filthy outside, not too bad inside":     "filthy outside; not too bad inside",
		"not too bad inside, its filthy outside":     "not too bad inside; filthy outside",
		"inside not too bad but outside is filthy":   "not too bad inside; filthy outside",
		"inside's filthy, outside not too bad":       "filthy inside; not too bad outside",
		"the inside is a state, outside is muddy":    "a state inside; muddy outside",
		"all of it is filthy, I'm a bit embarrassed": "filthy",
	} {
		o := newOffice(t, talk(t))
		o.say(mia, "golf hatchback, full valet, at your place. "+says)
		if last := o.lastTo(mia).Text; !strings.Contains(last, "; "+want+";") {
			t.Errorf("%q: want %q in\n%s", says, want, last)
		}
	}
}

// "Clean", "tidy" and "going over" ask for the side they are said of.
func TestAGoodCleanInside(t *testing.T) {
	for _, says := range []string{
		"needs a good clean inside", "interior could do with a going over", "just a tidy up inside", "inside needs a good tidy", "give the inside a good clean", "a good clean inside please",
	} {
		o := newOffice(t, talk(t))
		o.say(mia, "golf hatchback at your place, "+says)
		e := o.enquiry(mia)
		if got := strings.Join(e.Answers["wants"], " "); got != "interior" || strings.Contains(o.lastTo(mia).Text, "tidy") {
			t.Errorf("%q: wants %q\n%s", says, got, o.lastTo(mia).Text)
		}
	}
}
