package conversations_test

import (
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
)

// Who has complained is not thanked before the owner has seen to it, and then is; the
// owner is reminded while no day is said, on the day, and once it has gone by.
func TestAComplaintIsNotForgotten(t *testing.T) {
	const thanks, pleased = "Thank you for having us", "a word about your Ford Fiesta"
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.done()
	content := start.fork()
	content.until(content.now.AddDate(0, 0, 2))
	if !content.heard(mia, 0, thanks) {
		t.Fatal("nobody is thanked at all")
	}
	start.say(mia, "there are smears all over the bonnet, not happy")
	from := len(start.said)
	o := start.fork()
	o.until(o.now.AddDate(0, 0, 3))
	if o.heard(mia, from, thanks) || o.heard(mia, from, pleased) {
		t.Error("thanked for what isn't right")
	}
	if !o.heard(boss, from, "has no day from you yet: there are smears") {
		t.Error("the owner isn't reminded of a complaint without a day")
	}
	o.say(boss, "today")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Not right yet: Mia's Ford Fiesta, no day said.") {
		t.Errorf("today shows %q", m.Text)
	}
	o.tap(boss, "Mia: not right")
	o.event(boss, bot.Tap{ID: "t", Data: o.lastTo(boss).Choices[0][0].Data})
	by := o.enquiry(mia).Snags[0].By
	from = len(o.said)
	o.until(by.AddDate(0, 0, 2))
	for _, says := range []string{"Today: Mia's Ford Fiesta is to be put right", "was to be put right by " + by.In(time.UTC).Format("Mon 2 Jan")} {
		if !o.heard(boss, from, says) {
			t.Errorf("not said to the owner: %s", says)
		}
	}
	from = len(o.said)
	o.until(o.now.AddDate(0, 3, 0))
	late := 0
	for _, m := range o.said[from:] {
		if m.Chat == boss && strings.Contains(m.Text, "was to be put right") {
			late++
		}
	}
	if late < 2 || late > 5 {
		t.Errorf("reminded %d times more of one complaint", late)
	}

	right := start.fork()
	right.event(boss, bot.Tap{ID: "t", Data: right.lastTo(boss).Choices[0][0].Data})
	from = len(right.said)
	right.until(right.enquiry(mia).Snags[0].By.Add(1))
	right.tap(boss, "Put right")
	right.say(mia, "yes")
	right.until(right.now.AddDate(0, 0, 2))
	if !right.heard(mia, from, pleased) {
		t.Error("what was held back doesn't come once it's put right")
	}
	if right.say(boss, "today"); strings.Contains(right.lastTo(boss).Text, "Not right yet") {
		t.Errorf("still not right: %q", right.lastTo(boss).Text)
	}
}

// A day named with a customer who has complained is offered as the one by which it is put
// right.
func TestADayIsNamedForAComplaint(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.done()
	start.say(mia, "there are smears all over the bonnet, not happy")
	for _, says := range []string{"book mia in fri 9", "mia fri 9 agreed", "told mia 16 april 9am is fine"} {
		o := start.fork()
		o.say(boss, says)
		o.tap(boss, "By Fri 16 Apr")
		if m := o.lastTo(mia); !strings.Contains(m.Text, "We'll put that right by Fri 16 Apr") {
			t.Errorf("%q: then Mia reads %q", says, m.Text)
		}
	}
}
