package conversations_test

import (
	"strings"
	"testing"

	"example.org/dryhand/conversations"
)

// What the owner has agreed in his own words while he had the chat: he is shown what the
// desk has, puts it right, and the desk's next words say what stands (issue 10).
func TestWhatHeAgreedHimself(t *testing.T) {
	o := newOffice(t, talk(t))
	o.priced(mia, "Ford Fiesta")
	o.say(mia, "person")
	o.tap(boss, "Write to them")
	o.say(boss, "I can do it for £65 on Thursday at 2")
	o.tap(boss, "Hand back")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Price: likely £80") || !strings.Contains(m.Text, "No time yet") || !o.chatOf(mia).Person {
		t.Fatalf("handing back: %q", m.Text)
	}
	o.tap(boss, "Price")
	o.say(boss, "65 quid")
	o.tap(boss, "Time")
	o.say(boss, "thursday at 2pm")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Price: £65") || !strings.Contains(m.Text, "Time in view: Thu 15 Apr, 14:00") {
		t.Errorf("put right: %q", m.Text)
	}
	o.tap(boss, "Carry on")
	if m := o.lastTo(mia); o.chatOf(mia).Person || !strings.Contains(m.Text, "Thu 15 Apr, 14:00, £65") || strings.Contains(m.Text, "£80") {
		t.Errorf("the desk says: %q", m.Text)
	}
	o.tap(mia, "Nothing like that", "No, thank you")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "With your yes it's booked") || strings.Contains(m.Text, "The boss wrote") {
		t.Errorf("to say yes to: %q", m.Text)
	}
	o.say(mia, "so am i booked or not")
	if m := o.lastTo(mia); !strings.HasPrefix(m.Text, "Not yet: Thu 15 Apr, 14:00 is kept for you") {
		t.Errorf("asked whether she is booked: %q", m.Text)
	}
	o.tap(mia, "Yes, book it")
	if e := o.enquiry(mia); e.Stage != conversations.Booked || e.Quote.High != 6500 {
		t.Errorf("her yes makes it %q at %+v", e.Stage, e.Quote)
	}
}

// A price agreed before there is one holds for the work once it is told, and no longer
// when they want something else.
func TestAPriceAgreedBeforehand(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta", "person")
	o.tap(boss, "Write to them")
	o.say(boss, "70 quid for the outside")
	o.tap(boss, "Hand back", "Price")
	o.say(boss, "70")
	o.tap(boss, "Carry on")
	o.say(mia, "outside", "bring it", "just the price")
	if q := o.enquiry(mia).Quote; q == nil || q.Likely != 7000 || q.High != 7000 {
		t.Errorf("the price is %+v", q)
	}
	o.say(mia, "and the inside please")
	if q := o.enquiry(mia).Quote; q == nil || q.Likely == 7000 {
		t.Errorf("with more work, too: %+v", q)
	}
}

// Who takes the chat back themselves is told that his word counts, and he is asked to put
// it in. Where he wrote of neither price nor time the desk simply goes on; and the first
// that is written while he has the chat gets a word, once.
func TestGoingBackToTheDesk(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	o.tap(boss, "Write to them")
	f := o.fork()
	f.say(boss, "How bad is the mud?")
	n := len(f.said)
	f.say(mia, "quite bad", "really")
	if got := f.count(mia, n, "passed that on to the boss"); got != 1 {
		t.Errorf("told %d times that he reads it", got)
	}
	f.tap(boss, "Hand back")
	if m := f.lastTo(mia); f.chatOf(mia).Person || !strings.HasPrefix(m.Text, "It's the desk again.\n") {
		t.Errorf("handed back: %q", m.Text)
	}
	o.say(boss, "65 quid then")
	o.say(mia, "carry on")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "What the boss has told you counts") || !strings.Contains(m.Text, "Your request for") {
		t.Errorf("carrying on: %q", m.Text)
	}
	if m := o.lastTo(boss); !hasLabel(m, "Price") || !hasLabel(m, "Time") {
		t.Errorf("the owner: %q", m.Text)
	}
	o.tap(boss, "Price")
	o.say(boss, "65")
	if m := o.lastTo(boss); !hasLabel(m, "They've said yes") {
		t.Errorf("the price of a request: %q", m.Text)
	}
}

// A line for somebody who has no time yet finds them, whether they asked for a person or
// only asked something; it is shown before it goes (issue 10).
func TestTellSomebodyWithoutATime(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(zoe, "Ford Fiesta", "is there parking near you?")
	o.say(boss, "tell zoe the gate is open")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Zoe would read") || !hasLabel(m, "Send it") {
		t.Fatalf("shown: %q", m.Text)
	}
	o.tap(boss, "Send it")
	if m := o.lastTo(zoe); !strings.Contains(m.Text, "the gate is open") {
		t.Errorf("she reads %q", m.Text)
	}
	o.say(boss, "tell ruth the gate is open")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "There's no ruth") {
		t.Errorf("nobody: %q", m.Text)
	}
}
