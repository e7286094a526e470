package conversations_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
)

// asker is somebody who knows what they have and want, and answers what is asked
// with a tap: nobody here takes the way out of "just the price". All are invented.
type asker struct {
	name string
	// says are the messages they begin with.
	says []string
	// answers are what they would say to each question, by its name: the choices
	// on its buttons. To a condition not in here it is "2", to a question about
	// how something is "unknown" where that is a choice.
	answers map[string]string
}

// The targets: taps to a price where the car alone is typed, and after one good
// sentence.
const (
	mostTaps     = 8
	mostTapsGood = 4
)

var byTaps = []asker{
	{"inside and out, brought", []string{"Ford Fiesta"}, map[string]string{"wants": "exterior interior", "site": "own"}},
	{"outside only, brought", []string{"Volvo V60"}, map[string]string{"wants": "exterior", "site": "own"}},
	{"inside only, at home", []string{"Skoda Octavia estate"}, map[string]string{"wants": "interior", "site": "theirs", "surface": "driveway", "services": "both", "miles": "5"}},
	{"everything, at home", []string{"Nissan Qashqai"}, map[string]string{"wants": "exterior interior", "site": "theirs", "surface": "driveway", "services": "both", "drain": "soil", "miles": "12"}},
	{"cloudy headlights", []string{"VW Golf"}, map[string]string{"wants": "headlights", "site": "own", "cond-headlights": "3"}},
	{"green soft top", []string{"Mazda MX-5"}, map[string]string{"wants": "soft-top", "site": "own", "cond-soft-top": "3"}},
	{"family car with dogs", []string{"Kia Sportage"}, map[string]string{"wants": "interior", "site": "own", "cond-interior": "3", "cond-pet-hair": "3"}},
	{"protection for the winter", []string{"BMW 3 Series"}, map[string]string{"wants": "exterior protection", "site": "own", "cond-paintwork": "1"}},
	{"unknown car", []string{"hello", "my uncle's old runabout"}, map[string]string{"body": "hatch", "wants": "exterior interior", "site": "own"}},
	{"shared car park", []string{"Toyota Yaris"}, map[string]string{"wants": "exterior", "site": "theirs", "surface": "shared", "services": "neither", "miles": "5"}},
	{"muddy van", []string{"Ford Transit"}, map[string]string{"wants": "exterior interior", "site": "own", "cond-paintwork": "3", "cond-interior": "3"}},
	{"not sure of anything", []string{"Vauxhall Corsa"}, map[string]string{"wants": "exterior interior", "site": "own", "cond-*": "unsure"}},
	{"light use, at home", []string{"Honda Jazz"}, map[string]string{"wants": "exterior interior", "site": "theirs", "surface": "driveway", "services": "both", "drain": "soil", "miles": "5", "cond-*": "1"}},
}

var bySentence = []asker{
	{"all but the condition", []string{"golf estate inside + outside at yours, asap pls, up to 130 quid"}, nil},
	{"dog hair", []string{"how much for a full clean on my focus estate, dog hair everywhere, got about 150. can bring it to you"}, nil},
	{"postcode, tap and socket", []string{"Skoda Octavia estate, inside only. It stands on our drive in LS29, there's an outside tap and a socket"}, map[string]string{"site": "theirs"}},
	{"green roof", []string{"mx5 roof has gone green, can drop it off, how much?"}, map[string]string{"wants": "soft-top"}},
	{"headlights failed", []string{"failed the mot on cloudy headlights, 2014 corsa, I'd bring it round"}, map[string]string{"wants": "headlights"}},
	{"to be sold", []string{"Selling my Fiesta next week, wants a proper clean inside and out, bringing it to you, £120 max"}, nil},
	{"child was sick once", []string{"Nissan Qashqai inside clean please, crumbs and biscuit all over the back seats, I'll come to you"}, nil},
	{"muddy outside", []string{"Ford Ranger caked in mud, outside only, can bring to the unit saturday"}, nil},
	{"wax", []string{"BMW 3 series saloon, wash and a coat of wax before winter, I can bring it over"}, nil},
	{"come to us", []string{"Could you come to us in LS29 and do my Volvo V60 inside and out? On the drive, tap and socket there"}, nil},
	{"office car park", []string{"can you do my yaris outside while I'm at work, shared car park in LS21, no tap no socket"}, nil},
	{"van", []string{"work van, vauxhall vivaro, cab wants a good clean out, sawdust and crumbs, dropping it off"}, nil},
	{"no car named", []string{"small hatchback, inside and out, bring it to yours, about 90"}, nil},
}

