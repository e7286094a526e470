package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// What a car goes through moves the date of its reminder. It is asked at the
// handover with two questions of one tap each, and with one tap where it has been
// told before.

// pressWear is the question name of those buttons.
const pressWear = "wear"

// The choices under pressWear. Behind the first two stand the circumstances, by
// their ids in the rules and joined with a plus.
const (
	wearSleeps = "sleeps:"
	wearWash   = "wash:"
	wearSame   = "same"
	wearAsk    = "ask"
)

// many is the one circumstance that may be ticked on the way, salt the one that is asked
// about by itself where somebody has said only where a car sleeps.
const (
	many    = "many-miles"
	salt    = "salted-winter"
	garaged = "garaged"
)

// wayOfLife is an answer to one of the two questions.
type wayOfLife struct {
	label wording.Key
	wear  []string
}

var (
	sleeps = []wayOfLife{
		{wording.LabelOutsideSalt, []string{"kept-outside", "salted-winter"}},
		{wording.LabelOutsideNoSalt, []string{"kept-outside"}},
		{wording.LabelGarageSalt, []string{"garaged", "salted-winter"}},
		{wording.LabelGarageNoSalt, []string{"garaged"}},
	}
	washes = []wayOfLife{
		{wording.LabelWashHand, nil},
		{wording.LabelWashTopped, []string{"washed-and-topped-up"}},
		{wording.LabelWashBrush, []string{"brush-wash"}},
		{wording.LabelWashStrong, []string{"strong-soap"}},
	}
)

// askWear asks, at the handover, what the car goes through.
func (t *turn) askWear(e *Enquiry) {
	if e.Work.Nudge.IsZero() || e.Every > 0 { // who comes every few weeks is not asked every few weeks
		return
	}
	their := t.chat(e.Chat) // who is asked something by the desk is answered by it
	their.Person, their.Passed, their.Spoke = false, false, false
	f := wording.Facts{Car: carName(e)}
	if len(e.Plan.Wear) == 0 {
		t.tell(e.Chat, wording.AskWear, f, t.waysOfLife(e, wearSleeps, sleeps)...)
		return
	}
	for _, w := range t.Rules.Wears() {
		if slices.Contains(e.Plan.Wear, w.ID) {
			f.Items = append(f.Items, w.Words)
		}
	}
	t.tell(e.Chat, wording.AskWearAgain, f, t.presses(e, pressWear, named{wearSame, wording.LabelWearSame}, named{wearAsk, wording.LabelWearChanged})...)
}

// waysOfLife are a question's buttons, less those the rules know nothing of.
func (t *turn) waysOfLife(e *Enquiry, question string, ways []wayOfLife) [][]bot.Choice {
	var rows [][]bot.Choice
	for _, w := range ways {
		if !slices.ContainsFunc(w.wear, func(id string) bool { return !t.wears(id) }) {
			data := press{e.ID, e.Rev, pressWear, question + strings.Join(w.wear, "+")}.data()
			rows = append(rows, []bot.Choice{{Label: t.label(w.label), Data: data}})
		}
	}
	return append(rows, t.presses(e, pressWear, named{question + choiceSkip, wording.LabelWearSkip})...)
}

// wearInWords is what a choice of the two questions is in words. Where only the salt is
// asked about, a mere yes or no tells it.
func wearInWords(choice string) (wayOut, bool) {
	for question, ways := range map[string][]wayOfLife{wearSleeps: sleeps, wearWash: washes} {
		said, ok := strings.CutPrefix(choice, question)
		if !ok {
			continue
		}
		if said == choiceSkip {
			return wayOut{label: wording.LabelWearSkip}, true
		}
		for _, w := range ways {
			if strings.Join(w.wear, "+") == said {
				salted := slices.Contains(w.wear, salt)
				return wayOut{label: w.label, yes: question == wearSleeps && salted, no: question == wearSleeps && !salted}, true
			}
		}
	}
	return wayOut{}, false
}

// wears tells whether the rules know a circumstance.
func (t *turn) wears(id string) bool {
	for _, w := range t.Rules.Wears() {
		if w.ID == id {
			return true
		}
	}
	return false
}

