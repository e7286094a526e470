package conversations_test

import (
	"strings"
	"testing"
	"time"
)

// A date with stops is a date wherever days are spoken of, and no sum and no hour; an hour or a
// sum with a stop is no date.
func TestADateWithStops(t *testing.T) {
	tk := talk(t)
	o := pricedFor(t, "golf estate inside and outside at yours", "just the price")
	o.say(mia, "ok", "nothing like that", "no photo")
	if at := o.enquiry(mia).At; at != "slot" {
		t.Fatalf("at %s", at)
	}
	day := o.now.AddDate(0, 0, 9).In(tk.Zone)
	for day.Day() < 21 || day.Weekday() == time.Sunday {
		day = day.AddDate(0, 0, 1)
	}
	date := tk.Words.Date(day)
	for _, said := range []string{day.Format("2.01"), day.Format("2.01."), day.Format("2.01.06"), day.Format("2/1"), day.Format("2.1.2006"), day.Format("the 2 Jan"),
		"would " + day.Format("2.01") + " work?", day.Format("2.01") + " please", day.Format("(2.01)")} {
		f := o.fork()
		f.say(mia, said)
		found := false
		for _, row := range f.lastTo(mia).Choices {
			for _, b := range row {
				found = found || strings.HasPrefix(b.Label, date)
			}
		}
		if e := f.enquiry(mia); !found || len(e.Answers["budget"]) > 0 {
			t.Errorf("%q: not %s, budget %v\n%s", said, date, e.Answers["budget"], f.lastTo(mia).Text)
		}
	}
	for said, noDate := range map[string]string{"10.30": "10:30", "at 11.30 please": "11:30"} {
		f := o.fork()
		f.say(mia, said)
		if first := f.lastTo(mia).Choices[0][0].Label; !strings.HasSuffix(first, noDate) {
			t.Errorf("%q offers %s", said, first)
		}
	}
	for said, figure := range map[string]string{"90.10 quid": "90", "£95.11": "95", "24.12": "", "21.11 please": ""} {
		o := pricedFor(t, "golf estate inside and outside at yours", "just the price")
		o.say(mia, said)
		if got := strings.Join(o.enquiry(mia).Answers["budget"], " "); got != figure {
			t.Errorf("%q: figure %q, want %q", said, got, figure)
		}
	}
}
