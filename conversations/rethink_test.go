package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
)

// Whoever changes their mind in the middle, in their own words, is understood; what
// rests on it is reckoned anew, and what only sounds like it changes nothing.
func TestChangingOnesMindInOwnWords(t *testing.T) {
	tk := talk(t)
	for _, c := range []struct {
		says string
		// car, wants, site, budget are what stands afterwards.
		car, wants, site, budget string
	}{
		{"actually it's my wife's car, a Nissan Juke", "Nissan Juke", "exterior interior", "own", "150"},
		{"sorry, I meant a Kia Rio", "Kia Rio", "exterior interior", "own", "150"},
		{"what about without the inside", "Ford Fiesta", "exterior", "own", "150"},
		{"just the outside then", "Ford Fiesta", "exterior", "own", "150"},
		{"and how much with the headlights as well", "Ford Fiesta", "exterior interior headlights", "own", "150"},
		{"could you come to us instead? LS29", "Ford Fiesta", "exterior interior", "theirs", "150"},
		{"could go up to 180 quid", "Ford Fiesta", "exterior interior", "own", "180"},
		{"we also have a Kia Rio", "Ford Fiesta", "exterior interior", "own", "150"},
		{"my neighbour has a Kuga you did last year", "Ford Fiesta", "exterior interior", "own", "150"},
		{"will the seats be wet afterwards", "Ford Fiesta", "exterior interior", "own", "150"},
		{"do you come to LS29", "Ford Fiesta", "exterior interior", "theirs", "150"},
		{"before the 20th please", "Ford Fiesta", "exterior interior", "own", "150"},
		{"and what if I do the inside myself", "Ford Fiesta", "exterior", "own", "150"},
		{"plus headlights I suppose", "Ford Fiesta", "exterior interior headlights", "own", "150"},
		{"ok just outside then", "Ford Fiesta", "exterior", "own", "150"},
	} {
		o := newOffice(t, tk)
		o.say(mia, "Ford Fiesta, inside and out, I'll bring it to you, about 150", "just the price")
		if e := o.enquiry(mia); e.At != "quote" || e.Car == nil || e.Quote == nil {
			t.Fatalf("no price to begin with, at %s", e.At)
		}
		was := *o.enquiry(mia).Quote
		o.say(mia, c.says)
		e := o.enquiry(mia)
		first := func(q string) string { return strings.Join(e.Answers[q], " ") }
		wants := slices.Sorted(slices.Values(e.Answers["wants"]))
		if want := slices.Sorted(slices.Values(strings.Fields(c.wants))); e.Car == nil || e.Car.Name != c.car || !slices.Equal(wants, want) || first("site") != c.site || first("budget") != c.budget {
			t.Errorf("after %q: %v, %q, %q, %q", c.says, e.Car, wants, first("site"), first("budget"))
		}
		changed := c.car != "Ford Fiesta" || c.wants != "exterior interior" || c.budget != "150"
		if e.At == "quote" && changed == (e.Quote.Of == was.Of) {
			t.Errorf("after %q the price is of %q, before of %q", c.says, e.Quote.Of, was.Of)
		}
		if changed && !strings.Contains(o.lastTo(mia).Text, "back") && !strings.Contains(o.lastTo(mia).Text, "For £180") {
			t.Errorf("after %q it is not said back:\n%s", c.says, o.lastTo(mia).Text)
		}
	}
}

// Whoever parts with the car on a day wants it before.
func TestPartingWithTheCar(t *testing.T) {
	for says, want := range map[string]string{
		"Ford Fiesta, inside at your place, I'm handing it back on the 20th": "20", "Ford Fiesta, inside at your place, selling it on the 20th": "20", "Ford Fiesta, inside at your place, on the 20th": "",
	} {
		o := newOffice(t, talk(t))
		o.say(mia, says, "just the price", "yes", "no", "no photo")
		for _, row := range o.lastTo(mia).Choices {
			if label := row[0].Label; strings.Contains(label, "Apr") && strings.Contains(label, "20 Apr") == (want != "") {
				t.Errorf("after %q: %s", says, label)
			}
		}
		if e := o.enquiry(mia); len(e.Times)+len(e.Unclear) == 0 && e.Only == nil {
			t.Errorf("after %q no time was heard", says)
		}
	}
}

