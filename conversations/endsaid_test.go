package conversations_test

import (
	"slices"
	"strings"
	"testing"
)

// A part of the money is never taken for the price, however it is said; the whole is asked
// for, and the rest stays open.
func TestAPartIsNotThePrice(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.until(start.enquiry(mia).Slot.Start)
	start.say(boss, "finished mia", "90")
	low := start.enquiry(mia).Quote.Low / 100
	if low < 60 {
		t.Fatalf("the price is too small for this: %d", low)
	}
	for says, hears := range map[string]string{
		"half": "Half of it is here", "she paid half rest friday": "Half of it is here", "paid 40 rest friday": "£40 so far", "40 so far": "£40 so far",
		"40": "whole price, or what has come so far", "85 cash": "£85. What was put on", "85 quid": "£85. What was put on",
	} {
		o := start.fork()
		o.say(boss, says)
		if m := o.lastTo(boss); !strings.Contains(m.Text, hears) {
			t.Errorf("%q is answered with %q, want %q", says, m.Text, hears)
		}
		if w := o.enquiry(mia).Work; !strings.HasPrefix(says, "85") && w.Price != 0 {
			t.Errorf("%q makes the price %d", says, w.Price)
		}
	}
	o := start.fork()
	o.say(boss, "half", "80")
	o.tap(boss, "That's all")
	if w := o.enquiry(mia).Work; w.Price != 8000 || w.Part != 4000 || !w.Owed || !w.Paid.IsZero() {
		t.Errorf("half of £80 leaves %+v", w)
	}
	if m := o.lastTo(boss); !o.heard(boss, 0, "£80, £40 of it still open") {
		t.Errorf("he reads %q", m.Text)
	}
	o.say(boss, "mia paid the rest")
	if w := o.enquiry(mia).Work; w.Paid.IsZero() {
		t.Errorf("the rest is paid, and he reads %q", o.lastTo(boss).Text)
	}
	o = start.fork()
	o.say(boss, "40")
	o.tap(boss, "£40 so far")
	o.say(boss, "£80")
	if w := o.enquiry(mia).Work; w.Price != 8000 || w.Part != 4000 {
		t.Errorf("£40 of £80 leaves %+v", w)
	}
}

// A question about the end of a job holds nobody fast: what is said of something else is
// followed, with a button that leads back, and each question has a way out.
func TestTheEndHoldsNobodyFast(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.booked(zoe, "Ford Fiesta")
	start.until(start.enquiry(mia).Slot.Start)
	start.say(boss, "finished mia")
	for i, answer := range []string{"", "90", "85"} {
		if answer != "" {
			start.say(boss, answer)
		}
		for says, hears := range map[string]string{"zoe?": "Zoe, Ford Fiesta", "friday": "Fri ", "who owes me": "Not finished with here", "book zoe in fri 9": "Zoe"} {
			o := start.fork()
			n := len(o.said)
			o.say(boss, says)
			if !o.heard(boss, n, hears) {
				t.Errorf("with question %d open, %q is answered with %q", i, says, o.lastTo(boss).Text)
			}
			if says != "who owes me" && !o.heard(boss, n, "Mia's Ford Fiesta isn't finished off yet") {
				t.Errorf("with question %d open, %q hides it", i, says)
			}
			if says != "who owes me" {
				o.tap(boss, "Carry on")
			}
			o.say(boss, map[string]string{"": "90", "90": "85", "85": "all of it"}[answer])
			if m := o.lastTo(boss); o.puzzled(m) || strings.Contains(m.Text, "please") {
				t.Errorf("question %d is lost after %q: %q", i, says, m.Text)
			}
		}
		o := start.fork()
		o.say(boss, "eh?")
		var all []string
		for _, row := range o.lastTo(boss).Choices {
			for _, c := range row {
				all = append(all, c.Label)
			}
		}
		if !slices.Contains(all, "‹ Back") {
			t.Errorf("question %d has no way out: %q", i, all)
		}
	}
	start.say(boss, "eh?")
	start.tap(boss, "‹ Back")
	start.tap(boss, "£") // the price once more
	if m := start.lastTo(boss); !strings.Contains(m.Text, "What was put on?") {
		t.Errorf("he reads %q", m.Text)
	}
}

// What was put on is said in words: nothing, which ends the job, or one of them by a word
// of its name.
func TestWhatWasPutOnInWords(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.until(start.enquiry(mia).Slot.Start)
	start.say(boss, "finished mia", "hour 15", "80")
	if w := start.enquiry(mia).Work; w == nil || w.Minutes != 75 {
		t.Fatalf("an hour and a quarter is %+v: %s", w, start.lastTo(boss).Text)
	}
	for _, says := range []string{"nothing", "nothing put on", "nothing went on mate"} {
		o := start.fork()
		o.say(boss, says)
		if e := o.enquiry(mia); e.Stage != "done" || len(e.Work.Protections) > 0 {
			t.Errorf("%q: %s, %v, %q", says, e.Stage, e.Work.Protections, o.lastTo(boss).Text)
		}
	}
	for says, want := range map[string]string{"just the spray one": "spray-sealant", "only the ceramic": "ceramic", "wheels were bad": ""} {
		o := start.fork()
		o.say(boss, says)
		got := strings.Join(o.enquiry(mia).Work.Protections, " ")
		if want != "" && !strings.HasPrefix(got, want) || want == "" && got != strings.Join(start.enquiry(mia).Work.Protections, " ") {
			t.Errorf("%q ticks %q: %q", says, got, o.lastTo(boss).Text)
		}
	}
}
