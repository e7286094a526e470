package conversations_test

import (
	"maps"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// days are the documents of the diary, as they are stored.
func (o *office) days() map[string]string {
	out := map[string]string{}
	for key, body := range o.docs {
		if strings.HasPrefix(key, "day:") && len(body.Body) > len(`{}`) {
			out[key] = string(body.Body)
		}
	}
	return out
}

// Whatever the owner says of his time, one tap puts the diary back as it was.
func TestTimeOffIsTakenBack(t *testing.T) {
	for _, said := range []string{
		"off Friday 2 to 4", "off 24 Dec to 2 Jan", "block tomorrow morning", "off Friday", "working Sunday 18th till 4", "working next week 7 to 8", "day off tomorrow",
	} {
		o := newOffice(t, talk(t))
		o.booked(mia, "Ford Fiesta")
		before := maps.Clone(o.days())
		o.say(boss, said)
		if cmp.Equal(before, o.days()) {
			t.Errorf("%q changed nothing: %q", said, o.lastTo(boss).Text)
		}
		o.tap(boss, "Undo")
		if diff := cmp.Diff(before, o.days()); diff != "" {
			t.Errorf("%q, taken back (-want +got):\n%s", said, diff)
		}
	}
}

// Time off that is given back in part, and taken back that: as it was.
func TestGivingBackIsTakenBack(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(boss, "off Friday")
	o.say(boss, "free Friday 2 to 4 again")
	open := func() (free bool) {
		o.say(boss, "week")
		return strings.Contains(o.lastTo(boss).Text, "14:00–16:00")
	}
	if !open() {
		t.Fatalf("given back: %q", o.lastTo(boss).Text)
	}
	o.say(boss, "free Friday 2 to 4 again") // is no time off any more
	if said := o.lastTo(boss).Text; !strings.Contains(said, "nothing off") {
		t.Errorf("given back twice: %q", said)
	}
	o.say(boss, "off Friday 2 to 4")
	if open() {
		t.Errorf("off again: %q", o.lastTo(boss).Text)
	}
}

// A job in the time off is named and stands; a request in it can still be agreed
// to; nobody else is offered the time, and a press on it comes too late.
func TestTimeOffAroundJobs(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	slot := o.enquiry(mia).Slot
	day := o.talk.Words.Date(slot.Start.In(o.talk.Zone))
	o.priced(zoe, "Ford Fiesta")
	o.tap(zoe, "Find a day", "Nothing like that", "No photo")
	offered := ""
	for _, row := range o.lastTo(zoe).Choices {
		if strings.HasPrefix(row[0].Label, day) {
			offered = row[0].Label
		}
	}
	if offered == "" {
		t.Fatalf("nothing on %s is offered: %+v", day, o.lastTo(zoe).Choices)
	}

	o.say(boss, "off "+day)
	if said := o.lastTo(boss).Text; !strings.Contains(said, "Mia, Ford Fiesta (not agreed yet)") {
		t.Errorf("around a request: %q", said)
	}
	o.tap(boss, "Yes, book it")
	o.say(boss, "off "+day)
	if said := o.lastTo(boss).Text; !strings.Contains(said, "Mia, Ford Fiesta\n") {
		t.Errorf("around a booking: %q", said)
	}
	o.button(boss, "Move Mia")

	o.tap(zoe, offered)
	if said := o.lastTo(zoe); o.enquiry(zoe).Slot != nil || strings.HasPrefix(said.Choices[0][0].Label, day) {
		t.Errorf("a time in the time off is given away: %q %+v", said.Text, said.Choices)
	}
	if diff := cmp.Diff(slot, o.enquiry(mia).Slot); diff != "" {
		t.Errorf("the booking (-was +is):\n%s", diff)
	}
}

// A Sunday the owner works on is offered like any day.
func TestWorkingOnASunday(t *testing.T) {
	o := newOffice(t, talk(t))
	for _, off := range []string{"off tomorrow to Saturday", "off next week", "working Sunday 10 to 1"} {
		o.say(boss, off)
	}
	if said := o.lastTo(boss).Text; !strings.Contains(said, "10:00 to 13:00") {
		t.Fatalf("working on a Sunday: %q", said)
	}
	o.priced(mia, "Ford Fiesta")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	if first := o.lastTo(mia).Choices[0][0].Label; !strings.HasPrefix(first, "Sun") || !strings.HasSuffix(first, "10:00") {
		t.Errorf("the first time offered is %s", first)
	}
}
