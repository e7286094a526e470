package main

import (
	"testing"
	"time"

	"example.org/dryhand/bot/standin"
)

// What is said about an appointment may arrive twice and never not at all: where a
// send is cut off, whether before it took effect or after, it goes again. A nudge is
// the other way about, see TestR14AnUncertainSendIsNotRepeatedBlindly.
func TestAppointmentMessagesDoubleRatherThanGoMissing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		fault standin.Fault
		heard int
	}{
		{"nothing goes wrong", standin.Fault{}, 1},
		{"it arrives and the answer is lost", standin.Fault{Times: 1, DropAfter: true}, 2},
		{"the answer is lost twice", standin.Fault{Times: 2, DropAfter: true}, 3},
		{"it does not arrive and nobody says so", standin.Fault{Times: 3, DropBefore: true}, 1},
		{"a proxy answers", standin.Fault{Times: 2, HTML: true}, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := newFront(t, standin.Config{}, nil)
			mia := f.standin.Person(101, "Mia")
			f.say(f.owner(), "/start")
			f.books(mia)
			for _, m := range []struct {
				words  string
				within time.Duration // from the booking on Monday evening, or the message before
			}{{"Tomorrow at ", 28 * time.Hour}, {"See you today at ", 14 * time.Hour}} {
				if c.fault != (standin.Fault{}) {
					fault := c.fault
					fault.Chat = mia.ID()
					f.standin.Fault("sendMessage", fault)
				}
				f.run(m.within)
				if n := times(mia, m.words); n != c.heard {
					t.Errorf("%q came %d times, want %d", m.words, n, c.heard)
				}
			}
			if a := f.asides(); len(a) > 0 {
				t.Errorf("put aside: %q", a)
			}
		})
	}
}
