package conversations_test

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/dryhand/bot"
)

// pricedFor is the office with somebody who has been named a price for both sides, with a dog's hair inside.
func pricedFor(t *testing.T, says ...string) *office {
	t.Helper()
	o := newOffice(t, talk(t))
	o.say(mia, says...)
	if e := o.enquiry(mia); e.At != "quote" || e.Quote == nil {
		t.Fatalf("%q: no price, at %s", says, e.At)
	}
	return o
}

// What was named goes before the rest where money is short; what of it the money does not
// reach is said, with what all of it would cost.
func TestWhatWasNamedComesFirst(t *testing.T) {
	for _, c := range []struct {
		says      []string
		in, out   []string
		missed    bool
		wantsOnly string
	}{
		{[]string{"a wash and hoover, dog hair, golf hatchback at your place, £60", "just the price"}, []string{"vacuum", "pet-hair-out"}, []string{"plastics-wipe"}, true, "exterior interior"},
		{[]string{"a wash and hoover, dog hair, golf hatchback at your place", "just the price", "60", "just the inside then. hoover and the dog hair for 60"}, []string{"vacuum", "pet-hair-out"}, []string{"wash", "dry"}, false, "interior"},
		{[]string{"a wash and hoover, golf hatchback at your place", "just the price", "just the inside, hoover it for 65"}, []string{"vacuum"}, []string{"wash"}, false, "interior"},
		{[]string{"golf hatchback inside and out and the wheels, at your place, £70", "just the price"}, []string{"wheels-light"}, nil, false, "exterior interior wheels"},
	} {
		o := pricedFor(t, c.says...)
		e, last := o.enquiry(mia), o.lastTo(mia).Text
		for _, id := range c.in {
			if !slices.ContainsFunc(e.Quote.Tasks, func(have string) bool { return have == id || id == "wheels-light" && strings.HasPrefix(have, "wheel") }) {
				t.Errorf("%q: %s is not in %v", c.says, id, e.Quote.Tasks)
			}
		}
		for _, id := range c.out {
			if slices.Contains(e.Quote.Tasks, id) {
				t.Errorf("%q: %s is in %v", c.says, id, e.Quote.Tasks)
			}
		}
		if missed := strings.Contains(last, "Of what you named"); missed != c.missed || c.missed && (e.Quote.Named == nil || !strings.Contains(last, "would be likely")) {
			t.Errorf("%q: said what is missed: %v\n%s", c.says, missed, last)
		}
		if got := strings.Join(e.Answers["wants"], " "); got != c.wantsOnly {
			t.Errorf("%q: wants %s", c.says, got)
		}
	}
}

// The price said over again with a question or a complaint is no figure to stay under.
func TestThePriceRepeatedIsNoFigure(t *testing.T) {
	start := []string{"golf hatchback inside and out at your place", "just the price"}
	o := pricedFor(t, start...)
	likely := fmt.Sprintf("£%d", o.enquiry(mia).Quote.Likely/100)
	for says, figure := range map[string]string{
		likely + " for an hour?? why is it so much":             "",
		"thats a lot, " + strings.TrimPrefix(likely, "£") + "?": "",
		"bit steep, " + likely:                                  "",
		"bit steep, 80":                                         "80",
		"what about 80?":                                        "80",
	} {
		o := pricedFor(t, start...)
		o.say(mia, says)
		e, last := o.enquiry(mia), o.lastTo(mia).Text
		if got := strings.Join(e.Answers["budget"], " "); got != figure || figure == "" && !strings.Contains(last, "What moves this price most") {
			t.Errorf("%q: figure %q:\n%s", says, got, last)
		}
	}
	o = pricedFor(t, start...)
	o.say(mia, "bit steep", "thats a lot, "+likely+"?")
	if e := o.enquiry(mia); e.At != "quote" || len(e.Answers["budget"]) > 0 {
		t.Errorf("asked for a figure, %s? is one: at %s, %v", likely, e.At, e.Answers["budget"])
	}
}

