package conversations_test

import (
	"maps"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
)

// forward is somebody's words as the owner sends them on.
func forward(of, words string) bot.Text {
	return bot.Text{Body: words, Message: 700, Forward: &bot.Forward{Name: of}}
}

func (o *office) guest(id string) conversations.Enquiry {
	return read[conversations.Enquiry](o, "enq:"+id)
}

// What the owner sends on of somebody's begins their enquiry as "rang" does, goes
// on with it while it is open, and keeps people apart by name.
func TestForwardingOpensAnEnquiry(t *testing.T) {
	o := newOffice(t, talk(t))
	o.event(boss, forward("Sarah Lane", "golf estate inside and out, dog hair, I'd drop it off"))
	rang := newOffice(t, talk(t))
	rang.say(boss, "rang Sarah, golf estate inside and out, dog hair, I'd drop it off")
	got, want := o.guest("-1-1"), rang.guest("-1-1")
	if got.Name != "Sarah Lane" {
		t.Errorf("name %q", got.Name)
	}
	if d := cmp.Diff(want.Answers, got.Answers); d != "" || len(got.Answers) < 3 {
		t.Errorf("understood (-rang +forwarded):\n%s", d)
	}
	// Her answer to what was passed on to her.
	o.event(boss, forward("Sarah", "2"))
	if e := o.guest("-1-1"); e.At == got.At {
		t.Errorf("still at %q after her answer", e.At)
	}
	o.event(boss, forward("Tom", "Ford Fiesta outside please"))
	if e := o.guest("-2-1"); e.Name != "Tom" || e.Car == nil {
		t.Errorf("Tom's: %+v", e)
	}
	if c := o.chatOf(boss); c.Guest != -2 || c.Guests != 2 {
		t.Errorf("in hand %d of %d", c.Guest, c.Guests)
	}
}

// A picture sent on is filed with the guest in hand, or begins with one; also while
// the owner is at somebody's car, whose picture it is not.
func TestForwardingPictures(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Ford Fiesta", "Outside")
	shots := len(o.enquiry(mia).Job.Shots)
	for range 2 {
		ph := o.picture("a")
		ph.Forward = &bot.Forward{Name: "Sarah"}
		o.event(boss, ph)
	}
	if e := o.guest("-1-1"); e.Name != "Sarah" || len(e.Photos) != 2 {
		t.Fatalf("hers: %+v", e)
	}
	if n := len(o.enquiry(mia).Job.Shots); n != shots {
		t.Errorf("%d of them went to the car at hand", n-shots)
	}
	ph := o.picture("")
	ph.Caption, ph.Forward = "golf estate", &bot.Forward{Name: "Sarah"}
	o.event(boss, ph)
	if e := o.guest("-1-1"); len(e.Photos) != 3 || e.Car == nil {
		t.Errorf("with words below it: %+v", e)
	}
	if _, there := o.docs["enq:-2-1"]; there {
		t.Error("another enquiry was begun")
	}
}

// Words sent on command nothing: neither the desk nor what the owner was about to
// do with his next text.
func TestForwardedWordsCommandNothing(t *testing.T) {
	for _, words := range []string{"rate 1", "minimum 1", "rained off", "off friday", "undo", "stop", "back", "link", "/start", "rang Bob, golf outside", "running 20 late", "150"} {
		o := newOffice(t, talk(t))
		o.booked(mia, "Ford Fiesta")
		o.tap(boss, "Write to them")
		before := o.others(boss)
		o.event(boss, forward("Sarah", words))
		if o.guest("-1-1").Name != "Sarah" {
			t.Errorf("%q began nothing", words)
		}
		after := o.others(boss)
		for _, key := range []string{"chat:-1", "enq:-1-1"} {
			delete(after, key)
		}
		if !maps.Equal(before, after) {
			t.Errorf("%q changed\n%s", words, cmp.Diff(before, after))
		}
		n := len(o.said)
		o.event(boss, forward("Sarah", words))
		for _, m := range o.said[n:] {
			if m.Chat != boss {
				t.Errorf("%q reached %d: %q", words, m.Chat, m.Text)
			}
		}
	}
	// What nobody can be named for begins nothing.
	o := newOffice(t, talk(t))
	n := len(o.said)
	o.event(boss, forward("", "golf estate"))
	if _, there := o.docs["enq:-1-1"]; there || !o.heard(boss, n, "whose") {
		t.Errorf("of nobody: %+v", o.said[n:])
	}
}

// A customer's own forwarding is a message like any other.
func TestCustomersForwarding(t *testing.T) {
	plainly, sentOn := newOffice(t, talk(t)), newOffice(t, talk(t))
	plainly.event(mia, bot.Text{Body: "Ford Fiesta, outside", Message: 700})
	sentOn.event(mia, forward("Sarah", "Ford Fiesta, outside"))
	if d := cmp.Diff(plainly.enquiry(mia), sentOn.enquiry(mia)); d != "" {
		t.Errorf("(-written +sent on):\n%s", d)
	}
}
