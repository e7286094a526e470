package conversations_test

import (
	"fmt"
	"strings"
	"testing"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/pricing"
)

// finished takes a booking of the outside to its end, found as the owner taps it.
func (o *office) finished(who bot.ChatID, car string, grades ...string) {
	o.t.Helper()
	o.booked(who, car)
	o.tap(boss, "Look over", "Grades")
	for _, g := range grades {
		o.tap(boss, "Paintwork", g)
	}
	if len(grades) > 0 {
		o.tap(boss, "They've said yes")
	}
	o.tap(boss, "Done")
	o.say(boss, "150", fmt.Sprint(min(max(95, o.enquiry(who).Quote.Low/100), o.enquiry(who).Quote.High/100)))
	o.tap(boss, "That's all ›")
	if o.enquiry(who).Stage != conversations.Done {
		o.t.Fatalf("not done: %s", o.lastTo(boss).Text)
	}
}

// A car that comes again is known: one line on the card, the whole with a tap, and
// a price that reckons with how it was found, a little. Another car is not.
func TestCarComesAgain(t *testing.T) {
	o := newOffice(t, talk(t))
	o.finished(mia, "Ford Fiesta", "1")
	o.tap(boss, "What worked")
	o.say(boss, "tar  remover, twice\non the sills")
	o.tap(boss, "What stayed")
	o.say(boss, "today") // also a word of the desk is what he says of the car
	o.asked(mia, "Ford Fiesta")
	card := o.lastTo(boss).Text
	if !strings.Contains(card, "Here before: Mon 12 Apr 2027, Outside, 2 hours 30 minutes. Stayed: today.") {
		t.Errorf("the card says %q", card)
	}
	o.tap(boss, "Last time")
	o.told(t, "last time", "Mia's Ford Fiesta:", "Mon 12 Apr 2027: Outside. 2 hours 30 minutes, ", "£60", "Found: Paintwork 1", "Put on: spray sealant", "Worked: tar remover, twice on the sills", "Stayed: today")
	again := o.enquiry(mia)
	if again.Past == nil || again.Past.Found[pricing.Paintwork] != pricing.Light {
		t.Fatalf("known of it: %+v", again.Past)
	}
	o.asked(zoe, "Ford Fiesta")
	if strings.Contains(o.lastTo(boss).Text, "Here before") {
		t.Error("somebody else's car is taken for it")
	}
	if first := o.enquiry(zoe).Quote; again.Quote.P50 >= first.P50 {
		t.Errorf("kept last time, and reckoned at %.0f minutes against %.0f", again.Quote.P50, first.P50)
	}
}

// Another car of the same person starts from nothing.
func TestAnotherCarIsNotKnown(t *testing.T) {
	o := newOffice(t, talk(t))
	o.finished(mia, "Ford Fiesta", "4")
	o.priced(mia, "Volvo V60")
	if p := o.enquiry(mia).Past; p == nil || p.Of != "" {
		t.Errorf("known of it: %+v", p)
	}
}

// A remark is for the owner alone to make, and once asked for the next text is it.
func TestRemarks(t *testing.T) {
	o := newOffice(t, talk(t))
	o.finished(mia, "Ford Fiesta")
	press := o.button(boss, "What stayed")
	o.event(zoe, press)
	if o.chatOf(zoe).Remark != "" {
		t.Error("a customer was asked for a remark")
	}
	o.event(boss, press)
	o.say(boss, "/start", "nothing to keep")
	if w := o.enquiry(mia).Work; len(w.Stayed) != 0 {
		t.Errorf("kept %q", w.Stayed)
	}
}
