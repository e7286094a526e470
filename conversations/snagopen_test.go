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

// While something is to be put right, what a customer writes of times, of bringing it, or in
// thanks is about that: it goes to the owner with what he can answer, and begins nothing.
func TestWrittenWhileSomethingIsNotRight(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.done()
	start.say(mia, "there are smears all over the bonnet, not happy")
	promised := start.fork()
	promised.tap(boss, "By ")
	was := start.enquiry(mia).ID
	for says, day := range map[string]string{
		"ok ta. can bring it thurs 9am if thats any good": "Agreed: Thu", "great, what time thursday?": "By Thu", "i can drop it off thursday": "By Thu",
		"im working wed, can you do thursday morning": "By ", "cheers see you then": "", "thanks": "", "yeah 9 is good": "", "im outside": "",
		"can i bring the fiesta friday": "By Fri",
	} {
		for _, from := range []*office{start, promised} {
			o := from.fork()
			n := len(o.said)
			o.say(mia, says)
			if o.enquiry(mia).ID != was || !o.heard(boss, n, "Mia writes, after the job on the Ford Fiesta: "+says) {
				t.Errorf("%q begins anew or is lost: %q", says, o.lastTo(mia).Text)
			}
			labels := ""
			for _, row := range o.lastTo(boss).Choices {
				labels += row[0].Label + "\n"
			}
			if !strings.HasPrefix(labels, day) || !strings.Contains(labels, "Write to them") {
				t.Errorf("%q: the owner can tap %q", says, labels)
			}
			if m := o.lastTo(mia); !strings.Contains(m.Text, "boss") || len(m.Text) > 80 {
				t.Errorf("%q: she reads %q", says, m.Text)
			}
		}
	}
	for _, says := range []string{"how much for the inside next week", "can you do a Volvo V60 thursday", "book me in again please"} {
		o := promised.fork()
		o.say(mia, says)
		if o.enquiry(mia).ID == was {
			t.Errorf("%q begins nothing: %q", says, o.lastTo(mia).Text)
		}
	}
}

// An hour agreed on to put something right is in the customer's reminder and in the owner's
// evening and day, like a visit; another day said instead lets it go.
func TestAnHourToPutItRight(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	o.say(mia, "there are smears all over the bonnet, not happy")
	o.say(mia, "could you come friday at 10?")
	day := o.now
	for day = day.AddDate(0, 0, 1); day.Weekday() != time.Friday; {
		day = day.AddDate(0, 0, 1)
	}
	at := day.Format("Mon 2 Jan") + ", 10:00"
	o.tap(boss, "Agreed: "+at)
	if m := o.lastTo(mia).Text; !strings.HasPrefix(m, "Agreed: "+at) {
		t.Fatalf("the customer reads %q", m)
	}
	if m := o.lastTo(boss); !strings.Contains(m.Text, "You'll both be reminded") || len(m.Choices) != 1 {
		t.Errorf("the owner reads %q", m.Text)
	}
	other, from := o.fork(), len(o.said)
	o.until(day.AddDate(0, 0, 1))
	for _, says := range []string{"Tomorrow at 10:00 we put right", "Today at 10:00 we put right"} {
		if !o.heard(mia, from, says) {
			t.Errorf("the customer isn't told: %s", says)
		}
	}
	for _, says := range []string{"To put right: Mia's Ford Fiesta, agreed for " + at, "Today at 10:00: Mia's Ford Fiesta is to be put right"} {
		if !o.heard(boss, from, says) {
			t.Errorf("the owner isn't told: %s", says)
		}
	}
	other.say(mia, "or tuesday some time?")
	other.event(boss, bot.Tap{ID: "t", Data: other.lastTo(boss).Choices[0][0].Data})
	other.until(day.AddDate(0, 0, 1))
	if other.heard(mia, from, "10:00 we put right") {
		t.Error("reminded of an hour that was let go")
	}
}
