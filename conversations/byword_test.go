package conversations_test

import (
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
)

// What stands on a button under the last message, in one of its short forms, is that press.
func TestTheOwnersWordIsThePress(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	for _, c := range []struct {
		says  string
		stage conversations.Stage
		hears string
	}{
		{"yes", conversations.Booked, "Booked: Mia"},
		{"yep book it", conversations.Booked, "Booked: Mia"},
		{"ok book mia", conversations.Booked, "Booked: Mia"},
		{"aye go on then", conversations.Booked, "Booked: Mia"},
		{"adjust", conversations.Waits, "Mia"},
		{"nah", conversations.Waits, "Why not? Mia"},
		{"cant do it", conversations.Waits, "Why not? Mia"},
		{"ask her", conversations.Waits, "Mia"},
		{"write to mia", conversations.Waits, "What shall we pass on to Mia"},
	} {
		f := o.fork()
		f.say(boss, c.says)
		if m := f.lastTo(boss); f.enquiry(mia).Stage != c.stage || !strings.Contains(m.Text, c.hears) {
			t.Errorf("%q: Mia is %q, he reads %q", c.says, f.enquiry(mia).Stage, m.Text)
		}
	}
	// A question, and what is more than a word, presses nothing.
	for _, says := range []string{"yes?", "book it in for thursday instead"} {
		f := o.fork()
		f.say(boss, says)
		if f.enquiry(mia).Stage == conversations.Booked {
			t.Errorf("%q books her", says)
		}
	}
	// With something else shown since, the yes is asked about, and then taken.
	f := o.fork()
	f.say(boss, "today", "yes")
	if m := f.lastTo(boss); !strings.Contains(m.Text, "Do you mean Mia") {
		t.Fatalf("after his day: %q", m.Text)
	}
	f.say(boss, "yes")
	if f.enquiry(mia).Stage != conversations.Booked {
		t.Errorf("the second yes: %q", f.lastTo(boss).Text)
	}
}

// Of two questions the last is meant, and the answer says whose; one that has only just come
// he may not have read.
func TestTheLastQuestionIsMeant(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	o.asked(zoe, "Kia Rio")
	f := o.fork()
	f.say(boss, "yes")
	if m := f.lastTo(boss); !strings.Contains(m.Text, "Which one?") {
		t.Errorf("at once: %q", m.Text)
	}
	f.say(boss, "2")
	if m := f.lastTo(boss); !strings.Contains(m.Text, "asks for") {
		t.Errorf("the second of them: %q", m.Text)
	}
	f = o.fork()
	f.until(f.now.Add(time.Minute))
	f.say(boss, "yes")
	if m := f.lastTo(boss); !strings.Contains(m.Text, "Booked: Zoe") || f.enquiry(mia).Stage != conversations.Waits {
		t.Errorf("a minute later: %q", m.Text)
	}
	// Another's answer on his way is theirs, also with his hands at a car.
	o = newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.booked(zoe, "Kia Rio")
	o.until(o.enquiry(mia).Slot.Start)
	o.say(boss, "look over", "start")
	o.tap(zoe, "Move it")
	o.event(zoe, bot.Tap{ID: "t", Data: o.lastTo(zoe).Choices[0][0].Data})
	o.say(boss, "yes")
	if m := o.lastTo(boss); o.enquiry(zoe).Move != nil || len(o.enquiry(mia).Job.Notes) > 0 {
		t.Errorf("with Mia's car in hand: %q", m.Text)
	}
}

// A slip is put right with a word, as far as it can be.
func TestASlipIsTakenBack(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	booked := start.fork()
	start.done()
	for _, says := range []string{"wrong, not paid", "undo that", "oops wrong one", "not paid"} {
		o := start.fork()
		o.tap(boss, "Paid")
		o.say(boss, says)
		if w := o.enquiry(mia).Work; !w.Paid.IsZero() || !w.Owed || !strings.Contains(o.lastTo(boss).Text, "Down as open") {
			t.Errorf("%q: %v, he reads %q", says, w.Paid, o.lastTo(boss).Text)
		}
		if m := o.lastTo(mia); !strings.Contains(m.Text, "came too soon") {
			t.Errorf("%q: she reads %q", says, m.Text)
		}
	}
	// What has gone out is not taken back; what is left to do stands below.
	o := booked.fork()
	o.say(boss, "oops wrong one")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "can't simply be taken back") || o.enquiry(mia).Stage != conversations.Booked {
		t.Errorf("after booking: %q", m.Text)
	}
	o.button(boss, "Call it off")
	// A day off goes, and the settings are left alone.
	o = booked.fork()
	o.say(boss, "minimum charge 50", "off friday", "undo that")
	if m := o.lastTo(boss); o.layer().Minimum == nil || !strings.Contains(m.Text, "Fri") {
		t.Errorf("after a day off: %q", m.Text)
	}
	// What he was to type for somebody is not sent.
	for _, way := range []string{"Write to them"} {
		o = booked.fork()
		n := len(o.said)
		o.tap(boss, way)
		o.say(boss, "oops wrong one")
		if o.count(mia, n, "") != 0 || o.chatOf(boss).Writing != "" || o.chatOf(mia).Person {
			t.Errorf("%s: she has heard %q", way, o.lastTo(mia).Text)
		}
	}
}

