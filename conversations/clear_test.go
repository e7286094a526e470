package conversations_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/conversations"
)

// stored tells which documents of a kind there are, sorted.
func (o *office) stored(prefix string) (keys []string) {
	for key := range o.docs {
		if strings.HasPrefix(key, prefix) {
			keys = append(keys, key)
		}
	}
	slices.Sort(keys)
	return keys
}

// months is a moment so many months after another, where the business is.
func (o *office) months(from time.Time, n int) time.Time {
	return from.In(o.talk.Zone).AddDate(0, n, 0)
}

// What nobody booked goes when the months of the rules are over since the last word,
// not before, without a word to anybody; what is asked of an old button then is
// answered, and the next enquiry has an id of its own.
func TestUnbookedEnquiriesAreClearedOut(t *testing.T) {
	for _, months := range []string{"6", "1", "14"} {
		o := newOffice(t, with(t, "clear-months: 6 ", "clear-months: "+months+" "))
		n := o.talk.Rules.Quotes.ClearMonths()
		o.priced(mia, "Ford Fiesta")
		id := o.enquiry(mia).ID
		old := o.button(mia, "Find a day")
		o.until(o.now.AddDate(0, 0, 20))
		o.say(mia, "cheaper") // the last word
		last := o.now
		said := 0
		o.until(o.months(last, n).Add(-time.Hour))
		if o.enquiry(mia).ID != id {
			t.Fatalf("%s months: gone too early", months)
		}
		said = len(o.said)
		o.until(o.months(last, n).Add(time.Hour))
		if left := o.stored("enq:"); len(left) > 0 {
			t.Errorf("%s months: still there: %v", months, left)
		}
		if d := cmp.Diff(conversations.Chat{ID: mia, Count: 1}, o.chatOf(mia)); d != "" {
			t.Errorf("%s months: what the chat still knows:\n%s", months, d)
		}
		for id := range o.due {
			t.Errorf("%s months: still due: %s", months, id)
		}
		if len(o.said) > said {
			t.Errorf("%s months: somebody is told %+v", months, o.said[said:])
		}
		o.event(mia, old)
		if m := o.lastTo(mia); m.Text == "" || o.enquiry(mia).ID == id {
			t.Errorf("%s months: an old button is answered %q", months, m.Text)
		}
		o.say(mia, "hello")
		if e := o.enquiry(mia); e.ID == id || e.ID == "" || e.Car != nil {
			t.Errorf("%s months: begun again as %+v", months, e)
		}
	}
}

// What was agreed, done or paid stays, with its plan of reminders and its days, and
// the chat is turned back to it from an enquiry that goes.
func TestWhatWasBookedIsNotClearedOut(t *testing.T) {
	o := newOffice(t, with(t, bank...))
	o.booked(mia, "Ford Fiesta")
	booked := o.enquiry(mia).ID
	o.tap(boss, "Deposit's here")
	o.done()
	o.say(mia, "hello")
	o.say(mia, "Volvo V60")
	open := o.enquiry(mia).ID
	if open == booked {
		t.Fatal("no second enquiry")
	}
	o.tap(boss, "Write")
	days, last := o.stored("day:"), o.now
	plan := read[conversations.Enquiry](o, "enq:"+booked).Plan
	o.until(o.months(last, 6).Add(time.Hour))
	if d := cmp.Diff([]string{"enq:" + booked}, o.stored("enq:")); d != "" {
		t.Errorf("left:\n%s", d)
	}
	if c := o.chatOf(mia); c.Enquiry != booked || !slices.Equal(c.Jobs, []string{booked}) || c.Name != "Mia" {
		t.Errorf("the chat: %+v", c)
	}
	if e := o.enquiry(mia); plan == nil || e.Plan == nil || e.Work == nil {
		t.Errorf("the job: %+v", e)
	}
	if d := cmp.Diff(days, o.stored("day:")); d != "" {
		t.Errorf("days:\n%s", d)
	}
	o.until(o.months(last, 18))
	if o.enquiry(mia).Work == nil || len(o.docs["enq:"+booked].Body) == 0 {
		t.Error("a job went")
	}
}

// A booking that is called off counts from when it was; one that waits for its day
// does not count at all.
func TestACalledOffBookingIsClearedOutLater(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	id := o.enquiry(mia).ID
	o.now = o.now.AddDate(0, 0, 1)
	o.tap(mia, "Call it off")
	o.tap(mia, "Yes, call it off")
	if e := o.enquiry(mia); e.Stage != conversations.Closed && e.Stage != conversations.Asking {
		t.Fatalf("called off is %q", e.Stage)
	}
	last := o.now
	o.until(o.months(last, 6).Add(-time.Minute))
	if len(o.stored("enq:"+id)) == 0 {
		t.Error("gone too early")
	}
	o.until(o.months(last, 6).Add(time.Minute))
	if left := o.stored("enq:"); len(left) > 0 {
		t.Errorf("still there: %v", left)
	}
}

// An enquiry of an earlier release knows neither moment nor date. It counts from when
// it is first seen.
func TestEarlierEnquiriesCountFromWhenTheyAreSeen(t *testing.T) {
	o := newOffice(t, talk(t))
	o.priced(mia, "Ford Fiesta")
	id := o.enquiry(mia).ID
	e := o.enquiry(mia)
	e.Touched = time.Time{}
	doc := o.docs["enq:"+id]
	doc.Body, _ = json.Marshal(e)
	if strings.Contains(string(doc.Body), "touched") {
		t.Fatal("left empty it is written")
	}
	o.docs["enq:"+id] = doc
	clear(o.due)
	o.now = o.months(o.now, 30)
	if !conversations.ToClear(&e, 6, o.now) {
		t.Error("nobody would look at it")
	}
	look := conversations.Due{ID: "seen", What: conversations.Came{Kind: conversations.CameClear, Enquiry: id}}
	o.come(look)
	seen := o.now
	if e = o.enquiry(mia); e.ID != id || conversations.ToClear(&e, 6, o.now) {
		t.Fatalf("seen, it is %+v", e)
	}
	o.now = o.now.AddDate(0, 1, 0)
	o.come(look) // seen once more, it counts no later
	o.until(o.months(seen, 6).Add(-time.Hour))
	if o.enquiry(mia).ID != id {
		t.Error("gone too early")
	}
	o.until(o.months(seen, 6).Add(time.Hour))
	if left := o.stored("enq:"); len(left) > 0 {
		t.Errorf("still there: %v", left)
	}
}
