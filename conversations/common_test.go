package conversations_test

import (
	"strings"
	"testing"
	"time"
)

// What customers ask everywhere is answered from rules and diary at once, and what was on
// the table stays there; what only the boss knows he reads (issue 10).
func TestCommonQuestionsAreAnswered(t *testing.T) {
	start := newOffice(t, talk(t))
	start.say(mia, "Ford Fiesta")
	for _, c := range []struct {
		says, hears string
		boss        bool
	}{
		{"how do i pay", "You pay when the work is done", true},
		{"can i pay by card", "card, in cash or by transfer, the boss will say", true},
		{"when do i pay?", "You pay when the work is done", false},
		{"what if it rains", "rain is no trouble", false},
		{"do i need to be in", "Please be there at the start", true},
		{"why do you need that?", "goes into your price", false},
		{"do u want a pic", "Yes please, send it here", false},
		{"will the smell come out?", "gets much better, not always gone", false},
		{"how long does it take?", "A few more answers", false},
		{"can you come today?", "A few more answers", false},
		{"what if it rains and is there a waiting room?", "We've passed that on", true},
	} {
		o := start.fork()
		at := o.enquiry(mia).At
		n := len(o.said)
		o.say(mia, c.says)
		m := o.lastTo(mia)
		if !strings.Contains(m.Text, c.hears) || o.enquiry(mia).At != at && !strings.Contains(c.says, "smell") || len(m.Choices) == 0 {
			t.Errorf("%q at %s: %q", c.says, o.enquiry(mia).At, m.Text)
		}
		if got := strings.Contains(toldBoss(o.said[n:]), c.says); got != c.boss {
			t.Errorf("%q: the boss reads %q", c.says, toldBoss(o.said[n:]))
		}
	}
	inside := start.fork()
	inside.say(mia, "inside", "I'll bring it", "just the price")
	for says, hears := range map[string]string{
		"whats your cancellation policy":          "no trouble until 24 hours before",
		"can I pay half now":                      "There's nothing to pay in advance",
		"ok but what if its worse than you think": "without your yes",
		"do I need to clear it out first":         "Please empty it beforehand",
		"is it ok if theres stuff in the boot":    "Please empty it beforehand",
		"ive got a tow bar does that matter":      "one for the boss",
		"Whereabouts is the workshop please?":     "We're at ",
		"whats the postcode for the satnav":       "We're at ",
	} {
		o := inside.fork()
		o.say(mia, says)
		if m := o.lastTo(mia); !strings.Contains(m.Text, hears) {
			t.Errorf("%q at the price: %q", says, m.Text)
		}
	}
	o := start.fork()
	o.say(mia, "outside please, and what if it rains?")
	if m := o.lastTo(mia); len(o.enquiry(mia).Answers["wants"]) == 0 || !strings.Contains(m.Text, "rain is no trouble") {
		t.Errorf("an answer and a question: %v, %q", o.enquiry(mia).Answers, m.Text)
	}
}

// After booking, too; and at the question for the address why it is asked for is told.
func TestCommonQuestionsOfAVisit(t *testing.T) {
	o := newOffice(t, talk(t))
	o.bookedAway(mia, "Tue 13 Apr")
	for says, hears := range map[string]string{
		"why do you need my address?":                      "So that we know where to come",
		"what if it rains":                                 "If it's too wet to work outside, you choose another day",
		"are you still coming":                             "Yes, that stands: Tue 13 Apr",
		"u still ok for tuesday?":                          "Yes, that stands: Tue 13 Apr",
		"can i pay cash":                                   "You pay when the work is done",
		"whats your cancellation policy":                   "no trouble until 24 hours before",
		"will it be done by 4":                             "You're booked for Tue 13 Apr",
		"theres been a change of plan, can we do saturday": "That stays yours until another time is agreed",
		"i got the wrong day":                              "That stays yours until another time is agreed",
	} {
		f := o.fork()
		f.say(mia, says)
		if m := f.lastTo(mia); !strings.Contains(m.Text, hears) || !hasLabel(m, "Move it") && !hasLabel(m, "Keep it as it is") {
			t.Errorf("%q: %q", says, m.Text)
		}
	}
}

// On the day the owner hears that somebody is on their way, comes later or is there, and
// they hear that he knows. On another day it is what it is (issue 10).
func TestComingOnTheDay(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta") // on Tuesday the 13th, 12:00
	early := start.fork()
	start.until(start.enquiry(mia).Slot.Start.Add(-20 * time.Minute))
	for _, c := range []struct{ says, boss, hears string }{
		{"10 mins away", "Mia is on the way, here about 11:50", "the boss knows"},
		{"on my way", "Mia is on the way: ", "the boss knows"},
		{"see you in 10", "Mia is on the way", "the boss knows"},
		{"running 10 late", "Mia comes later", "The boss knows"},
		{"running 10 mins late", "Mia comes later, about 12:10", "The boss knows"},
		{"stuck in traffic, be 15 mins late sorry", "Mia comes later, about 12:15", "The boss knows"},
		// The time that is named counts, not how far it stands from the booked one.
		{"so sorry running late, prob be 10 past 12", "Mia comes later, about 12:10", "The boss knows"},
		{"will be there quarter past 12", "Mia comes later, about 12:15", "The boss knows"},
		{"be with you at 12.20", "Mia comes later, about 12:20", "The boss knows"},
		{"running late, be there about half 12", "Mia comes later, about 12:30", "The boss knows"},
		{"sorry running late, more like ten to one", "Mia comes later, about 12:50", "The boss knows"},
		{"late sorry, will be with you at 1", "Mia comes later, about 13:00", "The boss knows"},
		{"on my way, be there at 10 to 12", "Mia is on the way, here about 11:50", "the boss knows"},
		{"im outside", "Mia is there", "told the boss you're here"},
		{"here", "Mia is there", "told the boss you're here"},
		{"sorry for the late reply, thursday is still fine", "Mia writes", ""},
	} {
		o := start.fork()
		told := toldBoss(o.say(mia, c.says))
		if m := o.lastTo(mia); !strings.Contains(told, c.boss) || !strings.Contains(told, c.says) || !strings.Contains(m.Text, c.hears) {
			t.Errorf("%q: boss %q, %q", c.says, told, m.Text)
		}
	}
	if told := toldBoss(early.say(mia, "running 10 late")); strings.Contains(told, "comes later") {
		t.Errorf("the day before: %q", told)
	}
}