// To somebody who rang nothing can be written: he reads how to reach them.
func TestWriteToSomebodyWhoRang(t *testing.T) {
	o := newOffice(t, talk(t))
	o.guestBooked("rang Sarah, golf estate outside, she'll drop it off, 07700 900123")
	o.tap(boss, "Write to them")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "The number is 07700 900123") || o.chatOf(boss).Writing != "" {
		t.Errorf("he reads %q", m.Text)
	}
	o.button(boss, "Link for them")
}

// Who asks for a person again is answered with something new, and is called once more after
// a while.
func TestAPersonPleaseAgain(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "a person please")
	first := o.lastTo(mia).Text
	n := len(o.said)
	o.say(mia, "person please")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "The boss knows") || m.Text == first || o.count(boss, n, "") != 0 {
		t.Errorf("at once: %q", m.Text)
	}
	f := o.fork()
	f.until(f.now.Add(time.Hour))
	n = len(f.said)
	f.say(mia, "person please")
	if m := f.lastTo(mia); !strings.Contains(m.Text, "told the boss again") || f.count(boss, n, "asks for you again") != 1 {
		t.Errorf("an hour later: %q", m.Text)
	}
	o.tap(boss, "Write to them")
	o.say(boss, "Hello Mia, what is it?")
	n = len(o.said)
	o.say(mia, "can i talk to a person please")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "You have the boss here") || o.count(boss, n, "person please") != 1 {
		t.Errorf("with the boss: %q", m.Text)
	}
}

// In the middle of one job what comes for another begins with whose it is.
func TestWhoseItIsComesFirst(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.until(o.enquiry(mia).Slot.Start)
	o.tap(boss, "Look over", "Start work")
	n := len(o.said)
	o.asked(zoe, "Kia Rio")
	o.say(zoe, "could you ring me about the time?", "a person please", "thursday at 2pm would do")
	told := 0
	for _, m := range o.said[n:] {
		if m.Chat != boss || m.Edit != 0 {
			continue
		}
		told++
		if !strings.Contains(m.Text[:min(60, len(m.Text))], "Zoe") {
			t.Errorf("he reads first %q", m.Text)
		}
	}
	if told < 3 {
		t.Errorf("he was told %d times", told)
	}
}

// A yes with more behind it, straight under what somebody asked, is for them; and who is
// handed back to the desk while their request waits is put before him again.
func TestAYesToWhatTheyAsked(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta", "is there a cafe near you?")
	o.say(boss, "yes two doors down")
	if m := o.lastTo(boss); !strings.Contains(m.Text, `Mia would read: "yes two doors`) {
		t.Errorf("with nobody waiting he reads %q", m.Text)
	}
	o = newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	o.say(mia, "can I drop it the night before?")
	o.say(boss, "yes drop it thurs after 6, keys through the letterbox")
	o.tap(boss, "Send it")
	o.tap(boss, "Carry on ›")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "still waiting for your yes") {
		t.Errorf("handed back he reads %q", m.Text)
	}
	o.tap(boss, "Yes, book it")
	if e := o.enquiry(mia); e.Stage != "booked" {
		t.Errorf("it is %s", e.Stage)
	}
}

// Asked once whom he means, a second yes is one, whatever has come in between.
func TestASecondYesBooks(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	o.say(mia, "I'll bring cash")
	o.say(boss, "yes book it")
	if e := o.enquiry(mia); e.Stage == "booked" {
		t.Fatal("booked without his having read whom it is for")
	}
	o.say(mia, "and the dog stays at home")
	o.say(boss, "yes book it")
	if e := o.enquiry(mia); e.Stage != "booked" {
		t.Errorf("it is %s; he reads %q", e.Stage, o.lastTo(boss).Text)
	}
}
