package conversations_test

import (
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations"
)

// How people spell it, and what is near it and means something else. All of it made
// up here.
func TestStopInAnySpelling(t *testing.T) {
	begun := newOffice(t, talk(t))
	begun.priced(mia, "Ford Fiesta")
	for _, text := range []string{"stop", "STOP", "Stop.", "/stop", "stop!!!", "s t o p", "S.T.O.P", "stopp", "sstop", "stooop", "STOOOPPP", "stpo", "tsop", "sotp", "stp", "sto", "st0p", "5top",
		"stop please", "pls stop", "please stop texting me", "stop sending me these messages", "stop it now", "just stop", "Stop, thanks", "can you stop this", "stop all reminders", "i want you to stop messaging me", "stoр", "stop stop stop"} {
		o := begun.fork()
		if o.say(mia, text); !o.chatOf(mia).Stopped {
			t.Errorf("%q does not stop it", text)
		}
	}
	for _, text := range []string{"top", "soft top", "shop", "spot", "step", "the stop light is broken", "stop by on monday", "bus stop", "a spot on the seat", "non stop", "store", "slot", "post", "to", "so",
		"can you stop the smell", "the boot lid stop is worn"} {
		o := begun.fork()
		if o.say(mia, text); o.chatOf(mia).Stopped {
			t.Errorf("%q stops it", text)
		}
	}
}

// Who stops lets go of all they have asked for, and hears of every booking that still
// stands: also of one they have taken over beside a request of their own.
func TestStoppingCoversWhatWasTakenOver(t *testing.T) {
	o := newOffice(t, signed(t))
	o.asked(zoe, "Volvo V60")
	own := o.enquiry(zoe)
	o.guestBooked("rang Sarah, golf estate outside, she'll drop it off")
	o.tap(boss, "Link for them")
	o.say(zoe, "/start "+o.link())
	if e := o.enquiry(zoe); e.ID != own.ID {
		t.Fatalf("%s is in hand, not her own %s", e.ID, own.ID)
	}
	booked := read[conversations.Enquiry](o, "enq:-1-1")
	o.say(zoe, "stop")
	day := o.talk.Words.Moment(booked.Slot.Start.In(o.talk.Zone))
	if m := o.lastTo(zoe); !strings.Contains(m.Text, "Your booking on "+day+" still stands") {
		t.Errorf("told %q, and %s is booked", m.Text, day)
	}
	if e := read[conversations.Enquiry](o, "enq:"+own.ID); e.Stage != conversations.Closed || len(o.entries(own.ID)) > 0 {
		t.Errorf("her own is %q", e.Stage)
	}
}

// "No more" ends everything, but not where it answers whether there are more photos.
func TestNoMorePhotosIsNoGoodbye(t *testing.T) {
	o := newOffice(t, talk(t))
	o.priced(mia, "Ford Fiesta")
	o.tap(mia, "Find a day", "Nothing like that")
	o.event(mia, o.picture(""))
	o.until(o.now.Add(time.Minute))
	o.say(mia, "no more")
	if c := o.chatOf(mia); c.Stopped || o.enquiry(mia).At != "slot" {
		t.Errorf("stopped %v, at %q: %s", c.Stopped, o.enquiry(mia).At, o.lastTo(mia).Text)
	}
	o.say(mia, "no more")
	if c := o.chatOf(mia); !c.Stopped {
		t.Errorf("elsewhere it stops nothing: %s", o.lastTo(mia).Text)
	}
}