// What was heard of something goes out again with what it had brought in, and is asked
// afresh where that is worth it; "no" to what nobody spoke of takes nothing out.
func TestTakingBackWhatWasSeen(t *testing.T) {
	for _, c := range []struct {
		before, says, gone, stays string // gone and stays: what is wanted, or a condition
	}{
		{"Ford Fiesta, inside at your place, and the tar removed", "actually no tar", "tar", "interior"},
		{"Ford Fiesta, the tar removed, at your place", "actually no tar", "tar", "site"},
		{"Ford Fiesta, inside at your place, and the tar removed", "no tar removal after all", "tar", "interior"},
		{"Ford Fiesta inside at your place, and polish please. The paint has swirls", "actually no swirls", "polish", "interior"},
		{"Ford Fiesta, inside at your place. There's mould on the belts", "ok leave the mould", "cond-mould", "interior"},
		{"Ford Fiesta, inside at your place. It smells of smoke", "sorry, no smoke", "cond-smell", "interior"},
		{"Ford Fiesta, inside at your place. It smells of smoke", "no tar", "tar", "interior,cond-smell"},
	} {
		o := newOffice(t, talk(t))
		o.say(mia, c.before)
		has := func(what string) bool {
			e := o.enquiry(mia)
			_, answered := e.Answers[what]
			return answered || slices.Contains(e.Answers["wants"], what)
		}
		if c.gone != "tar" && !has(c.gone) {
			t.Errorf("%q brings no %s in: %v", c.before, c.gone, o.enquiry(mia).Answers)
		}
		o.say(mia, c.says)
		if has(c.gone) {
			t.Errorf("after %q %s is still in: %v\n%s", c.says, c.gone, o.enquiry(mia).Answers, o.lastTo(mia).Text)
		}
		for _, s := range strings.Split(c.stays, ",") {
			if !has(s) {
				t.Errorf("after %q %s is out: %v\n%s", c.says, s, o.enquiry(mia).Answers, o.lastTo(mia).Text)
			}
		}
	}
	// What could hurt somebody is asked again before anybody believes it is gone.
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta, inside at your place, there might be needles under the seat")
	if e := o.enquiry(mia); !slices.Contains(e.Told, "needles") {
		t.Fatalf("told of %q", e.Told)
	}
	o.say(mia, "sorry, no needles", "just the price", "yes")
	if e := o.enquiry(mia); len(e.Told) > 0 || e.At != "hazards" {
		t.Errorf("told of %q, asked %q", e.Told, e.At)
	}
}

// Spilt milk has a price, what plays it down counts, and one step back says what it takes
// back.
func TestSpiltMilkHasAPriceAndASplashIsLess(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "one of the kids dropped a milkshake last week")
	if e := o.enquiry(mia); e.At != "vehicle" {
		t.Errorf("what happened in the car is taken for its name: %q", e.Answers["vehicle"])
	}
	o.say(mia, "Ford Fiesta, inside at your place", "2", "just the price")
	was := *o.enquiry(mia).Quote
	if was.NeedSee != "" || !slices.ContainsFunc(was.Notes, func(n string) bool { return strings.Contains(n, "Milk") }) {
		t.Fatalf("seen first: %q, notes %q", was.NeedSee, was.Notes)
	}
	o.say(mia, "it was only a splash and i wiped it up straight away")
	if e := o.enquiry(mia); e.At != "quote" || e.Quote.High >= was.High || !slices.Contains(e.Noted, "it was only a splash and i wiped it up straight away") {
		t.Errorf("asked %q, at most %d after %d, noted %q", e.At, e.Quote.High, was.High, e.Noted)
	}
	o.say(mia, "back")
	if said := o.lastTo(mia).Text; !strings.Contains(said, "only a splash") || o.enquiry(mia).Quote.High != was.High {
		t.Errorf("back says %q, at most %d after %d", said, o.enquiry(mia).Quote.High, was.High)
	}
}

