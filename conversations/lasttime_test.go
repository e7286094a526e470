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

// What there is to do more of now than the last time is named, and the work is not called the
// same where there is more of it in the list.
func TestWhatIsNewInTheListIsNamed(t *testing.T) {
	start := newOffice(t, talk(t))
	start.finished(mia, "Ford Fiesta", "1")
	start.until(start.now.AddDate(0, 0, 3))
	o := start.fork()
	o.t = t
	o.say(mia, "same again please")
	o.say(mia, "4", "how come its so much more than last time")
	if got := o.lastTo(mia).Text; !strings.Contains(got, "New in the list since: ") || strings.Contains(got, "for the same work") {
		t.Errorf("the difference is told as %q", got)
	}
}

// A number that was a slip is put right in words, wherever the enquiry stands; and the state of
// a car that was here is "about the same as last time".
func TestAGradeIsMeantOtherwise(t *testing.T) {
	start := newOffice(t, talk(t))
	start.say(mia, "Ford Fiesta, inside only, i'll bring it", "3")
	if start.enquiry(mia).Answers["cond-interior"] == nil {
		t.Fatalf("answers %v", start.enquiry(mia).Answers)
	}
	for said, want := range map[string]string{
		"sorry meant 2 not 3": "2", "i meant 2": "2", "sorry i mean a 4": "4", "not 3, i meant 1": "1",
		"i meant 20": "3", "i meant the wednesday": "3",
	} {
		for _, priced := range []bool{false, true} {
			o := start.fork()
			o.t = t
			if priced {
				o.say(mia, "just the price")
			}
			o.say(mia, said)
			if got := o.enquiry(mia).Answers["cond-interior"]; len(got) != 1 || got[0] != want {
				t.Errorf("%q (priced %t) makes it %v: %q", said, priced, got, o.lastTo(mia).Text)
			}
		}
	}
}

// Where a car was here before, its state can be the same as then, and what it was found in then
// is what is meant.
func TestTheStateOfLastTime(t *testing.T) {
	start := newOffice(t, talk(t))
	start.finished(mia, "Ford Fiesta", "3")
	start.until(start.now.AddDate(0, 0, 3))
	start.say(mia, "same again please")
	for said, taken := range map[string]bool{"about the same as last time": true, "same as before really": true, "same as last time, can you do the wheels too?": false, "worse than last time": false} {
		o := start.fork()
		o.t = t
		o.say(mia, said)
		if got := o.enquiry(mia).Answers["cond-paintwork"]; (len(got) == 1 && got[0] == "3") != taken {
			t.Errorf("%q makes it %v: %q", said, got, o.lastTo(mia).Text)
		}
	}
	o := newOffice(t, talk(t)) // of a car we have not had nobody knows
	o.say(mia, "Ford Fiesta, outside only, i'll bring it", "about the same as last time")
	if got := o.enquiry(mia).Answers["cond-paintwork"]; len(got) != 1 || got[0] != "unsure" {
		t.Errorf("of a car that was not here: %v, %q", got, o.lastTo(mia).Text)
	}
}
