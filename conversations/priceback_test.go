package conversations_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// The work of the price before comes back at that price, by its figure too; what it rested on
// is said to whoever asks why it is another, and the price read back is confirmed.
func TestBackToThePriceBefore(t *testing.T) {
	start := []string{"passat saloon inside and out, ill bring it", "just the price", "ok add the polish then", "3"}
	for _, says := range []string{"blimey no. leave the polish out then, back to the %d one", "without the polish then", "back to the £%d", "the %d one please"} {
		o := pricedFor(t, start[:2]...)
		before := o.enquiry(mia).Quote
		o.say(mia, start[2:]...)
		after := o.enquiry(mia).Quote
		if strings.Contains(says, "%") {
			says = fmt.Sprintf(says, before.Likely/100)
		}
		o.say(mia, says)
		e, last := o.enquiry(mia), o.lastTo(mia).Text
		if after.Likely <= before.Likely || e.Quote.Likely != before.Likely || e.Quote.High != before.High || len(e.Answers["budget"]) > 0 || strings.Contains(last, "One car") {
			t.Errorf("%q: %d, then %d, now %d to %d, figure %v:\n%s", says, before.Likely, after.Likely, e.Quote.Likely, e.Quote.High, e.Answers["budget"], last)
		}
		o.say(mia, fmt.Sprintf("why %d now it was %d", before.Likely/100, after.Likely/100))
		if last := o.lastTo(mia).Text; !strings.Contains(last, fmt.Sprintf("£%d was for Outside, Inside, Machine polish; £%d is for Outside, Inside.", after.Likely/100, before.Likely/100)) || !strings.Contains(last, "What moves this price most") {
			t.Errorf("%q, why another:\n%s", says, last)
		}
		o.say(mia, fmt.Sprintf("so is that %d all in?", before.Likely/100))
		if last := o.lastTo(mia).Text; !strings.HasPrefix(last, "Yes, that's for everything on the list.") {
			t.Errorf("%q, read back:\n%s", says, last)
		}
	}
}

// A soft top is proofed in whatever words, and a long way is a line of the price.
func TestProofingAndTheWay(t *testing.T) {
	start := []string{"mx5, just the outside and the soft top, ill bring it", "just the price"}
	for _, says := range []string{"perfect. and can you proof the roof too", "please proof the roof too", "can you proof the roof too", "could you waterproof it as well?"} {
		o := pricedFor(t, start...)
		o.say(mia, says)
		if e := o.enquiry(mia); !slices.Contains(e.Quote.Tasks, "soft-top-proof") {
			t.Errorf("%q: %v\n%s", says, e.Answers["wants"], o.lastTo(mia).Text)
		}
	}
	o := newOffice(t, talk(t))
	o.say(mia, "mx5, just the outside and the soft top, at my place", "driveway", "tap and socket", "gravel", "60 miles", "just the price")
	q, last := o.enquiry(mia).Quote, o.lastTo(mia).Text
	if q == nil || q.Way < 10_00 || !strings.Contains(last, fmt.Sprintf("About £%d of that is for the drive to you.", q.Way/100)) {
		t.Fatalf("%+v\n%s", q, last)
	}
	for _, says := range []string{"bit steep?? how come", "how come its that much", "why so much"} {
		o := o.fork()
		o.say(mia, says)
		if last := o.lastTo(mia).Text; !strings.Contains(last, "Travel beyond the free miles") {
			t.Errorf("%q:\n%s", says, last)
		}
	}
	o.say(mia, "bit steep", "why so much")
	if e := o.enquiry(mia); e.At != "quote" {
		t.Errorf("asked for a figure, why: at %s\n%s", e.At, o.lastTo(mia).Text)
	}
}
