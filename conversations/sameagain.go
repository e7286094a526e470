package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Who comes back, "same again in June?", "hiya need another wash", has a car, a place and work
// that are known: they are read back, and only what may have changed is asked. Of several cars
// it is asked which.

// pressAgain is the question name of the buttons under what is read back, the rest what they
// carry: not that, this car, none of these.
const (
	pressAgain = "again"
	againNot   = "not"
	againCar   = "car"
	againOther = "other"
)

// sameAgain takes a text of somebody who was here before that asks for a car to be done again,
// and reports whether it was one. Who names a car we have not had begins anew.
func (t *turn) sameAgain(c *Chat, text string) bool {
	if of := c.Again; of != "" {
		if c.Again = ""; t.namesWhich(c, of, text) {
			return true
		}
	}
	said := wording.Plain(text)
	if t.Reader == nil || t.speaksOf(said, wording.SayNotAgain) || t.asksOfJob(c, text) {
		return false
	}
	r := t.heardIn(text)
	same := t.speaksOf(said, wording.SaySameAgain)
	if !same && !t.wantsDone(r, text) || len(r.Hints) > 0 && t.recent(c) != nil {
		return false
	}
	before := t.cameBefore(c, text)
	other := t.speaksOf(said, wording.SayOtherCar)
	switch {
	case len(before) == 0, other && !same:
		return false
	case other && len(before) == 1:
		t.againFor(c, before[0], text, false)
	case other && len(before) == 2:
		t.againFor(c, before[1], text, true)
	case len(before) == 1 || t.now.Sub(before[0].Work.At) < justBack:
		t.againFor(c, before[0], text, true)
	default:
		t.whichAgain(c, before, text)
	}
	return true
}

// justBack is for how long after a job "the same again" is about that car, whatever else was
// here before.
const justBack = 2 * 24 * time.Hour

// wantsDone tells whether a text that names no car asks for work on one.
func (t *turn) wantsDone(r reading.Reading, text string) bool {
	asks := len(t.asksFor(r)) > 0 || t.speaksOf(wording.Plain(text), wording.SayBookAgain) && len(r.Hints) == 0
	return asks && t.namesNone(text) && r.Cars < 2 && t.beginsAnew(text)
}

// cameBefore is the last job on each car of a customer that a text may mean, the latest first.
func (t *turn) cameBefore(c *Chat, text string) (out []*Enquiry) {
	r := t.heardIn(text)
	v := r.Vehicle()
	for _, e := range slices.Backward(t.jobs(c)) {
		known := slices.ContainsFunc(out, func(o *Enquiry) bool { return sameCar(o, e) })
		if e.Car == nil || known || len(e.Answers[askWants]) == 0 {
			continue
		}
		if v == nil && (r.Shape == "" || r.Shape == e.Car.Body) || v != nil && mayMean(text, *v, *e.Car) {
			out = append(out, e)
		}
	}
	return out
}

// mayMean tells whether a car named in a text may be the one we know: also where only its
// make is named, or no table has it.
func mayMean(text string, v reading.Vehicle, car pricing.Vehicle) bool {
	if v.Car != nil {
		return *v.Car == car
	}
	if slices.Contains(v.Ambiguous, car) {
		return true
	}
	own := strings.Fields(wording.Plain(car.Name))
	return len(v.Ambiguous) == 0 && !slices.ContainsFunc(strings.Fields(wording.Plain(unarticled(nameIn(text, v)))), func(w string) bool { return !slices.Contains(own, w) })
}

// againFor begins what a text asks for with what is known of a job: its car, unless it is to
// be another, its place, and its work as far as the text says nothing else.
func (t *turn) againFor(c *Chat, last *Enquiry, text string, thatCar bool) {
	next := t.begin(c)
	next.First = opening(text, leastState)
	next.Place, next.Address, next.Renews = last.Place, last.Address, renewsAsks
	comesAgain(last, next)
	t.elsewhereNow(next, text)
	next.Answers[askWants] = t.wantsAgain(last, text)
	same := slices.Equal(next.Answers[askWants], last.Answers[askWants])
	if thatCar {
		next.Spared = slices.Clone(last.Spared)
	}
	if same {
		t.namedAgain(last, next)
	}
	k := wording.AgainWork
	switch {
	case !thatCar:
		for _, q := range restingOn(askVehicle) {
			delete(next.Answers, q)
		}
		next.Renews, k = "", wording.SameOther
	case same:
		next.Car, k = last.Car, wording.SameAgain
	default:
		next.Car = last.Car
	}
	next.Trail = []string{askWants}
	t.asksBeside(next, t.besideAgain(text))
	day := last.Work.At.In(t.Zone)
	f := wording.Facts{Car: carName(next), Day: t.Words.Date(day), Text: t.scoped(next)}
	if day.Year() != t.now.In(t.Zone).Year() {
		f.Day = t.Words.DateYear(day)
	}
	if next.answer(askSite) != "" {
		f.Text += ". " + t.whereTo(next)
	}
	lead := t.word(k, f)
	heard := t.understood(t.hear(next, text))
	if after := t.afterAgain(text); heard == "" && t.suits(next, after) {
		heard = t.understood([]string{after})
	}
	if heard != "" {
		lead += "\n\n" + heard
	}
	t.readBack = thatCar
	t.put(next, lead)
}