// A figure under the price is one that stands by itself: not the end of a postcode,
// nor a day.
func TestAFigureIsNoPostcodeAndNoDay(t *testing.T) {
	tk := talk(t)
	for says, want := range map[string]string{
		"60": "60", "£85?": "85", "can you do it for 90": "90", "a ton fifty tops": "150",
		"LS29": "", "friday the 24th": "", "after 10:30": "", "do you do BMW 320d": "",
	} {
		o := newOffice(t, tk)
		o.say(mia, "Ford Fiesta, inside and out, I'll bring it to you", "just the price", says)
		if got := strings.Join(o.enquiry(mia).Answers["budget"], " "); got != want {
			if q := strings.Join(o.enquiry(mia).Answers["quote"], " "); want == "" || q != want {
				t.Errorf("after %q the budget is %q (quote %q), want %q", says, got, q, want)
			}
		}
	}
}

// What was said of the place is not asked again; who tells of a tap and a socket means us to come.
func TestAPlaceToldOfAheadIsNotAskedAgain(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta, inside and out. LS29, we have a drive, an outside tap and a socket")
	if e := o.enquiry(mia); e.At != "drain" {
		t.Errorf("then %s is asked:\n%s", e.At, o.lastTo(mia).Text)
	}
}

// A sum for two cars together is no budget for the first of them.
func TestASumForThePairIsNoBudget(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta and a Kia Rio both want a full valet, a couple of hundred quid for the pair")
	if got := o.enquiry(mia).Answers["budget"]; got != nil {
		t.Errorf("the budget is %q", got)
	}
}

// What is to be known of the car can be changed on the page of answers: the price is
// put anew, the time kept for the one before goes back, and nobody is told later that
// a price stands which there is none of.
func TestChangingWhatIsToBeKnown(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta, inside, I'll bring it to you", "just the price")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
	if e := o.enquiry(mia); e.Slot == nil {
		t.Fatalf("no time is kept, at %s", e.At)
	}
	o.say(mia, "change")
	o.tap(mia, "To know of")
	o.say(mia, "needles")
	if e := o.enquiry(mia); e.Slot != nil || e.Quote.Refused == "" || e.At != "quote" {
		t.Errorf("with needles in it we are at %s, a time is kept: %t:\n%s", e.At, e.Slot != nil, o.lastTo(mia).Text)
	}
	if said := o.lastTo(mia).Text; strings.Contains(said, "do it there") {
		t.Errorf("it is put down to the place:\n%s", said)
	}
	n := len(o.chat[mia])
	o.until(o.now.Add(4 * 24 * time.Hour))
	for _, m := range o.chat[mia][n:] {
		t.Errorf("later we say\n%s", m.Text)
	}
	o.say(mia, "sorry, been away")
	if said := o.lastTo(mia).Text; !strings.HasPrefix(said, "Hello again") {
		t.Errorf("days later somebody back is answered\n%s", said)
	}
	o.say(mia, "change")
	o.tap(mia, "To know of")
	if e := o.enquiry(mia); e.Quote == nil || e.Quote.Refused != "" {
		t.Errorf("without needles there is no price:\n%s", o.lastTo(mia).Text)
	}
}

// Whether VAT is in a price can be asked at any question, and the question stays.
func TestIsThatWithVAT(t *testing.T) {
	for registered, want := range map[bool]string{true: "have VAT in them", false: "nothing comes on top"} {
		tk := talk(t)
		tk.Rules.Money.VATRegistered = registered
		o := newOffice(t, tk)
		o.say(mia, "Ford Fiesta, inside and out, I'll bring it to you", "just the price", "Is that with VAT?")
		if got := o.lastTo(mia); !strings.Contains(got.Text, want) || len(got.Choices) == 0 {
			t.Errorf("registered %v: %s", registered, got.Text)
		}
	}
}
