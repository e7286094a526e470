package conversations_test

import (
	"strings"
	"testing"
)

// Straight under a customer's words the owner's own are offered to be sent; once he has
// been shown something else they are not.
func TestTypedUnderTheirWords(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.say(mia, "is there somewhere to wait?")
	o := start.fork()
	o.say(boss, "yeah theres a cafe next door")
	if m := o.lastTo(boss); !strings.Contains(m.Text, `Mia would read: "yeah theres a cafe next door"`) {
		t.Fatalf("he reads %q", m.Text)
	}
	o.say(boss, "yes")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "yeah theres a cafe next door") {
		t.Errorf("she reads %q", m.Text)
	}
	o = start.fork()
	o.say(boss, "today", "yeah theres a cafe next door")
	if m := o.lastTo(boss); !o.puzzled(m) {
		t.Errorf("with the day before him he reads %q", m.Text)
	}
}

// A day named under the question by when something is put right is that day's button.
func TestADayUnderByWhen(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.done()
	start.say(mia, "there are smears all over the bonnet, not happy")
	for _, says := range []string{"thurs", "by thursday", "thursday", "thursday is fine"} {
		o := start.fork()
		o.say(boss, says)
		if m := o.lastTo(boss); !strings.HasPrefix(m.Choices[0][0].Label, "By Thu") {
			t.Errorf("%q: he reads %q", says, m.Text)
		}
	}
}

// That the one who was just here has not paid is taken with how they will.
func TestNotPaidYetWithHow(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.done()
	for _, says := range []string{"not paid, shes transferring it", "not paid yet, she'll send it tonight", "hasnt paid, bank was down"} {
		o := start.fork()
		o.say(boss, says)
		if w := o.enquiry(mia).Work; !w.Owed || !w.Paid.IsZero() {
			t.Errorf("%q: he reads %q", says, o.lastTo(boss).Text)
		}
	}
}
