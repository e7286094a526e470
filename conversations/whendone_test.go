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
	for _, said := range []string{"Hi, roughly what time can i pick it up?", "when", "will it be ready by 3?", "how long will you be?"} {
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

// A question while the owner is at the car is passed on without the desk falling silent,
// and once the receipt is sent the desk has the chat, unless the owner's own words to them
// are unanswered.
func TestTheDeskIsThereAfterTheJob(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.until(start.enquiry(mia).Slot.Start)
	start.tap(boss, "Start work")
	n := len(start.said)
	start.say(mia, "can you leave the keys with my neighbour please")
	if !start.heard(boss, n, "leave the keys") || !start.heard(mia, n, "We've passed that on to the boss; the answer comes here.") || start.chatOf(mia).Person {
		t.Errorf("mid job she reads %q", start.lastTo(mia).Text)
	}
	finish := func(o *office) {
		o.say(boss, "finish", "90", "80")
		o.tap(boss, "That's all ›")
	}
	asked := start.fork()
	asked.say(mia, "person")
	finish(asked)
	asked.say(mia, "mint thanks")
	if m := asked.lastTo(mia); !strings.HasPrefix(m.Text, "You're welcome") {
		t.Errorf("thanks after the receipt: %q", m.Text)
	}
	asked.until(asked.now.AddDate(0, 0, 2))
	asked.say(mia, "how much would the outside be")
	if m := asked.lastTo(mia); asked.chatOf(mia).Person || asked.enquiry(mia).ID == start.enquiry(mia).ID {
		t.Errorf("days later she reads %q", m.Text)
	}
	wrote := start.fork()
	wrote.tap(boss, "Write to them")
	wrote.say(boss, "Is the key with you?")
	finish(wrote)
	n = len(wrote.said)
	wrote.say(mia, "yes it's with me")
	if !wrote.heard(boss, n, "yes it's with me") || wrote.chatOf(mia).Person {
		t.Errorf("what answers the owner is lost: %q", wrote.lastTo(boss).Text)
	}
}
