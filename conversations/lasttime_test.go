package conversations_test

import (
	"strconv"
	"strings"
	"testing"
)

// Whoever holds the last price against this one hears what it was for and what differs, however
// it is put; an hour behind "before" is none.
func TestItWasLessLastTime(t *testing.T) {
	start := newOffice(t, talk(t))
	start.finished(mia, "Ford Fiesta")
	start.until(start.now.AddDate(0, 0, 40))
	paid := start.enquiry(mia).Work.Price / 100
	for began, tells := range map[string]string{
		"same again but with the inside":                      "for Outside; £",
		"same as last time please":                            "beforehand then too",
		"volvo v60 estate, the outside please, i'll bring it": "for the Ford Fiesta, Outside; £",
	} {
		o := start.fork()
		o.say(mia, began)
		for n := 0; o.enquiry(mia).Quote == nil && n < 5; n++ {
			o.say(mia, "just the price")
		}
		at := o.enquiry(mia).At
		sum := strconv.FormatInt(paid, 10)
		for _, says := range []string{"it was £" + sum + " last time??", "was only " + sum + " last time", "you charged me " + sum + " before", "it was 20 quid less last time", "last time i paid " + sum} {
			f := o.fork()
			f.say(mia, says)
			if got := f.lastTo(mia).Text; !strings.Contains(got, "it came to £"+sum) || !strings.Contains(got, tells) || f.enquiry(mia).At != at {
				t.Errorf("%q, then %q at %s: %q", began, says, at, got)
			}
		}
		f := o.fork()
		if f.say(mia, "need it back before 12"); strings.Contains(f.lastTo(mia).Text, "it came to") {
			t.Errorf("before 12: %q", f.lastTo(mia).Text)
		}
	}
}
