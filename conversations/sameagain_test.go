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
		if got := strings.Contains(m.Text, "Gladly. The Ford Fiesta, the same as last time: Outside. At the workshop."); got != tc.same {
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
