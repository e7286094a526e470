package conversations_test

import (
	"strings"
	"testing"
	"unicode/utf16"
)

// However long somebody writes, every message fits into what the platform takes, and what
// is sent on arrives whole: only what is shown of it before is shortened.
func TestLongWordsFitAndArriveWhole(t *testing.T) {
	line := strings.TrimSpace(strings.Repeat("the bonnet 😀 wants another look ", 125)) // 4000 units and more
	squeeze := func(s string) string { return strings.Join(strings.Fields(s), "") }
	for _, c := range []struct {
		name string
		do   func(*office)
	}{
		{"told", func(o *office) { o.say(boss, "tell mia "+line); o.tap(boss, "Send it") }},
		{"written", func(o *office) { o.tap(boss, "Write to them"); o.say(boss, line) }},
		{"turned down", func(o *office) { o.tap(boss, "No"); o.say(boss, line); o.tap(boss, "Send it") }},
	} {
		o := newOffice(t, talk(t))
		o.asked(mia, "Ford Fiesta")
		n := len(o.said)
		c.do(o)
		var heard strings.Builder
		for _, m := range o.said[n:] {
			if got := len(utf16.Encode([]rune(m.Text))); got > 4096 {
				t.Errorf("%s: %d units in %q", c.name, got, m.Kind)
			}
			if m.Chat == mia {
				heard.WriteString(strings.TrimPrefix(m.Text, "From the workshop: ") + " ")
			}
		}
		if !strings.Contains(squeeze(heard.String()), squeeze(line)) {
			t.Errorf("%s: Mia reads %q", c.name, heard.String())
		}
	}
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	for _, then := range []func(){
		func() { o.say(mia, line) },
		func() { o.until(o.enquiry(mia).Slot.Start); o.tap(boss, "Look over"); o.say(boss, line) },
		func() { o.tap(boss, "Start work"); o.say(boss, line, "85 cash "+line, "settings "+line) },
		func() { o.say(mia, line) },
	} {
		n := len(o.said)
		then()
		for _, m := range o.said[n:] {
			if got := len(utf16.Encode([]rune(m.Text))); got > 4096 {
				t.Errorf("%d units in %q", got, m.Kind)
			}
		}
	}
}
