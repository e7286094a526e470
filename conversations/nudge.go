package conversations

import (
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders"
)

// The answers to a nudge.
const (
	nudgeYes   = "yes"
	nudgeFine  = "fine"
	nudgeLater = "later"
	nudgeElse  = "elsewhere"
	nudgeSold  = "sold"
	nudgeNever = "never"
	nudgeIn    = "in:" // in so many weeks
)

// pressWear is the question name of the buttons that ask what a car goes through.
const pressWear = "wear"

// asked are the circumstances a customer can tell at handover with a tap.
var wears = []string{"kept-outside", "garaged", "many-miles", "salted-winter", "brush-wash"}

// busy are the moments at which the customer hears about looking after the job.
func (t *turn) busy(e *Enquiry) []time.Time {
	var out []time.Time
	for _, m := range t.setting().Care(e.job()) {
		out = append(out, m.At)
	}
	return out
}

// plan begins, or goes on with, what a customer is to hear of the protection of
// this car.
func (t *turn) plan(e *Enquiry) {
	var p reminders.Plan
	if e.Plan != nil {
		p = *e.Plan
	}
	var applied []reminders.Applied
	for _, id := range e.Work.Protections {
		applied = append(applied, reminders.Applied{Kind: id, At: e.Work.At})
	}
	p = p.Apply(t.setting(), applied...)
	t.keepPlan(e, p)
}

// keepPlan remembers a plan and sets its next moment.
func (t *turn) keepPlan(e *Enquiry, p reminders.Plan) {
	e.Plan = &p
	m, ok := p.Next(t.now, t.setting(), t.busy(e)...)
	if !ok {
		e.Work.Nudge = time.Time{}
		t.unset(CameNudge, e)
		return
	}
	e.Work.Nudge = m.At
	t.set(m.At, Came{Kind: CameNudge, Enquiry: e.ID})
}

// older makes a plan of what releases before this one kept.
func (t *turn) older(e *Enquiry) {
	if e.Plan != nil || e.Work.Protection == "" {
		return
	}
	e.Work.Protections = []string{e.Work.Protection}
	p := reminders.Plan{}.Apply(t.setting(), reminders.Applied{Kind: e.Work.Protection, At: e.Work.At})
	if e.Work.Nudged {
		if m, ok := p.Next(e.Work.Nudge, t.setting()); ok {
			p = p.Sent(m, e.Work.Nudge, t.setting())
		}
	}
	e.Plan = &p
}

// nudge tells a customer who asked for it that their protection falls due: once,
// and once more if they do not answer.
func (t *turn) nudge(e *Enquiry) {
	c := t.chat(e.Chat)
	if e.Stage != Done || e.Work == nil || c.Stopped || c.Blocked || c.NoNudge || !e.has(askConsent, "yes") {
		return
	}
	t.older(e)
	if e.Plan == nil {
		return
	}
	s := t.setting()
	m, ok := e.Plan.Next(t.now, s, t.busy(e)...)
	if !ok {
		return
	}
	if !m.Sensible(t.now) {
		e.Work.Nudge = m.At
		t.set(m.At, Came{Kind: CameNudge, Enquiry: e.ID})
		return
	}
	e.Rev++
	t.say(t.nudgeMessage(e, m))
	t.keepPlan(e, e.Plan.Sent(m, t.now, s))
}

// nudgeMessage words a nudge from the state of this moment.
func (t *turn) nudgeMessage(e *Enquiry, m reminders.Moment) bot.Message {
	f := wording.Facts{Name: e.Name, Car: carName(e), Day: t.Words.DateYear(e.Work.At.In(t.Zone))}
	for _, cl := range m.Clocks {
		f.Items = append(f.Items, cl.Protection.Words)
	}
	if price, ok := t.topUp(e); ok {
		f.Likely = price.String()
	}
	k := wording.Nudge
	if m.Kind == reminders.FollowUp {
		k = wording.FollowUp
	}
	button := func(k wording.Key, choice string) bot.Choice {
		return bot.Choice{Label: t.label(k), Data: press{e.ID, e.Rev, pressNudge, choice}.data()}
	}
	return bot.Message{
		Chat: e.Chat, Text: t.word(k, f), Kind: string(m.Kind), Delivery: bot.Once, NotAfter: m.NotAfter,
		Choices: [][]bot.Choice{
			{button(wording.LabelTopUp, nudgeYes), button(wording.LabelStillFine, nudgeFine)},
			{button(wording.LabelLater, nudgeLater), button(wording.LabelElsewhere, nudgeElse)},
			{button(wording.LabelSold, nudgeSold), button(wording.LabelNoMore, nudgeNever)},
		},
	}
}

// topUp is what protecting this car again would likely cost now, where it was done
// last.
func (t *turn) topUp(e *Enquiry) (pricing.Pence, bool) {
	if e.Car == nil {
		return 0, false
	}
	again := pricing.Enquiry{Vehicle: *e.Car, Wants: []string{"exterior", "protection"}, Site: t.site(e)}
	q, err := t.Rules.Quote(again)
	if err != nil || q.Refused != "" || q.NeedToSee != "" {
		return 0, false
	}
	return q.Price.Likely, true
}

