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
