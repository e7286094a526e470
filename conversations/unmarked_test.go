package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// What is not ticked is unknown, not undone: by the clock the job is on time, and over its
// time nobody else is told a figure that rests on it.
func TestStepsNobodyTicked(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta") // 12:00 to 14:00
	start.booked(zoe, "Kia Rio")
	at := start.enquiry(mia).Slot.Start
	start.until(at.Add(time.Minute))
	start.say(boss, "starting mia")
	step := start.lastTo(boss).Text
	end := step[strings.LastIndex(step, "Done by"):]

	o := start.fork()
	o.until(at.Add(100 * time.Minute))
	o.say(boss, "bit of tar on the sills")
	if m := o.lastTo(boss); !strings.Contains(m.Text, end) || strings.Contains(m.Text, "over") || slices.ContainsFunc(buttons(m), func(b string) bool { return strings.Contains(b, "late") }) {
		t.Errorf("%q at first, an hour and a half on: %q %v", end, m.Text, buttons(m))
	}
	n := len(o.said)
	o.until(at.Add(4 * time.Hour))
	var nag string
	for _, m := range o.said[n:] {
		if m.Chat == boss && strings.Contains(m.Text, "was to be done by") {
			nag = m.Text
			if slices.ContainsFunc(buttons(m), func(b string) bool { return strings.Contains(b, "late") }) {
				t.Errorf("with %q somebody may be told: %v", m.Text, buttons(m))
			}
		}
	}
	if !strings.Contains(nag, "No step has been ticked") || strings.Contains(nag, "Still to do") {
		t.Errorf("over its time: %q", nag)
	}

	// At its end he is asked, and not nagged.
	o = start.fork()
	o.until(at.Add(90 * time.Minute))
	o.say(boss, "finished")
	n = len(o.said)
	o.until(at.Add(4 * time.Hour))
	if o.heard(boss, n, "was to be done by") {
		t.Errorf("while he answers: %q", o.lastTo(boss).Text)
	}

	// A note and a longer time in one.
	o = start.fork()
	o.until(at.Add(time.Hour))
	n = len(o.said)
	o.say(boss, "sap on the roof, needs another half hour")
	if !o.heard(boss, n, "until about 14:30") || !o.heard(boss, n, "Noted: sap on the roof") || len(o.enquiry(mia).Job.Notes) != 1 {
		t.Errorf("a note and half an hour: %q", toldBoss(o.said[n:]))
	}

	// Who ticks is believed: the next one may be told.
	o = start.fork()
	o.until(at.Add(110 * time.Minute))
	o.tap(boss, "Done")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "over") {
		t.Errorf("after a tick so late: %q", m.Text)
	}
}

// Where no step was marked, or the work was never begun by a tap, the clock is offered all
// the same, and beside it what was reckoned.
func TestTheClockIsOfferedWithoutSteps(t *testing.T) {
	for _, taps := range [][]string{{"Start work"}, {"Look over"}} {
		o := newOffice(t, talk(t))
		o.booked(mia, "Ford Fiesta")
		o.until(o.enquiry(mia).Slot.Start)
		o.tap(boss, taps...)
		o.until(o.now.Add(80 * time.Minute))
		o.say(boss, "finish")
		if o.chatOf(boss).Finishing == "" {
			o.say(boss, "done")
		}
		o.button(boss, "80 by the clock")
		o.button(boss, "1 hour 35 minutes, as reckoned")
	}
}
