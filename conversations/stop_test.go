package conversations_test

import "testing"

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
