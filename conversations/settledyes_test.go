package conversations_test

import (
	"strings"
	"testing"

	"example.org/dryhand/conversations"
)

// keepsThursday is the button for the time the owner wrote.
const keepsThursday = "Keep Thu 15 Apr, 09:00 for Mia"

// Price and time the owner has written to somebody count as said by him: any yes to them is
// put before him, and one tap has the customer asked for theirs (issue 10).
func TestAYesToWhatHeWrote(t *testing.T) {
	o := sick(t)
	o.tap(boss, "Write to them")
	o.say(boss, "thats £160, thurs 9am, leave it with me till 1")
	for said, agrees := range map[string]bool{
		"yes please":                         true,
		"perfect thank you see you thursday": true,
		"yes thursday is fine":               true,
		"yes that works":                     true,
		"go on then":                         true,
		"ok thats fine, do i need to take the seat out?": true,
		"great, thurs 9 it is":                           true,
		"yes but not before 10":                          false,
		"cant do thursday":                               false,
		"thanks, ill ask my wife":                        false,
		"thursday is fine. could you do it for £80?":     false,
		"is that ok with a baby seat?":                   false,
		"can you do friday instead?":                     false,
	} {
		f := o.fork()
		f.say(mia, said)
		m := f.lastTo(boss)
		if offered := hasLabel(m, keepsThursday); offered != agrees {
			t.Errorf("%q: offered %t: %q", said, offered, m.Text)
		}
		if agrees && !strings.Contains(m.Text, "(£160)") {
			t.Errorf("%q: without the price: %q", said, m.Text)
		}
	}
	o.say(mia, "yes please")
	o.say(boss, "yes")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "Thu 15 Apr, 09:00, £160") || !hasLabel(m, "Yes, book it") {
		t.Fatalf("to say yes to: %q", m.Text)
	}
	o.tap(mia, "Yes, book it")
	if e := o.enquiry(mia); e.Stage != conversations.Booked || e.Quote.Likely != 16000 || e.Quote.High != 16000 {
		t.Errorf("booked: %q, %+v", e.Stage, e.Quote)
	}
}

// Who names another time has not agreed to his, and a later thank-you is no yes to it.
func TestAnotherTimeEndsHisOffer(t *testing.T) {
	o := sick(t)
	o.tap(boss, "Write to them")
	o.say(boss, "£160, can you bring it thurs at 9?")
	o.say(mia, "could you do friday?")
	n := len(o.said)
	o.say(mia, "great thanks")
	if o.count(boss, n, "15 Apr, 09:00") != 0 {
		t.Errorf("his first time is offered still: %q", o.lastTo(boss).Text)
	}
}

// Handed back, what he wrote is offered instead of being missing.
func TestHandedBackWithWhatHeWrote(t *testing.T) {
	o := sick(t)
	o.tap(boss, "Write to them")
	o.say(boss, "thats £160, thurs 9am, leave it with me till 1")
	o.tap(boss, "Hand back")
	m := o.lastTo(boss)
	if !strings.Contains(m.Text, "you wrote £160") || !strings.Contains(m.Text, "you wrote Thu 15 Apr, 09:00") || !hasLabel(m, "£160") {
		t.Fatalf("handed back: %q", m.Text)
	}
	o.tap(boss, keepsThursday)
	if m := o.lastTo(mia); !strings.Contains(m.Text, "Thu 15 Apr, 09:00, £160") || !hasLabel(m, "Yes, book it") {
		t.Errorf("to say yes to: %q", m.Text)
	}
}

// His shortest words for a car that had to be seen set its price and its time.
func TestPriceAndTimeInAWord(t *testing.T) {
	o := sick(t)
	if m := o.lastTo(boss); !hasLabel(m, "Price") || !hasLabel(m, "Time") {
		t.Errorf("the card has no buttons for them: %q", m.Text)
	}
	for said, timed := range map[string]bool{
		"160 thurs 9":       true,
		"£160 thursday 9am": true,
		"mia 160 thurs 9am": true,
		"thurs 9 160":       true,
		"160":               false,
		"thats 160":         false,
		"mia £160":          false,
	} {
		f := o.fork()
		f.say(boss, said)
		m := f.lastTo(boss)
		if !strings.Contains(m.Text, "Price: £160") || strings.Contains(m.Text, "Time in view: Thu 15 Apr, 09:00") != timed {
			t.Errorf("%q: %q", said, m.Text)
			continue
		}
		f.tap(boss, "Carry on")
		if m := f.lastTo(mia); timed && !strings.Contains(m.Text, "Thu 15 Apr, 09:00, £160") {
			t.Errorf("%q: to say yes to: %q", said, m.Text)
		}
	}
	if o.say(boss, "thurs 9 to 1730"); o.enquiry(mia).ByHand != nil {
		t.Errorf("two hours are a price: %q", o.lastTo(boss).Text)
	}
	o.tap(boss, "Price")
	o.say(boss, "160 thurs 9")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Price: £160") || !strings.Contains(m.Text, "Thu 15 Apr, 09:00") {
		t.Errorf("typed under the button: %q", m.Text)
	}
	for _, day := range []string{"thursday", "thurs 9", "9"} {
		f := o.fork()
		if f.say(boss, day); f.enquiry(mia).ByHand.Pence != 16000 {
			t.Errorf("%q changes the price", day)
		}
	}
}
