package conversations_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// What the money did not reach is promised nowhere: not in the summary, not on the owner's
// card, not in his list of the day.
func TestNothingLeftOutIsPromised(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "passat estate, inside and shampoo the seats, I'll bring it", "3", "just the price", "can you do it for 70?")
	if e := o.enquiry(mia); e.At != "quote" || !slices.Contains(e.Answers["wants"], "fabric-shampoo") || slices.Contains(e.Quote.Tasks, "fabric-shampoo") {
		t.Fatalf("at %s, wants %v, in it %v", e.At, e.Answers["wants"], e.Quote.Tasks)
	}
	o.say(mia, "find a day", "no", "no photo")
	first := o.lastTo(mia).Choices[0][0].Label
	o.tap(mia, first)
	for i := 0; o.enquiry(mia).At != "confirm" && i < 3; i++ {
		o.say(mia, "no")
	}
	const left = "not in it: cloth seats and carpets shampooed by hand"
	if text := o.lastTo(mia).Text; !strings.Contains(text, left) {
		t.Errorf("they read %s", text)
	}
	o.say(mia, "yes")
	if text := o.lastTo(boss).Text; !strings.Contains(text, left) {
		t.Errorf("the owner reads %s", text)
	}
	o.tap(boss, "Yes, book it")
	o.say(boss, first[:strings.Index(first, ",")])
	if text := o.lastTo(boss).Text; !strings.Contains(text, left) {
		t.Errorf("on the day he reads %s", text)
	}
}

// At the price a figure counts, and what is to be left out, whatever is said of it first.
func TestTooDearAndHowMuch(t *testing.T) {
	tk := talk(t)
	for says, want := range map[string]string{
		"too dear what about 80":             "budget 80",
		"why so much? I've got £90":          "budget 90",
		"bit steep. forget the inside again": "wants exterior",
		"yeah ok 120. can u do monday":       "quote done",
		"ok 120":                             "quote done",
	} {
		o := newOffice(t, tk)
		o.say(mia, "ford fiesta, inside and out, I'll bring it", "just the price")
		if strings.Contains(want, "done") {
			o.say(mia, "120")
		}
		o.say(mia, says)
		q, answer, _ := strings.Cut(want, " ")
		if got := strings.Join(o.enquiry(mia).Answers[q], " "); got != answer {
			t.Errorf("%q: %s is %q, want %q\n%s", says, q, got, answer, o.lastTo(mia).Text)
		}
	}
}

// Both, or one after all, whatever is being asked.
func TestBothAfterAll(t *testing.T) {
	tk := talk(t)
	for says, want := range map[string]string{
		"actually both": "exterior interior",
		"no wait just the outside, i can hoover it myself": "exterior",
		"add the leather please":                           "interior leather",
		"what about the leather, I have leather seats":     "interior leather",
	} {
		o := newOffice(t, tk)
		o.say(mia, "ford focus, just the inside", says)
		got := strings.Join(o.enquiry(mia).Answers["wants"], " ")
		if sorted := slices.Sorted(slices.Values(strings.Fields(got))); !slices.Equal(sorted, strings.Fields(want)) {
			t.Errorf("%q: %q", says, got)
		}
	}
}

