package conversations_test

import (
	"strings"
	"testing"
	"time"
)

// Whoever asks while their car is being worked on hears when it should be ready as the work
// now stands, and is offered nothing that cannot be had any more.
func TestWhenItIsReadyWhileTheWorkRuns(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Ford Fiesta", "Outside")
	o.say(mia, "what time can I pick it up?")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "We're at your Ford Fiesta now.") || len(m.Choices) > 0 {
		t.Errorf("before the first step: %q, with %v", m.Text, m.Choices)
	}
	o.tap(boss, "Start work")
	for _, said := range []string{"Hi, roughly what time can i pick it up?", "when", "will it be ready by 3?", "how long will you be?", "is it nearly ready?", "is it nearly done yet?"} {
		o.say(mia, said)
		m := o.lastTo(mia)
		_, after, ok := strings.Cut(o.lastTo(boss).Text, "Done by about ")
		his, err := time.Parse("15:04", strings.TrimSuffix(strings.TrimSpace(after), "."))
		_, after, found := strings.Cut(m.Text, "should be done by about ")
		theirs, err2 := time.Parse("15:04", after[:min(5, len(after))])
		if !ok || !found || err != nil || err2 != nil || theirs.Before(his) || theirs.Sub(his) > 5*time.Minute || len(m.Choices) > 0 {
			t.Errorf("%q is answered %q, with %v; the owner reads %q", said, m.Text, m.Choices, o.lastTo(boss).Text)
		}
	}
	o.worked(mia)
	o.say(mia, "is it ready?")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "done but for a last look") {
		t.Errorf("after the last step: %q", m.Text)
	}
}
