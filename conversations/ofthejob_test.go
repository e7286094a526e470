package conversations_test

import (
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations"
)

// What is left on a car that was just done is a complaint, in whatever words: the owner
// gets it with the days to put it right, and nothing is sold.
func TestAFaultAfterAJobIsNoSale(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.done()
	for _, said := range []string{
		"Thank you so much, it looks beautiful. Only one thing, there is a white smear on the passenger window",
		"theres still wax on the door handle",
		"no I mean the one he just did, its a smear he left",
		"it looks great, one small thing, theres polish in the trim by the wheel",
		"lovely but hes forgotten the boot",
		"the windows have got streaks on the inside",
		"oh there is a tiny bit of white stuff round the badge",
		"and one door mirror he didnt get to",
		"bit of residue on the dash, can he wipe it please?",
	} {
		o := start.fork()
		o.say(mia, said)
		if m := o.lastTo(mia).Text; !strings.Contains(m, "you'll hear by when it's put right") {
			t.Errorf("%q is answered %q", said, m)
		}
		if e := o.enquiry(mia); len(e.Snags) != 1 || e.Stage != conversations.Done {
			t.Errorf("%q: %d snags, stage %q", said, len(e.Snags), e.Stage)
		}
		if m := o.lastTo(boss).Text; !strings.Contains(m, said) {
			t.Errorf("%q: the owner reads %q", said, m)
		}
		if o.say(mia, "I dont want to book anything, can he please just wipe it"); !strings.Contains(o.lastTo(mia).Text, "Added to what you told us") {
			t.Errorf("who insists after %q is answered %q", said, o.lastTo(mia).Text)
		}
	}
	for _, said := range []string{
		"not a smear on it, thank you!",
		"can i book another clean for the windows, the dog smudged them",
		"how much for the BMW 320d, theres still wax on it from the last owner",
		"could you do the wheels again next friday",
		"is it ok to wipe the residue off?",
	} {
		o := start.fork()
		o.say(mia, said)
		if m := o.lastTo(mia).Text; strings.Contains(m, "put right") {
			t.Errorf("%q is taken for a complaint: %q", said, m)
		}
	}
}

// Whoever was taken for one that would book after a job, and says that they would not, is
// let out of the sale; the owner reads what they began with, too.
func TestOutOfASaleAfterAJob(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.done()
	job := start.enquiry(mia).ID
	start.say(mia, "Thanks again. The glass in the doors please")
	if e := start.enquiry(mia); e.ID == job {
		t.Fatalf("no sale begins: %q", start.lastTo(mia).Text)
	}
	for said, snag := range map[string]bool{
		"no I mean the one he just did":                                  true,
		"I dont want to book anything, there is a smear, can he wipe it": true,
		"I dont want to book anything":                                   false,
	} {
		o := start.fork()
		o.say(mia, said)
		e := o.enquiry(mia)
		if e.ID != job || (len(e.Snags) > 0) != snag {
			t.Errorf("%q leaves %s with %d snags, wanted %s, %v", said, e.ID, len(e.Snags), job, snag)
		}
		if m := o.lastTo(boss).Text; !strings.Contains(m, "The glass in the doors") || !strings.Contains(m, said) {
			t.Errorf("%q: the owner reads %q", said, m)
		}
		if m := o.lastTo(mia).Text; strings.Contains(m, "Which of these") || strings.Contains(m, "?") {
			t.Errorf("%q is still sold to: %q", said, m)
		}
	}
	o := start.fork()
	if o.say(mia, "same as the one he just did, same again please"); o.enquiry(mia).ID == job {
		t.Error("who wants the same again is thrown out of it")
	}
}

// A question in the first days after a job is of that job: answered where the rules know
// how long it dries, and the owner's else.
func TestAQuestionAfterAJobIsOfThatJob(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.done()
	for _, said := range []string{
		"brilliant thanks, how long till i can put the seats back in",
		"can the dog go back in it today",
		"why is the inside a bit shiny?",
		"when can i wash it myself?",
	} {
		o := start.fork()
		o.say(mia, said)
		if m, e := o.lastTo(mia).Text, o.enquiry(mia); e.Stage != conversations.Done || !strings.Contains(m, "passed") {
			t.Errorf("%q is answered %q at stage %q", said, m, e.Stage)
		}
		if m := o.lastTo(boss).Text; !strings.Contains(m, said) {
			t.Errorf("%q: the owner reads %q", said, m)
		}
	}
	for _, said := range []string{
		"can you do the inside too next friday?",
		"how much for the BMW 320d?",
		"could you do my wheels as well?",
	} {
		o := start.fork()
		if o.say(mia, said); o.enquiry(mia).Stage != conversations.Asking {
			t.Errorf("%q begins nothing: %q", said, o.lastTo(mia).Text)
		}
	}
}

// Praise that names what was wrong before is thanked for, and a damp seat that is asked about
// is no complaint with a date; what is bad still is one.
func TestPraiseIsNoComplaint(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.done()
	for said, snag := range map[string]bool{
		"wow thank you so much, smells lovely": false, "smells lovely now thanks": false, "smells so much better thank you": false,
		"thats brilliant, cant smell a thing": false, "the seat is still a bit damp is that ok": false,
		"it still smells of sick": true, "it doesnt smell any better": true, "smells lovely but there are streaks on the window": true,
	} {
		o := start.fork()
		o.say(mia, said)
		if got := len(o.enquiry(mia).Snags) > 0; got != snag {
			t.Errorf("%q: a complaint is %v, answered %q", said, got, o.lastTo(mia).Text)
		}
	}
}

// Whether work outdoors goes ahead in the rain the owner decides: on the day, and the day
// before, he is asked, with his button for it; days ahead the desk answers.
func TestInTheRainTheBossDecides(t *testing.T) {
	start := newOffice(t, talk(t))
	start.bookedAway(mia, "Wednesday 14 April at 9")
	slot := start.enquiry(mia).Slot.Start
	early := start.fork()
	early.until(slot.Add(-3 * 24 * time.Hour))
	start.until(slot.Add(-90 * time.Minute))
	for _, said := range []string{
		"it is drizzling, are you still coming?",
		"it is pouring down, is he still coming?",
		"its chucking it down here",
		"are you still coming in the rain?",
	} {
		o := start.fork()
		o.say(mia, said)
		if m := o.lastTo(mia).Text; !strings.Contains(m, "It's the boss who decides in the rain") {
			t.Errorf("%q is answered %q", said, m)
		}
		m, wet := o.lastTo(boss), false
		for _, row := range m.Choices {
			for _, c := range row {
				wet = wet || c.Label == "Rained off"
			}
		}
		if !strings.Contains(m.Text, said) || !wet {
			t.Errorf("%q: the owner reads %q with %v", said, m.Text, m.Choices)
		}
	}
	o := start.fork()
	if o.say(mia, "what if it rains?"); strings.Contains(o.lastTo(mia).Text, "we've asked") {
		t.Errorf("the rule isn't told: %q", o.lastTo(mia).Text)
	}
	o = start.fork()
	if o.say(mia, "are you still coming?"); !strings.Contains(o.lastTo(mia).Text, "Yes, that stands") {
		t.Errorf("without rain: %q", o.lastTo(mia).Text)
	}
	if slot.Sub(early.now) > 24*time.Hour {
		if early.say(mia, "it is pouring, are you still coming?"); strings.Contains(early.lastTo(mia).Text, "we've asked") {
			t.Errorf("days ahead: %q", early.lastTo(mia).Text)
		}
	}
}