// nudgePressed takes the answer to a nudge.
func (t *turn) nudgePressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Stage != Done || e.Work == nil || e.Plan == nil || p.rev != e.Rev {
		t.out.Toast = t.word(wording.StaleButton, wording.Facts{})
		t.lead(c, t.word(wording.StaleButton, wording.Facts{}))
		return
	}
	t.takeOff(w)
	e.Rev++
	s := t.setting()
	weeks, in := strings.CutPrefix(p.choice, nudgeIn)
	switch {
	case in:
		n, err := strconv.Atoi(weeks)
		if err != nil || n < 1 || n > 52 {
			n = t.Rules.Nudges.LaterWeeks
		}
		t.keepPlan(e, e.Plan.Later(t.now, n, 0, s))
		t.nudgeMoved(c, e, wording.NudgeLater)
	case p.choice == nudgeYes:
		t.keepPlan(e, e.Plan.Booked(t.now, s))
		t.topUpBegun(c, e)
	case p.choice == nudgeFine:
		t.keepPlan(e, e.Plan.StillFine(t.now, s))
		t.nudgeMoved(c, e, wording.NudgeFine)
	case p.choice == nudgeLater:
		t.tell(c.ID, wording.NudgeWhen, wording.Facts{}, t.presses(e, pressNudge,
			named{nudgeIn + "2", wording.LabelInTwoWeeks}, named{nudgeIn + strconv.Itoa(t.Rules.Nudges.LaterWeeks), wording.LabelInAWhile}, named{nudgeIn + "13", wording.LabelInThreeMonths})...)
	case p.choice == nudgeElse:
		t.keepPlan(e, e.Plan.Elsewhere(t.now, s))
		t.nudgeMoved(c, e, wording.NudgeElsewhere)
	case p.choice == nudgeSold:
		t.keepPlan(e, e.Plan.Sold())
		t.tell(c.ID, wording.NudgeSold, wording.Facts{Car: carName(e)})
	default:
		c.NoNudge = true
		t.keepPlan(e, e.Plan.Stop())
		t.tell(c.ID, wording.NudgeNever, wording.Facts{Name: c.Name})
	}
}

// nudgeMoved says when the customer hears again, if ever.
func (t *turn) nudgeMoved(c *Chat, e *Enquiry, k wording.Key) {
	f := wording.Facts{Car: carName(e)}
	if !e.Work.Nudge.IsZero() {
		f.When = t.Words.DateYear(e.Work.Nudge.In(t.Zone))
	}
	t.tell(c.ID, k, f)
}

// topUpBegun begins the enquiry a nudge leads to: car, place and what is wanted
// are known, and only what may have changed is asked.
func (t *turn) topUpBegun(c *Chat, e *Enquiry) {
	next := t.begin(c)
	next.Car, next.Place, next.Plan = e.Car, e.Place, e.Plan
	for _, q := range []string{askVehicle, askWhich, askBody, askSite, askSurface, askServices, askDrain, askMiles, askConsent} {
		if a, ok := e.Answers[q]; ok {
			next.Answers[q] = a
		}
	}
	next.Answers[askWants] = []string{"exterior", "protection"}
	next.Answers[askHazards] = []string{choiceDone}
	next.Answers[askPhoto] = []string{choiceSkip}
	next.Trail = []string{askWants}
	t.put(next, t.word(wording.TopUpBegun, wording.Facts{Car: carName(e), Text: t.where(next)}))
}

// askWear asks, at the handover, what the car goes through: it moves the date of
// the reminder.
func (t *turn) askWear(e *Enquiry) {
	if e.Work.Nudge.IsZero() {
		return
	}
	t.tell(e.Chat, wording.AskWear, wording.Facts{Car: carName(e)}, t.wearRows(e)...)
}

func (t *turn) wearRows(e *Enquiry) [][]bot.Choice {
	var rows [][]bot.Choice
	for _, w := range t.Rules.Wears() {
		i := indexOf(wears, w.ID)
		if i < 0 {
			continue
		}
		label, choice := w.Words, "+"+w.ID
		if e.Plan != nil && indexOf(e.Plan.Wear, w.ID) >= 0 {
			label, choice = "✓ "+w.Words, "-"+w.ID
		}
		rows = append(rows, []bot.Choice{{Label: label, Data: press{e.ID, e.Rev, pressWear, choice}.data()}})
	}
	return append(rows, t.presses(e, pressWear, named{choiceDone, wording.LabelThatsAll})...)
}

func indexOf(list []string, s string) int {
	for i, x := range list {
		if x == s {
			return i
		}
	}
	return -1
}

// wearPressed takes what the car goes through.
func (t *turn) wearPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Stage != Done || e.Plan == nil || p.rev != e.Rev {
		t.out.Toast = t.word(wording.StaleButton, wording.Facts{})
		return
	}
	if p.choice == choiceDone {
		t.takeOff(w)
		f := wording.Facts{Car: carName(e)}
		if !e.Work.Nudge.IsZero() {
			f.When = t.Words.DateYear(e.Work.Nudge.In(t.Zone))
		}
		t.tell(c.ID, wording.WearTaken, f)
		return
	}
	if len(p.choice) < 2 || indexOf(wears, p.choice[1:]) < 0 {
		return
	}
	var worn []string
	for _, x := range e.Plan.Wear {
		if x != p.choice[1:] {
			worn = append(worn, x)
		}
	}
	if p.choice[0] == '+' {
		worn = append(worn, p.choice[1:])
	}
	t.keepPlan(e, e.Plan.Worn(worn...))
	if w.Message != 0 {
		t.say(bot.Message{Chat: c.ID, Edit: w.Message, Choices: t.wearRows(e), Kind: "ticks"})
	}
}