// washRows are the buttons of the second question, with the mileage to tick.
func (t *turn) washRows(e *Enquiry) [][]bot.Choice {
	rows := t.waysOfLife(e, wearWash, washes)
	for _, w := range t.Rules.Wears() {
		if w.ID != many {
			continue
		}
		label, choice := "☐ "+w.Words, "+"+many
		if slices.Contains(e.Plan.Wear, many) {
			label, choice = "✓ "+w.Words, "-"+many
		}
		tick := []bot.Choice{{Label: label, Data: press{e.ID, e.Rev, pressWear, choice}.data()}}
		rows = slices.Insert(rows, 0, tick)
	}
	return rows
}

// wearPressed takes what the car goes through.
func (t *turn) wearPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Stage != Done || e.Plan == nil || p.rev != e.Rev {
		t.out.Toast = t.word(wording.StaleButton, wording.Facts{})
		return
	}
	if id, ok := strings.CutPrefix(p.choice, "+"); ok {
		t.tickWear(c, e, id, true, w)
		return
	}
	if id, ok := strings.CutPrefix(p.choice, "-"); ok {
		t.tickWear(c, e, id, false, w)
		return
	}
	t.takeOff(w)
	e.Rev++
	f := wording.Facts{Car: carName(e)}
	said, first := strings.CutPrefix(p.choice, wearSleeps)
	wash, second := strings.CutPrefix(p.choice, wearWash)
	switch {
	case p.choice == wearAsk:
		t.tell(c.ID, wording.AskWear, f, t.waysOfLife(e, wearSleeps, sleeps)...)
		return
	case first:
		t.wear(e, sleeps, said)
		t.tell(c.ID, wording.AskWearWash, f, t.washRows(e)...)
		return
	case second:
		t.wear(e, washes, wash)
	}
	if !e.Work.Nudge.IsZero() {
		f.When = t.Words.DateYear(e.Work.Nudge.In(t.Zone))
	}
	if m, ok := e.Plan.Next(t.now, t.theirs(c), t.busy(e)...); ok {
		f.Earlier = t.sooner(e, m, "")
	}
	t.tell(c.ID, wording.WearTaken, f)
	t.tellNudgeMoved(e)
}

// tellNudgeMoved tells the owner of a reminder that what the customer has answered moved to
// another week than he was told.
func (t *turn) tellNudgeMoved(e *Enquiry) {
	was, now := e.Work.NudgeTold, e.Work.Nudge
	const week = 7 * 24 * time.Hour
	if t.Owner == 0 || now.IsZero() || now.Sub(was).Abs() < week {
		return
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), When: t.Words.DateYear(now.In(t.Zone))}
	if !was.IsZero() {
		f.Was = t.Words.DateYear(was.In(t.Zone))
	}
	e.Work.NudgeTold = now
	t.tell(t.Owner, wording.OwnerNudgeMoved, f)
}

// wear replaces what was said to one of the questions. What no button has, counts
// for nothing.
func (t *turn) wear(e *Enquiry, ways []wayOfLife, said string) {
	worn := slices.Clone(e.Plan.Wear)
	for _, way := range ways {
		worn = slices.DeleteFunc(worn, func(id string) bool { return slices.Contains(way.wear, id) })
	}
	for _, way := range ways {
		if strings.Join(way.wear, "+") == said {
			worn = append(worn, way.wear...)
		}
	}
	t.keepPlan(e, e.Plan.Worn(worn...))
}

// tickWear takes a tick, and shows it on the buttons.
func (t *turn) tickWear(c *Chat, e *Enquiry, id string, on bool, w bot.Tap) {
	if !t.wears(id) {
		return
	}
	worn := slices.DeleteFunc(slices.Clone(e.Plan.Wear), func(x string) bool { return x == id })
	if on {
		worn = append(worn, id)
	}
	t.keepPlan(e, e.Plan.Worn(worn...))
	if w.Message != 0 {
		t.say(bot.Message{Chat: c.ID, Edit: w.Message, Choices: t.washRows(e), Kind: "ticks"})
	}
}