// The price as it was before the last change comes back, and the change with the same
// words again.
func TestPutItBack(t *testing.T) {
	o := pricedFor(t, "golf hatchback inside and out at your place", "just the price")
	before := o.enquiry(mia).Quote.Likely
	for _, change := range []string{"80", "just the outside then", "with the wax please"} {
		o.say(mia, change)
		after := o.enquiry(mia).Quote.Likely
		o.say(mia, "put it back how it was")
		if got := o.enquiry(mia).Quote.Likely; after == before || got != before {
			t.Errorf("%q: %d, then %d, put back %d", change, before, after, got)
		}
		o.say(mia, "put that back please")
		if got := o.enquiry(mia).Quote.Likely; got != after {
			t.Errorf("%q: put back again %d, was %d", change, got, after)
		}
		o.say(mia, "put it back how it was")
	}
	o = pricedFor(t, "golf hatchback inside and out at your place", "just the price")
	o.say(mia, "put it back how it was")
	if !strings.Contains(o.lastTo(mia).Text, "All of it, in the order we work") {
		t.Errorf("nothing to put back:\n%s", o.lastTo(mia).Text)
	}
}

// What is asked for besides, once there is a time, is followed: the price is said anew and
// the time stays.
func TestMoreWorkOnceThereIsATime(t *testing.T) {
	o := pricedFor(t, "golf hatchback outside at your place", "just the price")
	o.say(mia, "find a day", "nothing like that", "no photo")
	o.tap(mia, o.lastTo(mia).Choices[0][0].Label)
	e := o.enquiry(mia)
	if e.Slot == nil {
		t.Fatalf("no time, at %s", e.At)
	}
	start, likely := e.Slot.Start, e.Quote.Likely
	for _, says := range []string{"add hand wax", "and the leather please"} {
		o.say(mia, says)
		e = o.enquiry(mia)
		if e.Slot == nil || !e.Slot.Start.Equal(start) || e.Quote.Likely <= likely || e.At != "quote" || !strings.Contains(o.lastTo(mia).Text, "stays yours") {
			t.Fatalf("%q: time %v, %d after %d, at %s:\n%s", says, e.Slot, e.Quote.Likely, likely, e.At, o.lastTo(mia).Text)
		}
		likely = e.Quote.Likely
		o.say(mia, "carry on")
		if e = o.enquiry(mia); e.At == "quote" || e.Slot == nil {
			t.Fatalf("%q, carry on: at %s, time %v", says, e.At, e.Slot)
		}
	}
}

// A distance that cannot be that of the postcode: the postcode counts, which is said, until
// they say it again at the price.
func TestMilesAndPostcodeDiffer(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "nissan qashqai outside at mine, driveway, tap and socket", "gravel", "about 5 miles. CW4 2AB is the postcode")
	far, last := o.enquiry(mia), o.lastTo(mia).Text
	if n := strings.Join(far.Answers["miles"], ""); n == "5" || !strings.Contains(last, "By the postcode it's about "+n+" miles by road, not 5") {
		t.Errorf("counts %s:\n%s", n, last)
	}
	o.say(mia, "just the price")
	before := o.enquiry(mia).Quote.Likely
	o.say(mia, "the travel bit is wrong im only 5 miles away")
	e := o.enquiry(mia)
	if e.Quote.Likely >= before || strings.Join(e.Answers["miles"], "") != "5" || !strings.Contains(o.lastTo(mia).Text, "from your postcode") || len(e.Noted) == 0 {
		t.Errorf("insists on 5: %v, %d after %d, noted %v:\n%s", e.Answers["miles"], e.Quote.Likely, before, e.Noted, o.lastTo(mia).Text)
	}
	o = newOffice(t, talk(t))
	o.say(mia, "nissan qashqai outside at mine, driveway, tap and socket", "gravel", "about 20 miles, LS29")
	if strings.Contains(o.lastTo(mia).Text, "By the postcode") {
		t.Errorf("near enough:\n%s", o.lastTo(mia).Text)
	}
}

// An address is kept as it is, without what reminds of it, and one beside a question is told
// and not asked.
func TestAddressWithoutTheReminder(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "hello do you come to peoples houses? i'm at 14 Mill Road. its a nissan qashqai, outside only")
	if got := o.enquiry(mia).Address; got != "14 Mill Road" {
		t.Errorf("told beside a question: %q", got)
	}
	o = newOffice(t, talk(t))
	o.say(mia, "nissan qashqai, outside only. do you do 14 Mill Road?")
	if got := o.enquiry(mia).Address; got != "" {
		t.Errorf("asked about: %q", got)
	}
	for _, says := range []string{"14 mill road like i said", "14 mill road as i told you", "i said already 14 mill road", "14 mill road"} {
		o := newOffice(t, talk(t))
		o.atAddress(mia)
		o.say(mia, says)
		if got := strings.ToLower(o.enquiry(mia).Address); got != "14 mill road" {
			t.Errorf("%q: %q", says, got)
		}
	}
}