// What stands on the price is answered from there.
func TestWhatIsInThePrice(t *testing.T) {
	tk := talk(t)
	for says, hears := range map[string]string{
		"That seems reasonable. Does that include the boot?": "Yes, that's in it: Seats, carpets, mats and boot vacuumed.",
		"does that include pet hair":                         "Not as it stands: Pet hair pulled out",
		"is the moon included?":                              "one for the boss",
		"great. does that do the windows too":                "Yes, that's in it: Inside of all the glass.",
		"is the inside included":                             "Yes, that's in it: Seats, carpets, mats and boot vacuumed; ",
		"is the outside in the price":                        "Not as it stands: outside would add about £",
		"how much extra for the headlights":                  "Not as it stands: headlights would add nothing to the price.", // below the least a visit costs
	} {
		o := newOffice(t, tk)
		o.say(mia, "honda jazz, inside, I'll bring it", "2", "just the price")
		o.say(mia, says)
		if !strings.Contains(o.lastTo(mia).Text, hears) {
			t.Errorf("%q: %s", says, o.lastTo(mia).Text)
		}
	}
	// To ask is not to order, and how long it lasts is not how long it takes.
	for says, hears := range map[string]string{
		"great. does that include the wheels":                                  "Yes, that's in it: Wheels and tyres cleaned.",
		"does it include wax":                                                  `To have it too, write "with hand wax".`,
		"how long will the sealant last":                                       "Paint sealant, good for four to six months.",
		"I meant how many months the sealant lasts":                            "Paint sealant, good for four to six months.",
		"how long does it last, and would a ceramic coating be a better idea?": "passed that on",
		"ok. is the engine bay included":                                       "Not as it stands: engine bay would add about £",
		"would that include the headlights too":                                "Not as it stands: headlights would add about £",
	} {
		o := newOffice(t, tk)
		o.say(mia, "honda jazz, outside and paint sealant, I'll bring it", "just the price")
		was := o.enquiry(mia)
		o.say(mia, says)
		e, text := o.enquiry(mia), o.lastTo(mia).Text
		if !strings.Contains(text, hears) || !slices.Equal(e.Answers["wants"], was.Answers["wants"]) || e.Quote.Likely != was.Quote.Likely {
			t.Errorf("%q: %q for %d, was %q for %d: %s", says, e.Answers["wants"], e.Quote.Likely, was.Answers["wants"], was.Quote.Likely, text)
		}
	}
	o := newOffice(t, tk)
	o.say(mia, "honda jazz, outside and paint sealant, I'll bring it", "just the price", "could you include the headlights please")
	if wants := o.enquiry(mia).Answers["wants"]; !slices.Contains(wants, "headlights") {
		t.Errorf("a wish is one: %q", wants)
	}
	o = newOffice(t, tk)
	o.say(mia, "ford fiesta, I'll bring it", "is the inside included or is that extra?")
	if e, text := o.enquiry(mia), o.lastTo(mia).Text; e.At != "wants" || !strings.Contains(text, "up to you") {
		t.Errorf("at %s: %s", e.At, text)
	}
	o = newOffice(t, tk)
	o.say(mia, "hi is that the car cleaners")
	if text := o.lastTo(mia).Text; !strings.Contains(text, "Yes, that's us") {
		t.Error(text)
	}
}

// Who asks what the part costs that their figure has left out hears what all of it comes to.
func TestWhatAllOfItComesTo(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "ford fiesta, inside and out, I'll bring it", "just the price")
	likely := o.enquiry(mia).Quote.Likely
	o.say(mia, "60", "how much for in and out then tho")
	if e, text := o.enquiry(mia), o.lastTo(mia).Text; e.Quote.Budget != 6000 || !strings.Contains(text, fmt.Sprintf("All of it would come to likely £%d,", likely/100)) {
		t.Errorf("after %d: %s", likely, text)
	}
	o.say(mia, "how much is the outside") // which is in it
	if text := o.lastTo(mia).Text; strings.Contains(text, "All of it would") {
		t.Errorf("of what is in it: %s", text)
	}
}

// A question that ends with a yes of its own is no yes to what the desk asks.
func TestATaggedQuestionIsNoYes(t *testing.T) {
	start := newOffice(t, talk(t))
	start.say(mia, "ford fiesta, inside and out, I'll bring it", "just the price", "find a day", "nothing like that", "no photo", "first")
	for at := start.enquiry(mia).At; at != "confirm"; at = start.enquiry(mia).At {
		o := start.fork()
		for _, says := range []string{"and thats with the windows done yes?", "is the wax in it yes or no", "the price is fixed then yes?"} {
			o.say(mia, says)
			if e := o.enquiry(mia); e.At != at || e.Stage != "held" || len(o.lastTo(mia).Choices) == 0 {
				t.Errorf("%q at %s: at %s, %s: %s", says, at, e.At, e.Stage, o.lastTo(mia).Text)
			}
		}
		start.say(mia, "yes")
	}
	for _, says := range []string{"and thats with the windows done yes?", "is the wax in it yes or no", "the price is fixed then yes?"} {
		o := start.fork()
		o.say(mia, says)
		if e := o.enquiry(mia); e.Stage != "held" {
			t.Errorf("%q asked for the time: %s", says, o.lastTo(mia).Text)
		}
	}
	start.say(mia, "yes")
	if e := start.enquiry(mia); e.Stage == "held" {
		t.Error("a yes is none")
	}
}
