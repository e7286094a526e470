package conversations_test

import (
	"strings"
	"testing"

	"example.org/dryhand/pricing"
)

// What the owner types while the car is looked over is a grade, a price, or damage; what
// may be either he is asked, as the customer is shown what is filed.
func TestNotAllThatIsTypedAtTheCarIsDamage(t *testing.T) {
	start := newOffice(t, talk(t))
	start.begun(mia, "Ford Fiesta", "Outside", "Inside")
	filed := func(o *office) string { return strings.Join(o.enquiry(mia).Job.Damage, "|") }
	for says, grades := range map[string]map[pricing.Area]pricing.Grade{
		"pet hair 3": {pricing.PetHair: 3}, "dog hair 3, inside 2": {pricing.PetHair: 3, pricing.Interior: 2}, "pet hair 3, stains 2": {pricing.PetHair: 3, pricing.Stains: 2}, "inside is a 3": {pricing.Interior: 3},
	} {
		o := start.fork()
		o.say(boss, says)
		for area, grade := range grades {
			if o.enquiry(mia).Graded[area] != grade {
				t.Errorf("%q: %v, he reads %q", says, o.enquiry(mia).Graded, o.lastTo(boss).Text)
			}
		}
		if filed(o) != "" {
			t.Errorf("%q is filed: %q", says, filed(o))
		}
	}
	for _, says := range []string{"hes fine with 210", "210", "make it £210", "she's ok with 210 quid"} {
		o := start.fork()
		o.say(boss, says)
		if e := o.enquiry(mia); filed(o) != "" || e.ByHand == nil || e.ByHand.Pence != 21000 {
			t.Errorf("%q: %q, %+v, he reads %q", says, filed(o), e.ByHand, o.lastTo(boss).Text)
		}
	}
	for _, says := range []string{"scuff rear bumper left and stone chips bonnet", "note: bonnet very dirty", "dent 3cm left door"} {
		o := start.fork()
		o.say(boss, says)
		if filed(o) == "" {
			t.Errorf("%q isn't filed: %q", says, o.lastTo(boss).Text)
		}
	}
	o := start.fork()
	o.say(boss, "pet hair 3, scratch on the boot")
	if filed(o) != "scratch on the boot" || o.enquiry(mia).Graded[pricing.PetHair] != 3 {
		t.Errorf("%q, %v", filed(o), o.enquiry(mia).Graded)
	}
	for answer, want := range map[string]string{"yes": "aerial gone", "no": "", "It's damage": "aerial gone", "No, leave it out": ""} {
		o := start.fork()
		o.say(boss, "aerial gone")
		if m := o.lastTo(boss); filed(o) != "" || !strings.Contains(m.Text, "is that damage") {
			t.Errorf("he reads %q", m.Text)
		}
		if strings.Contains(answer, " ") || strings.Contains(answer, "'") {
			o.tap(boss, answer)
		} else {
			o.say(boss, answer)
		}
		if filed(o) != want {
			t.Errorf("%q files %q", answer, filed(o))
		}
	}
}
