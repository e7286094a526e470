package conversations_test

import (
	"strings"
	"testing"

	"example.org/dryhand/conversations"
)

// "Stop" means everything: the time kept for one car goes back although another
// car is in hand, and the booking of a third stands and is named.
func TestStopEndsEveryCar(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Volvo V60")
	o.say(mia, "another car")
	o.held(mia, "Ford Fiesta")
	held := o.enquiry(mia).ID
	o.say(mia, "another car")
	o.say(mia, "stop")
	if e := read[conversations.Enquiry](o, "enq:"+held); e.Stage != conversations.Closed || len(o.entries(held)) != 0 {
		t.Errorf("the time kept for the second car: %q, %v", e.Stage, o.entries(held))
	}
	if said := o.lastTo(mia).Text; strings.Count(said, "still stands") != 1 {
		t.Errorf("Mia reads %q", said)
	}
}

// Of two cars, the one whose button is pressed is the one that is spoken of.
func TestThePressedCarIsInHand(t *testing.T) {
	o := newOffice(t, talk(t))
	o.held(mia, "Ford Fiesta")
	first, keep := o.enquiry(mia).ID, o.button(mia, "Yes, remind me")
	o.say(mia, "another car")
	o.event(mia, keep)
	o.say(mia, "yes") // to asking for the first car's time
	if e := read[conversations.Enquiry](o, "enq:"+first); e.Stage != conversations.Waits {
		t.Errorf("the first car is %q, and Mia reads %q", e.Stage, o.lastTo(mia).Text)
	}
}