// toAPrice lets somebody answer until a price is named. It returns what was
// tapped, each press for itself: a tick and "that's all" are two.
func (a asker) toAPrice(t *testing.T, talk conversations.Talk) (taps []string) {
	t.Helper()
	o := newOffice(t, talk)
	o.say(mia, a.says...)
	for range 30 {
		e := o.enquiry(mia)
		if e.At == "quote" {
			if e.Quote == nil || e.Quote.Refused != "" || e.Quote.NeedSee != "" || e.Quote.Likely <= 0 {
				t.Fatalf("%s: no price:\n%s", a.name, o.lastTo(mia).Text)
			}
			return taps
		}
		for _, choice := range a.choices(e.At) {
			tap, ok := o.choice(mia, e.At, choice)
			if !ok {
				t.Fatalf("%s: %s has no choice %q:\n%s", a.name, e.At, choice, o.lastTo(mia).Text)
			}
			taps = append(taps, e.At+" "+choice)
			o.event(mia, tap)
		}
	}
	t.Fatalf("%s: no price after 30 questions", a.name)
	return nil
}

// choices are what somebody presses, one after the other, to answer a question.
func (a asker) choices(question string) []string {
	if strings.HasPrefix(question, "cond-") {
		for _, of := range []string{question, "cond-*"} {
			if c := a.answers[of]; c != "" {
				return []string{c}
			}
		}
		return []string{"2"}
	}
	answer, known := a.answers[question]
	if question == "wants" && answer == "exterior interior" {
		return []string{"both"}
	}
	if question == "wants" {
		var out []string
		for _, w := range strings.Fields(answer) {
			out = append(out, "+"+w)
		}
		return append(out, "done")
	}
	if !known {
		answer = map[string]string{"site": "own", "surface": "driveway", "services": "both", "drain": "unknown", "miles": "5", "which": "a", "body": "hatch"}[question]
	}
	return []string{answer}
}

// choice is the press on a button of the latest message that has buttons of that
// question.
func (o *office) choice(who bot.ChatID, question, choice string) (bot.Tap, bool) {
	for i, m := range slices.Backward(o.chat[who]) {
		for _, c := range slices.Concat(m.Choices...) {
			if strings.HasSuffix(c.Data, "|"+question+"|"+choice) {
				return bot.Tap{ID: "t", Data: c.Data, Message: o.ids[who][i]}, true
			}
		}
	}
	return bot.Tap{}, false
}

// How many taps a price takes of somebody who answers everything (issue 6): in
// the median 8, after one good sentence 4. `go test -v` prints each.
func TestTapsToAPrice(t *testing.T) {
	tk := talk(t)
	for _, of := range []struct {
		name   string
		askers []asker
		most   int
	}{{"the car typed, the rest tapped", byTaps, mostTaps}, {"one good sentence", bySentence, mostTapsGood}} {
		t.Run(of.name, func(t *testing.T) {
			var counts []int
			for _, a := range of.askers {
				taps := a.toAPrice(t, tk)
				counts = append(counts, len(taps))
				t.Logf("%-26s %d typed, %2d taps: %s", a.name, len(a.says), len(taps), strings.Join(taps, ", "))
			}
			slices.Sort(counts)
			median := counts[len(counts)/2] // of an even number the higher
			t.Logf("%d scenarios, median %d taps, most %d; the target is a median of at most %d", len(counts), median, slices.Max(counts), of.most)
			if median > of.most {
				t.Errorf("the median is %d taps, want at most %d: %s", median, of.most, fmt.Sprint(counts))
			}
		})
	}
}