// namedAgain takes over what was named besides the work, and the money it was for.
func (t *turn) namedAgain(last, next *Enquiry) {
	next.Named = slices.Clone(last.Named)
	for _, of := range last.Named { // what is there whenever they come: the dog's hair
		if a, ok := last.Answers[askCond+of]; ok {
			next.Answers[askCond+of] = slices.Clone(a)
		}
	}
	if budgetOf(last) > 0 {
		next.Answers[askBudget] = slices.Clone(last.Answers[askBudget])
	}
}

// wantsAgain is the work a text asks for: that of the last time, with what is named besides
// and without what is not wanted, or what alone is named.
func (t *turn) wantsAgain(last *Enquiry, text string) []string {
	r := t.heardIn(text)
	now := t.asksFor(r)
	if len(now) == 0 || (t.speaksOf(wording.Plain(text), wording.SaySameAgain) || t.speaksOf(wording.Plain(text), wording.SayAsWell)) && !r.Instead {
		now = slices.Concat(last.Answers[askWants], now)
	}
	left := slices.DeleteFunc(slices.Clone(now), func(w string) bool { return slices.Contains(r.Excludes, w) || slices.Contains(r.Spared, w) })
	if len(left) == 0 {
		left = now
	}
	var out []string
	for _, w := range left {
		if !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

// elsewhereNow takes back the place of the last time where a text says that it is another.
func (t *turn) elsewhereNow(next *Enquiry, text string) {
	site := map[string]string{"unit": "own", "customer": "theirs"}[t.heardIn(text).Place.Whose]
	if site == "" || site == next.answer(askSite) {
		return
	}
	for _, q := range restingOn(askSite) {
		delete(next.Answers, q)
	}
	next.Place, next.Address = nil, ""
}

// againRow is the button that says no to what is read back.
func (t *turn) againRow(e *Enquiry) [][]bot.Choice {
	return t.presses(e, pressAgain, named{againNot, wording.LabelNotThat})
}

// whichAgain asks which of several cars it is; what else was said is kept until then.
func (t *turn) whichAgain(c *Chat, before []*Enquiry, text string) {
	const most = 6
	var rows [][]bot.Choice
	for _, e := range before[:min(most, len(before))] {
		rows = append(rows, []bot.Choice{{Label: carName(e), Data: press{e.ID, e.Rev, pressAgain, againCar}.data()}})
	}
	rows = append(rows, t.presses(before[0], pressAgain, named{againOther, wording.LabelOtherCar})...)
	c.Again = brief(text)
	t.tell(c.ID, wording.WhichAgain, wording.Facts{Name: c.Name}, rows...)
}

// namesWhich takes the name of a car in answer to that.
func (t *turn) namesWhich(c *Chat, of, text string) bool {
	if t.Reader == nil {
		return false
	}
	if t.saysJust(text, t.typed(wording.LabelOtherCar)) {
		t.greet(c, of)
		return true
	}
	r := t.heardIn(text)
	before := t.cameBefore(c, text)
	if len(before) != 1 || r.Vehicle() == nil && r.Shape == "" {
		return false
	}
	t.againFor(c, before[0], of, true)
	if at := t.current(c); len(r.When) > 0 && at != nil { // "the golf, friday please"
		t.suits(at, text)
	}
	return true
}

// againPressed takes a press under what is read back, or on one of several cars.
func (t *turn) againPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	of, now := c.Again, t.current(c)
	free := of != "" && (now == nil || now.Stage == Closed || now.Stage == Done)
	switch {
	case p.choice == againNot && e.open() && p.rev == e.Rev:
		t.review(e)
		return
	case p.choice == againCar && free && e.Stage == Done && e.Work != nil:
		t.takeOff(w)
		c.Again = ""
		t.againFor(c, e, of, true)
	case p.choice == againOther && free:
		t.takeOff(w)
		c.Again = ""
		t.greet(c, of)
	default:
		t.stale(c, e, p)
	}
}

// afterAgain is what stands behind the words for the same again: "in June", of "lovely job,
// same again in June?".
func (t *turn) afterAgain(text string) string {
	words := strings.Fields(wording.Plain(text))
	for i := range words {
		if n := longestOf(t.typed(wording.SaySameAgain), words[i:]); n > 0 {
			return strings.Join(words[i+n:], " ")
		}
	}
	return ""
}

// besideAgain is a text without the sentence that asks for the same again.
func (t *turn) besideAgain(text string) (rest string) {
	for _, s := range sentences(text) {
		if !t.speaksOf(wording.Plain(s), wording.SaySameAgain) {
			rest += s
		}
	}
	return rest
}
