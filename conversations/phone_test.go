package conversations_test

import (
	"strings"
	"testing"
)

// A telephone number written down with somebody who rang is kept, said back and shown.
// 07700 900000 to 900999 and 01632 960000 to 960999 are set aside for fiction (Ofcom,
// telephone numbers for use in TV and radio drama).
func TestTheNumberOfWhoRang(t *testing.T) {
	for _, c := range []struct{ says, number, then string }{
		{"rang bev, 07700 900123, nissan qashqai inside and out, she'll drop it off", "07700 900123", "Nissan Qashqai; Outside, Inside"},
		{"rang bev 07700900123 qashqai inside n out", "07700900123", "Nissan Qashqai; Outside, Inside"},
		{"rang 01632 960 123 bev, nissan qashqai inside", "01632 960 123", "Nissan Qashqai; Inside"},
		{"rang bev, +44 7700 900123. qashqai inside", "+44 7700 900123", "Nissan Qashqai; Inside"},
		{"rang bev, qashqai inside at hers", "", "At home or work"},
		{"rang bev, qashqai inside at her place, 2 3 4 or 10 12", "", "At home or work"},
	} {
		o := newOffice(t, talk(t))
		o.say(boss, c.says)
		m := o.lastTo(boss).Text
		if !strings.Contains(m, "For Bev:") || !strings.Contains(m, c.number) || !strings.Contains(m, c.then) {
			t.Errorf("%q: %q", c.says, m)
		}
		if got := o.enquiry(-1).Phone; got != c.number {
			t.Errorf("%q: kept is %q", c.says, got)
		}
	}
	// It may come later.
	o := newOffice(t, talk(t))
	o.say(boss, "rang bev, nissan qashqai outside")
	question := o.lastTo(boss).Text
	o.say(boss, "her number is 07700 900123")
	if e := o.enquiry(-1); e.Phone != "07700 900123" || !strings.HasSuffix(question, o.lastTo(boss).Text[len("For Bev: "):]) {
		t.Errorf("then %q is kept, and asked: %q", e.Phone, o.lastTo(boss).Text)
	}
}

// What he has for somebody who rang is his to tell them: nothing is said to be sent.
func TestNothingIsSentToWhoRang(t *testing.T) {
	o := newOffice(t, talk(t))
	o.guestBooked("rang Sarah, 07700 900123, golf estate outside, she'll drop it off")
	n := len(o.said)
	o.say(boss, "sarah")
	if m := o.lastTo(boss).Text; !strings.Contains(m, "Sarah, 07700 900123, Volkswagen Golf Estate") {
		t.Errorf("her visit: %q", m)
	}
	o.say(boss, "tell sarah bring the spare key")
	if m := o.lastTo(boss).Text; !strings.Contains(m, "on 07700 900123:\nbring the spare key") || o.heard(boss, n, "Passed on") || o.heard(boss, n, "To pass on") {
		t.Errorf("the line: %q", m)
	}
}
