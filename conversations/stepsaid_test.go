package conversations_test

import (
	"strings"
	"testing"
)

// What was promised of a piece of work, and what they told of where it is, stands beside its
// step: on the job sheet, in the page to print, and under the step in hand. What was taken
// back stands only with what took it back.
func TestWhatIsToldStandsBesideItsStep(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "VW Golf estate, inside. Dog hair all over the boot. And I can bring it to you")
	o.say(mia, "2", "The worst of the hair is behind the back seat")
	o.tap(mia, "Just the price")
	o.say(mia, "70")
	o.tap(mia, "Find a day", "Nothing like that")
	o.say(mia, "there is a scratch on the passenger door", "no scratch, sorry")
	o.tap(mia, "No photo", "Thu", "Yes, ask for it")
	const hair = "They wrote: Dog hair all over the boot."
	const worst = "They wrote: The worst of the hair is behind the back seat"
	const back = "They also wrote: no scratch, sorry (before that: there is a scratch on the passenger door)"
	if c := o.card().Text; !strings.Contains(c, back) || strings.Contains(c, "wrote: there is") {
		t.Errorf("the card says\n%s", c)
	}
	o.tap(boss, "Yes, book it", "Job sheet")
	stop := o.enquiry(mia).Quote.Stops["pet-hair-out"]
	if stop == 0 {
		t.Fatalf("nothing stops: %v", o.enquiry(mia).Quote.Tasks)
	}
	sheet, page := "", ""
	for _, m := range o.chat[boss] {
		if m.Kind == "sheet" {
			sheet += m.Text + "\n\n"
			if m.File != nil {
				page = string(m.File.Data)
			}
		}
	}
	for _, block := range strings.Split(sheet, "\n\n") {
		is := strings.Contains(block, " Pet hair pulled out (")
		if has := strings.Contains(block, "at most, as they were told") && strings.Contains(block, hair) && strings.Contains(block, worst); has != is {
			t.Errorf("%v in\n%s", has, block)
		}
	}
	for _, line := range []string{hair, worst, "at most, as they were told", "no scratch, sorry (before that"} {
		if !strings.Contains(page, line) || !strings.Contains(sheet, line) {
			t.Errorf("%q is not on the sheet", line)
		}
	}
	o.until(o.enquiry(mia).Slot.Start)
	o.tap(boss, "Start work")
	for range 10 {
		m := o.lastTo(boss).Text
		if strings.Contains(m, "about") && strings.Contains(strings.Split(m, "\n\n")[0], "Pet hair pulled out\n") {
			if !strings.Contains(m, worst) || !strings.Contains(m, "stop and ask") {
				t.Errorf("at the step he reads\n%s", m)
			}
			return
		}
		o.tap(boss, "Done")
	}
	t.Error("the step never came")
}
