package conversations_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/bot"
)

// Whoever changes one answer is asked that one question and no other: the rest of what was
// said stays, the address and the time that is kept among it. A price that comes out as
// before needs no second yes; of another it is said what has moved.
func TestChangingOneAnswerKeepsTheOthers(t *testing.T) {
	start := newOffice(t, talk(t))
	start.say(mia, "golf estate, inside and out, LS29")
	for _, said := range []string{"at home", "driveway", "tap only", "don't know", "just the price", "find a day", "nothing", "no photo", "the first one", "12 Mill Lane", "no thanks"} {
		start.say(mia, said)
	}
	before := start.enquiry(mia)
	if before.At != "confirm" || before.Slot == nil {
		t.Fatalf("at %s", before.At)
	}
	for _, c := range []struct {
		button, asked, answer string
		moved                 bool
	}{
		{"Where", "site", "at home", false},
		{"Stands on", "surface", "garage", false},
		{"Water and power", "services", "tap and socket", true},
		{"Drain", "drain", "gravel", false},
		{"How far", "miles", "3 miles", true},
	} {
		o := start.fork()
		o.say(mia, "change")
		o.tap(mia, c.button)
		if at := o.enquiry(mia).At; at != c.asked {
			t.Errorf("%s: asks %s", c.button, at)
		}
		got := o.say(mia, c.answer)
		e := o.enquiry(mia)
		told := slices.ContainsFunc(got, func(m bot.Message) bool { return strings.Contains(m.Text, "; it was likely £") })
		if told != c.moved || e.At != map[bool]string{true: "quote", false: "confirm"}[c.moved] {
			t.Errorf("%s, %s: at %s, told of the price: %v", c.button, c.answer, e.At, told)
		}
		if c.moved {
			o.say(mia, "carry on")
			e = o.enquiry(mia)
		}
		if e.At != "confirm" || e.Slot == nil || *e.Slot != *before.Slot || e.Address != before.Address {
			t.Errorf("%s: at %s, %v, %q", c.button, e.At, e.Slot, e.Address)
		}
		for q, a := range before.Answers {
			if q != c.asked && q != "heard" && !slices.Equal(e.Answers[q], a) {
				t.Errorf("%s: %s was %v, is %v", c.button, q, a, e.Answers[q])
			}
		}
	}

	// Back from the question leaves the answer as it was.
	o := start.fork()
	o.say(mia, "change")
	o.tap(mia, "How far")
	o.say(mia, "back")
	if e := o.enquiry(mia); e.At != "confirm" || !slices.Equal(e.Answers["miles"], before.Answers["miles"]) || e.Place == nil {
		t.Errorf("back: at %s, %v", e.At, e.Answers["miles"])
	}

	// Work that has grown beyond the time that is kept gives it back, and says so.
	o = start.fork()
	o.say(mia, "change")
	o.tap(mia, "What to do")
	got := o.say(mia, "inside and outside and a machine polish")
	if e := o.enquiry(mia); e.Slot != nil || !slices.ContainsFunc(got, func(m bot.Message) bool { return strings.Contains(m.Text, "no longer works with that") }) {
		t.Errorf("longer work: at %s, %v", e.At, e.Slot)
	}
}
