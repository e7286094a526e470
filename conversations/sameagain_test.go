package conversations_test

import (
	"slices"
	"strings"
	"testing"
)

// Who asks for the same again after a job has the car, the place and the work of the last
// time, the month as a wish, and is asked only what may have changed. What names other work,
// another car or something that is wrong is not that.
func TestTheSameAgainAfterAJob(t *testing.T) {
	start := newOffice(t, talk(t))
	start.finished(mia, "Ford Fiesta")
	for _, tc := range []struct {
		said  string
		same  bool
		times bool // a wish for the day is kept
	}{
		{"lovely job thankyou, same again in june?", true, true},
		{"could you do it again in june please", true, true},
		{"same again please in 6 weeks", true, true},
		{"can I book the fiesta in again for june", true, true},
		{"same as last time please", true, false},
		{"hi same wash as last time please", true, false},
		{"please dont do it again", false, false},
		{"can you do the inside again in june", false, false},
		{"can I book the golf in again for june", false, false},
	} {
		o := start.fork()
		o.say(mia, tc.said)
		e, m := o.enquiry(mia), o.lastTo(mia)
		if got := strings.Contains(m.Text, "Gladly. The Ford Fiesta, the same as on Mon 12 Apr: Outside. At the workshop."); got != tc.same {
			t.Errorf("%q is answered %q", tc.said, m.Text)
		}
		if tc.same && (e.Car == nil || !slices.Contains(e.Answers["wants"], "exterior") || tc.times != (len(e.Times) > 0 || e.Only != nil)) {
			t.Errorf("%q begins %v with %v, wished %v", tc.said, e.Car, e.Answers, e.Times)
		}
	}
}

// The same again is for the same money, and for what was named, not for all there is.
func TestTheSameAgainForTheSameMoney(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta, inside and the dog hair please, can bring it", "just the price", "ive got 60", "yes", "nothing", "no photo", "first", "yes")
	o.tap(boss, "Yes, book it")
	was := o.enquiry(mia)
	o.until(was.Slot.End)
	o.tap(boss, "Done")
	o.say(boss, "60", "60")
	o.tap(boss, "Nothing ›")
	o.say(mia, "same as last time please")
	for o.enquiry(mia).At != "quote" && o.enquiry(mia).At != "hazards" && o.enquiry(mia).At != "slot" {
		o.say(mia, "just the price")
	}
	e := o.enquiry(mia)
	if e.ID == was.ID || e.Quote.Budget != was.Quote.Budget || !slices.Equal(e.Quote.Tasks, was.Quote.Tasks) {
		t.Errorf("then %v for %d, now %v for %d", was.Quote.Tasks, was.Quote.Budget, e.Quote.Tasks, e.Quote.Budget)
	}
}

// Who comes back is asked neither for the car nor for what is known of it: it is read back,
// with what they say otherwise, the time they name is kept, and one tap says no to it.
func TestWhoComesBackIsKnown(t *testing.T) {
	start := newOffice(t, talk(t))
	start.finished(mia, "Ford Fiesta")
	start.until(start.now.AddDate(0, 0, 40))
	for said, reads := range map[string]string{
		"hi can i book another wash same as before, any time next week": "the same as on Mon 12 Apr: Outside. At the workshop.",
		"hiya need another wash":                    "the same as on Mon 12 Apr: Outside. At the workshop.",
		"same one as last time the small hatchback": "the same as on Mon 12 Apr: Outside. At the workshop.",
		"same again but with the inside":            "Gladly. The Ford Fiesta: Outside, Inside. At the workshop.",
		"same again but just the inside":            "Gladly. The Ford Fiesta: Inside. At the workshop.",
		"can you do the inside next friday":         "Gladly. The Ford Fiesta: Inside. At the workshop.",
		"same as before but the other car":          "Gladly. The same as on Mon 12 Apr, for another car: Outside. At the workshop.",
		"my wifes car needs a wash":                 "Hello again",
	} {
		o := start.fork()
		o.say(mia, said)
		m, e := o.lastTo(mia), o.enquiry(mia)
		if !strings.Contains(m.Text, reads) {
			t.Errorf("%q is answered %q", said, m.Text)
		}
		if strings.Contains(said, "next") && len(e.Times) == 0 {
			t.Errorf("%q: the time is lost", said)
		}
		if !strings.Contains(reads, "The Ford Fiesta") {
			continue
		}
		if o.tap(mia, "Not that"); !strings.Contains(o.lastTo(mia).Text, "Car: Ford Fiesta") {
			t.Errorf("%q, not that: %q", said, o.lastTo(mia).Text)
		}
	}
}

// Of two cars it is asked which, and answered with a tap or a name.
func TestWhichOfTheirCars(t *testing.T) {
	start := newOffice(t, talk(t))
	start.finished(mia, "Ford Fiesta")
	start.finished(mia, "Volvo V60")
	start.until(start.now.AddDate(0, 0, 40))
	start.say(mia, "same as before, any time next week")
	if got := start.lastTo(mia).Text; got != "Gladly, Mia. Which car is it?" {
		t.Fatalf("asked %q", got)
	}
	for _, answer := range []func(*office){
		func(o *office) { o.tap(mia, "Ford Fiesta") },
		func(o *office) { o.say(mia, "the fiesta please") },
		func(o *office) { o.say(mia, "the ford") },
	} {
		o := start.fork()
		answer(o)
		if m, e := o.lastTo(mia), o.enquiry(mia); !strings.Contains(m.Text, "Gladly. The Ford Fiesta, the same as on") || len(e.Times) == 0 {
			t.Errorf("told %q, times %v", m.Text, e.Times)
		}
	}
	o := start.fork()
	if o.tap(mia, "Another car"); !strings.Contains(o.lastTo(mia).Text, "What car is it?") {
		t.Errorf("another car: %q", o.lastTo(mia).Text)
	}
	o = start.fork()
	o.tap(mia, "Ford Fiesta")
	o.say(mia, "start again", "stop", "start")
	o.say(mia, "same as last time but the other car")
}
