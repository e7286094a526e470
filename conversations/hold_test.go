package conversations_test

import (
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
)

// kept brings somebody to a time that is kept for them, with two questions left.
func (o *office) kept(who bot.ChatID) {
	o.t.Helper()
	o.say(who, "Ford Fiesta")
	o.tap(who, "Outside", "That's all", "At the workshop")
	o.say(who, "just the price")
	o.tap(who, "Find a day", "Nothing like that", "No photo")
	o.event(who, bot.Tap{ID: "t", Data: o.lastTo(who).Choices[0][0].Data})
	if e := o.enquiry(who); e.Stage != conversations.Held {
		o.t.Fatalf("no time is kept: %q at %q", e.Stage, e.At)
	}
}

// warnings counts how often somebody has heard that a time is kept for some minutes
// more only.
func (o *office) warnings(who bot.ChatID) (n int) {
	for _, m := range o.said {
		if m.Chat == who && strings.HasPrefix(m.Text, "We can keep ") {
			n++
		}
	}
	return n
}

// A hold that is about to lapse is said once, some minutes before, with the question
// that is left and its buttons; what is tapped there counts.
func TestHoldAboutToLapse(t *testing.T) {
	o := newOffice(t, talk(t))
	o.kept(mia)
	end := o.enquiry(mia).HeldUntil
	o.until(o.now.Add(14 * time.Minute))
	if n := o.warnings(mia); n != 0 {
		t.Errorf("warned %d times after 14 of 20 minutes", n)
	}
	o.until(o.now.Add(2 * time.Minute))
	m := o.lastTo(mia)
	if !strings.Contains(m.Text, "for 5 more minutes. If you'd still like it, just carry on here.\n\nWhen the protection (spray sealant) is due again") || !m.NotAfter.Equal(end) {
		t.Fatalf("warned: %q, not after %v, it ends %v", m.Text, m.NotAfter, end)
	}
	o.tap(mia, "No, thank you", "Yes, ask for it")
	if e := o.enquiry(mia); e.Stage != conversations.Waits || !e.HeldUntil.IsZero() {
		t.Errorf("carried on: %q", e.Stage)
	}
	o.until(o.now.Add(time.Hour))
	if n := o.warnings(mia); n != 1 {
		t.Errorf("warned %d times", n)
	}
}

// Nobody is warned who has just answered, and they are after all when they fall
// silent; nobody whose time has gone, as after an outage; nobody in the night; nobody
// whose time is kept for minutes only.
func TestHoldIsNotWarnedOfInVain(t *testing.T) {
	t.Run("just answering", func(t *testing.T) {
		o := newOffice(t, talk(t))
		o.kept(mia)
		start := o.now
		o.until(start.Add(14*time.Minute + 30*time.Second))
		o.tap(mia, "No, thank you")
		o.until(start.Add(16 * time.Minute))
		if n := o.warnings(mia); n != 0 {
			t.Errorf("warned in the middle of answering")
		}
		o.until(start.Add(17 * time.Minute))
		if n := o.warnings(mia); n != 1 || !strings.Contains(o.lastTo(mia).Text, "Shall we ask the boss for this time?") {
			t.Errorf("warned %d times, last %q", n, o.lastTo(mia).Text)
		}
	})
	t.Run("at the last minute", func(t *testing.T) {
		o := newOffice(t, talk(t))
		o.kept(mia)
		start := o.now
		o.until(start.Add(14 * time.Minute))
		o.tap(mia, "No, thank you") // moves it to 16
		o.until(start.Add(15*time.Minute + 50*time.Second))
		o.tap(mia, "‹ Back") // and to almost 18
		o.until(start.Add(17*time.Minute + 30*time.Second))
		o.tap(mia, "No, thank you") // which leaves no room before 19
		o.until(start.Add(25 * time.Minute))
		if n := o.warnings(mia); n != 0 || !strings.HasPrefix(o.lastTo(mia).Text, "We could keep ") {
			t.Errorf("warned %d times, last %q", n, o.lastTo(mia).Text)
		}
	})
	t.Run("after an outage", func(t *testing.T) {
		o := newOffice(t, talk(t))
		o.kept(mia)
		o.now = o.now.Add(40 * time.Minute)
		o.until(o.now)
		if n := o.warnings(mia); n != 0 || !strings.HasPrefix(o.lastTo(mia).Text, "We could keep ") {
			t.Errorf("warned %d times, last %q", n, o.lastTo(mia).Text)
		}
	})
	t.Run("at night", func(t *testing.T) {
		o := newOffice(t, talk(t))
		o.now = time.Date(2027, 4, 12, 22, 30, 0, 0, time.UTC)
		o.kept(mia)
		o.until(o.now.Add(time.Hour))
		if n := o.warnings(mia); n != 0 {
			t.Errorf("warned at half past eleven at night")
		}
	})
	for _, c := range []struct {
		minutes string
		warned  int
	}{{"9", 0}, {"10", 1}, {"60", 1}} {
		t.Run("kept for "+c.minutes+" minutes", func(t *testing.T) {
			o := newOffice(t, with(t, "hold-minutes: 20", "hold-minutes: "+c.minutes))
			o.kept(mia)
			o.until(o.now.Add(2 * time.Hour))
			if n := o.warnings(mia); n != c.warned {
				t.Errorf("warned %d times", n)
			}
		})
	}
}