// Hours between which all of the work fits are for all of it; where they are too short for
// that, it begins within them.
func TestBetweenIsForTheWholeVisit(t *testing.T) {
	for says, whole := range map[string]bool{"between 9.30 and 3": true, "between 10 and 11": false} {
		o := pricedFor(t, "golf hatchback outside at your place", "just the price")
		o.say(mia, "find a day", "nothing like that", "no photo", says)
		e := o.enquiry(mia)
		if len(e.Times) != 1 || (e.Times[0].DoneBy > 0) != whole {
			t.Errorf("%q: %+v", says, e.Times)
		}
	}
	o := pricedFor(t, "golf hatchback outside at your place", "just the price")
	o.say(mia, "find a day", "nothing like that", "no photo", "is it done by 2? monday then")
	if e := o.enquiry(mia); len(e.Times) != 1 || !slices.Equal(e.Times[0].On, []string{"2027-04-19"}) || e.Times[0].DoneBy != 14*60 {
		t.Errorf("Monday, done by two: %+v", e.Times)
	}
	for _, says := range []string{"is it done by 2?", "needs to be back by 2"} {
		o := pricedFor(t, "golf hatchback outside at your place", "just the price")
		o.say(mia, "find a day", "nothing like that", "no photo", says)
		if e := o.enquiry(mia); len(e.Times) != 1 || e.Times[0].DoneBy != 14*60 {
			t.Errorf("%q: %+v", says, e.Times)
		}
	}
}

// Where no price can be named before the car is seen, nobody is asked first where it stands.
func TestSeenFirstIsSaidAtOnce(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "my boy was sick in the back of our skoda octavia estate, can you clean the inside?")
	if e := o.enquiry(mia); e.At != "quote" || e.Quote == nil || e.Quote.NeedSee == "" {
		t.Errorf("at %s:\n%s", e.At, o.lastTo(mia).Text)
	}
}

// The reasons of a price add up to it, whichever car it is for.
func TestReasonsAddUp(t *testing.T) {
	tk := talk(t)
	about := regexp.MustCompile(`about £(\d+)`)
	for _, car := range []string{"Ford Fiesta", "Volvo XC90", "Mini Hatch"} {
		o := newOffice(t, tk)
		o.say(mia, car+", inside and out, I'll bring it", "3", "3", "just the price", "why this much")
		e, text := o.enquiry(mia), o.lastTo(mia).Text
		sum := 0
		for _, m := range about.FindAllStringSubmatch(text, -1) {
			n, err := strconv.Atoi(m[1])
			if err != nil {
				t.Fatal(err)
			}
			sum += n
		}
		if e.Quote == nil || int64(sum)*100 != e.Quote.Likely || !strings.Contains(text, "The rest is the work itself") {
			t.Errorf("%s: the reasons come to £%d:\n%s", car, sum, text)
		}
	}
}

// The two figures of a price, asked about together, are no figures to stay under.
func TestBothFiguresOfAPriceAreAskedAbout(t *testing.T) {
	start := newOffice(t, talk(t))
	for _, said := range []string{"vw polo, inside and out", "I'll bring it", "just the price"} {
		start.say(mia, said)
	}
	q := start.enquiry(mia).Quote
	low, high := strconv.Itoa(int(q.Likely/100)), strconv.Itoa(int(q.High/100))
	for _, said := range []string{"whats the difference between " + low + " and " + high, "what do I get for " + high + " that I dont get for " + low, "is " + high + " the most itll be then"} {
		o := start.fork()
		got := o.say(mia, said)
		if !slices.ContainsFunc(got, func(m bot.Message) bool {
			return m.Chat == mia && strings.Contains(m.Text, "Nine times in ten it ends at or below")
		}) {
			t.Errorf("%q: she reads %q", said, o.lastTo(mia).Text)
		}
		if b := o.enquiry(mia).Quote.Budget; b != 0 {
			t.Errorf("%q fits the work to £%d", said, b/100)
		}
	}
}
