package conversations_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/bot"
)

// What somebody wants left out is not in the price, and nothing is put in because it was
// named.
func TestWhatIsToBeLeftOut(t *testing.T) {
	wheels, glass := []string{"wheels-face", "wheels-full", "dress-tyres"}, []string{"inside-glass", "outside-glass", "glass-polish"}
	start := newOffice(t, talk(t))
	for _, said := range []string{"vw polo, inside and out", "I'll bring it", "just the price"} {
		start.say(mia, said)
	}
	before := start.enquiry(mia).Quote
	for _, c := range []struct {
		said  string
		reads string
		gone  []string
	}{
		{"skip the wheels", "Without wheels, right.", wheels},
		{"could you leave out the wheels?", "Without wheels, right.", wheels},
		{"no need to do the wheels, I do those", "Without wheels, right.", wheels},
		{"yes but no wheels", "Without wheels, right.", wheels},
		{"would it be cheaper without the wheels?", "Without wheels, right.", wheels},
		{"leave the glass out", "Without glass, right.", glass},
		{"leave the glass as it is", "Without glass, right.", glass},
		{"skip the wheels and the glass", "So: without wheels; without glass.", slices.Concat(wheels, glass)},
		{"skip the spray sealant", "Without spray sealant, right.", []string{"spray-sealant"}},
		{"skip the wheels. Friday?", "So: without wheels; Friday.", wheels},
		{"ok skip the wheels then and book me in", "Without wheels, right.", wheels},
		{"just the outside then without the wheels", "So: Outside; without wheels.", slices.Concat(wheels, []string{"vacuum"})},
		{"can you do 90 without the wheels", "For £90,", wheels},
	} {
		o := start.fork()
		got := o.say(mia, c.said)
		if !slices.ContainsFunc(got, func(m bot.Message) bool { return strings.Contains(m.Text, c.reads) }) {
			t.Errorf("%q: she reads %q", c.said, o.lastTo(mia).Text)
		}
		after := o.enquiry(mia).Quote
		for _, id := range c.gone {
			if slices.Contains(after.Tasks, id) {
				t.Errorf("%q: %s is still in the price", c.said, id)
			}
		}
		for _, id := range after.Tasks {
			if after.Budget == 0 && !slices.Contains(before.Tasks, id) {
				t.Errorf("%q: %s has come in", c.said, id)
			}
		}
		if after.Likely >= before.Likely {
			t.Errorf("%q: £%d, and £%d before", c.said, after.Likely/100, before.Likely/100)
		}
		o.say(mia, "as it was")
		if again := o.enquiry(mia).Quote; again == nil || !slices.Equal(again.Tasks, before.Tasks) {
			t.Errorf("%q, and \"as it was\": %v", c.said, again)
		}
	}
	for _, said := range []string{"no rush", "no stains in it", "no wheelchair in the boot", "skip the wash"} { // no name of work, and what all hangs on
		o := start.fork()
		o.say(mia, said)
		if e := o.enquiry(mia); len(e.Spared) > 0 {
			t.Errorf("%q leaves out %v", said, e.Spared)
		}
	}
}

// It can be said with the first words, taken back, and asked for after all.
func TestLeftOutFromTheBeginning(t *testing.T) {
	for _, first := range []string{"vw polo, inside and out but leave the wheels", "vw polo, everything except the wheels", "vw polo inside and out. no wheels please"} {
		o := newOffice(t, talk(t))
		if got := o.say(mia, first); !strings.Contains(got[len(got)-1].Text, "without wheels") {
			t.Errorf("%q is read back as %q", first, got[len(got)-1].Text)
		}
		o.say(mia, "I'll bring it")
		o.say(mia, "just the price")
		if q := o.enquiry(mia).Quote; slices.Contains(q.Tasks, "wheels-face") || slices.Contains(q.Tasks, "dress-tyres") || !slices.Contains(q.Tasks, "wash") {
			t.Errorf("%q: %v", first, q.Tasks)
		}
		o.say(mia, "actually do the wheels too")
		if q := o.enquiry(mia).Quote; !slices.ContainsFunc(q.Tasks, func(id string) bool { return strings.HasPrefix(id, "wheels-") }) {
			t.Errorf("%q, and the wheels too: %v", first, q.Tasks)
		}
	}
	o := newOffice(t, talk(t))
	o.say(mia, "vw polo, inside and out but leave the wheels")
	o.say(mia, "back")
	if e := o.enquiry(mia); len(e.Spared) > 0 {
		t.Errorf("taken back, and still left out: %v", e.Spared)
	}
}

// Something in the place of something else leaves the rest as it was.
func TestOneThingInThePlaceOfAnother(t *testing.T) {
	start := newOffice(t, talk(t))
	for _, said := range []string{"honda jazz, wash and wax please", "I'll bring it", "just the price"} {
		start.say(mia, said)
	}
	for _, said := range []string{"can I have the sealant instead of the wax", "sealant instead of wax please", "Yes please, the sealant then instead of the wax", "the sealant rather than the wax"} {
		o := start.fork()
		got := o.say(mia, said)
		if read := got[len(got)-1].Text; !strings.Contains(read, "sealant. No longer in it: hand wax.") {
			t.Errorf("%q: she reads %q", said, read)
		}
		if q := o.enquiry(mia).Quote; slices.Contains(q.Tasks, "wax") || !slices.ContainsFunc(q.Tasks, func(id string) bool { return strings.Contains(id, "sealant") }) || !slices.Contains(q.Tasks, "wash") || !slices.Contains(q.Tasks, "wheels-face") {
			t.Errorf("%q: %v", said, q.Tasks)
		}
	}
	o := start.fork()
	o.say(mia, "Is that still with the wheels?")
	if q := o.enquiry(mia).Quote; q.Likely != start.enquiry(mia).Quote.Likely {
		t.Errorf("to ask has made it £%d", q.Likely/100)
	}
}

// What was left out is said in the summary and the booking, on the owner's card, and stays
// out of the same again; a yes to the booking is no consent to reminders.
func TestWhatIsLeftOutStaysOut(t *testing.T) {
	o := newOffice(t, talk(t))
	for _, said := range []string{"vw polo, wash and wax but leave the wheels", "I'll bring it", "just the price", "find a day", "nothing like that", "no photo"} {
		o.say(mia, said)
	}
	o.say(mia, o.times(mia)[0])
	if o.say(mia, "yes book it"); len(o.enquiry(mia).Answers["consent"]) > 0 {
		t.Errorf("consents with a yes to the booking: %q", o.lastTo(mia).Text)
	}
	o.say(mia, "no")
	if m := o.lastTo(mia).Text; !strings.Contains(m, "(not in it: wheels)") {
		t.Errorf("summed up as %q", m)
	}
	o.say(mia, "yes")
	if m := o.lastTo(boss).Text; !strings.Contains(m, "Not wanted: wheels") || strings.Contains(m, "Not asked: Wheels") {
		t.Errorf("the card says %q", m)
	}
	o.tap(boss, "Yes, book it")
	if !o.heard(mia, 0, "Not in it, as you asked: wheels.") {
		t.Error("the booking does not say what is left out")
	}
	o.until(o.enquiry(mia).Slot.End)
	o.done()
	o.until(o.now.AddDate(0, 5, 0))
	o.say(mia, "same as last time please")
	if e := o.enquiry(mia); len(e.Spared) == 0 || !strings.Contains(o.lastTo(mia).Text, "(not in it: wheels)") {
		t.Errorf("the same again is %q", o.lastTo(mia).Text)
	}
}
