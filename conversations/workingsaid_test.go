package conversations_test

import (
	"strings"
	"testing"
	"time"
)

// What the customer is shown is damage: a grumble at the car is none, and the grades are
// offered for it; what he says to note is kept.
func TestAGrumbleIsNoFinding(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.until(start.enquiry(mia).Slot.Start)
	start.say(boss, "shes here")
	for says, kept := range map[string]string{
		"its filthy": "", "its a 4": "", "way dirtier than he said": "", "paint is minging": "",
		"scratch on left door": "scratch on left door", "dirty mark on the seat": "dirty mark on the seat", "wing mirror held on with tape": "wing mirror held on with tape", "note: Bonnet filthy": "Bonnet filthy",
	} {
		o := start.fork()
		o.say(boss, says)
		if got := strings.Join(o.enquiry(mia).Job.Damage, "|"); got != kept {
			t.Errorf("%q keeps %q, want %q", says, got, kept)
		}
		if kept == "" {
			o.tap(boss, "Grades")
		}
	}
}

// Money and minutes are no notes while the steps run, and "done" late in a job may be all
// of it.
func TestWordsOfTheEndAtWork(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.until(start.enquiry(mia).Slot.Start)
	start.say(boss, "shes here", "start")
	for says, note := range map[string]bool{
		"100 mins": false, "85 cash": false, "mia paid 85 cash": false, "half": false, "mia done 90 mins, paid half": false,
		"wheel nut missing on the left": true, "used the last of the tar remover": true, "leave 10 minutes on the roof": true,
	} {
		o := start.fork()
		n := len(o.said)
		o.say(boss, says)
		if got := len(o.enquiry(mia).Job.Notes) > 0; got != note {
			t.Errorf("%q is a note: %v; he reads %q", says, got, o.lastTo(boss).Text)
		}
		if !note && !o.heard(boss, n, "Ford Fiesta") {
			t.Errorf("%q is answered with %q", says, o.lastTo(boss).Text)
		}
	}
	for _, says := range []string{"shampoo the seats £20", "seats need a shampoo to get the mud out, £60 more"} { // theirs to say yes to
		o := start.fork()
		o.say(boss, says)
		if m := o.lastTo(boss); !strings.Contains(m.Text, "Mia would read: \""+says) || strings.Contains(m.Text, "finished") {
			t.Errorf("%q is answered with %q", says, m.Text)
		}
	}
	early, late := start.fork(), start.fork()
	early.say(boss, "done")
	if len(early.enquiry(mia).Job.Steps) != 1 {
		t.Errorf("a step done early is not ticked: %q", early.lastTo(boss).Text)
	}
	late.until(late.enquiry(mia).Slot.Start.Add(85 * time.Minute))
	late.say(boss, "done")
	if m := late.lastTo(boss); !strings.Contains(m.Text, "the step in hand, or the whole job") || len(late.enquiry(mia).Job.Steps) != 0 {
		t.Errorf("he reads %q", m.Text)
	}
	late.tap(boss, "Finish")
	if m := late.lastTo(boss); !strings.Contains(m.Text, "how long did it take") {
		t.Errorf("he reads %q", m.Text)
	}
}
