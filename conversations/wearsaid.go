package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// The two questions of what a car goes through are answered in words as well. While one of
// them stands last in the chat, what can be read as its answer is that, and no complaint and
// no new enquiry: "in the garage, I don't know about salt".

// mostOfLife is how many words an answer to one of them has at most.
const mostOfLife = 20

// wearSaid takes words as the answer to whichever of the two questions stands last in a
// chat, and reports whether they were one.
func (t *turn) wearSaid(c *Chat, text string) bool {
	n := len(strings.Fields(text))
	if c.Shown == nil || c.Snag != "" || t.isQuestion(text) || t.speaksOf(wording.Plain(text), wording.SaySameAgain) || n > mostOfLife || n > 1 && t.saysJust(text, t.typed(wording.SayImHere)) {
		return false // "im outside" is no word of the car, "same again but with the inside" none of its garage
	}
	var asked []press
	for _, data := range c.Shown.Data {
		if p, ok := parsePress(data); ok && p.question == pressWear {
			asked = append(asked, p)
		}
	}
	if len(asked) == 0 {
		return false
	}
	e := t.enquiry(asked[0].enquiry)
	if e == nil || e.Chat != c.ID || e.Stage != Done || e.Plan == nil || asked[0].rev != e.Rev {
		return false
	}
	if t.praises(text) || t.complains(t.lessNothingWrong(text)) || t.faultLeft(e, text) {
		return false // "streaks on the inside" is no garage
	}
	withdrawn := t.saysNothingWrong(text) && t.withdraws(c, e, text)
	return !t.namesOther(e, text) && t.sleepsSaid(c, e, asked, text) || t.washSaid(c, e, asked, text) || withdrawn
}

// namesOther tells whether a text names a car that is not the one of an enquiry.
func (t *turn) namesOther(e *Enquiry, text string) bool {
	if t.Reader == nil {
		return false
	}
	r := t.heardIn(text)
	v := r.Vehicle()
	return v != nil && (e.Car == nil || v.Car == nil || *v.Car != *e.Car)
}

// sleepsSaid takes words of where a car sleeps and whether it meets salt, and asks for the
// half that is not among them. Who does not know about the salt has said all they can, and
// none is reckoned with. It reports whether there was any.
func (t *turn) sleepsSaid(c *Chat, e *Enquiry, asked []press, text string) bool {
	said := wording.Plain(text)
	in, out := t.speaksOf(said, wording.SayIndoors), t.speaksOf(said, wording.SayOutdoors)
	of := t.speaksOf(said, wording.SaySalt)
	none := t.speaksOf(said, wording.SayNoSalt) || of && (t.speaksOf(said, wording.SayNotSo) || t.speaksOf(said, wording.LabelWearSkip))
	salted := !none && of
	if in == out && none == salted {
		return false
	}
	var left []press
	for _, p := range asked {
		ids, ok := strings.CutPrefix(p.choice, wearSleeps)
		if !ok || ids == choiceSkip {
			continue
		}
		has := strings.Split(ids, "+")
		if in != out && slices.Contains(has, garaged) != in || none != salted && slices.Contains(has, salt) != salted {
			continue
		}
		left = append(left, p)
	}
	switch len(left) {
	case 0:
		return false
	case 1:
		t.wearPressed(c, e, left[0], bot.Tap{})
		return true
	}
	k := wording.AskWearSalt
	if in == out {
		k = wording.AskWearWhere
	}
	var rows [][]bot.Choice
	for _, p := range left {
		w, _ := wearInWords(p.choice)
		rows = append(rows, []bot.Choice{{Label: t.label(w.label), Data: p.data()}})
	}
	t.tell(c.ID, k, wording.Facts{}, append(rows, t.presses(e, pressWear, named{wearSleeps + choiceSkip, wording.LabelWearSkip})...)...)
	return true
}

// washSaid takes words of how a car is washed. Of two ways none is the answer that can be
// given.
func (t *turn) washSaid(c *Chat, e *Enquiry, asked []press, text string) bool {
	left := " " + wording.Plain(text) + " "
	var ways []string
	// What is strong is named with the words of the milder ways: "hand car wash".
	for _, w := range []struct {
		says []wording.Key
		wear []string
	}{
		{[]wording.Key{wording.LabelWashStrong}, washes[3].wear},
		{[]wording.Key{wording.LabelWashBrush}, washes[2].wear},
		{[]wording.Key{wording.LabelWashTopped, wording.SayToppedUp}, washes[1].wear},
		{[]wording.Key{wording.LabelWashHand, wording.SayByHand}, washes[0].wear},
	} {
		found := false
		for _, k := range w.says {
			for _, phrase := range t.typed(k) {
				if with := " " + wording.Plain(phrase) + " "; strings.Contains(left, with) {
					left, found = strings.ReplaceAll(left, with, " "), true
				}
			}
		}
		if found {
			ways = append(ways, wearWash+strings.Join(w.wear, "+"))
		}
	}
	if t.namesOther(e, left) {
		return false
	}
	topped := wearWash + strings.Join(washes[1].wear, "+")
	if len(ways) == 2 && ways[0] == topped { // topped up is by hand as well
		ways = ways[:1]
	}
	choice := wearWash + choiceSkip
	switch {
	case len(ways) == 1:
		choice = ways[0]
	case len(ways) == 0 && !t.speaksOf(wording.Plain(text), wording.LabelWearSkip):
		return false
	}
	i := slices.IndexFunc(asked, func(p press) bool { return p.choice == choice })
	if i < 0 {
		return false
	}
	t.wearPressed(c, e, asked[i], bot.Tap{})
	return true
}
