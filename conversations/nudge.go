package conversations

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/pictures"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/reminders"
)

// The answers to a nudge.
const (
	nudgeYes   = "yes"  // of releases that offered one way
	nudgeTop   = "top"  // a quick top-up
	nudgeAnew  = "anew" // all of it done again
	nudgeFine  = "fine"
	nudgeLater = "later"
	nudgeElse  = "elsewhere"
	nudgeSold  = "sold"
	nudgeNever = "never"
	nudgeIn    = "in:" // in so many weeks
)

// busy are the moments at which the customer hears about looking after their cars,
// or has heard something today.
func (t *turn) busy(e *Enquiry) []time.Time {
	c := t.chat(e.Chat)
	out := []time.Time{c.Heard}
	for _, j := range t.caredFor(c, e) {
		for _, m := range t.setting().Care(t.job(j)) {
			out = append(out, m.At)
		}
	}
	return out
}

// plan begins, or goes on with, what a customer is to hear of the protection of
// this car. There is one plan for a car: what earlier jobs on it left is taken over.
func (t *turn) plan(e *Enquiry) {
	p := t.takeOver(e)
	var applied []reminders.Applied
	for _, id := range e.Work.Protections {
		applied = append(applied, reminders.Applied{Kind: id, At: e.Work.At})
	}
	p = p.Apply(t.theirs(t.chat(e.Chat)), applied...)
	t.keepPlan(e, p)
}

// takeOver is the plan of a car as its earlier jobs left it. They have none after.
func (t *turn) takeOver(e *Enquiry) reminders.Plan {
	var p reminders.Plan
	if e.Plan != nil { // from a release that handed plans on with the enquiry
		p = *e.Plan
	}
	for _, old := range t.jobs(t.chat(e.Chat)) {
		t.older(old)
		if old.ID == e.ID || old.Plan == nil || !sameCar(old, e) {
			continue
		}
		if old.Plan.Stage != reminders.Over {
			earlier := p.Applied
			p = *old.Plan
			for _, a := range earlier {
				if !slices.ContainsFunc(p.Applied, func(b reminders.Applied) bool { return a.Kind == b.Kind && a.At.Equal(b.At) }) {
					p.Applied = append(slices.Clone(p.Applied), a)
				}
			}
		}
		t.endPlan(old)
	}
	return p
}

// endPlan lets a job's plan go for good.
func (t *turn) endPlan(e *Enquiry) {
	e.Plan, e.Work.Protection, e.Work.Nudge = nil, "", time.Time{}
	t.unset(CameNudge, e)
}

// keepPlan remembers a plan and sets its next moment.
func (t *turn) keepPlan(e *Enquiry, p reminders.Plan) {
	e.Plan = &p
	m, ok := p.Next(t.now, t.theirs(t.chat(e.Chat)), t.busy(e)...)
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
	t.remembered(c, e)
	if v := t.visiting(c); v != nil && v.Every == 0 && sameCar(v, e) {
		// They are coming anyway, and the plan begins anew then.
		after := v.Slot.End
		if after.Before(t.now) {
			after = t.now
		}
		t.set(t.theirs(c).Politely(after.AddDate(0, 0, 1)), Came{Kind: CameNudge, Enquiry: e.ID})
		return
	}
	s := t.theirs(c)
	if t.unhappy(c) { // first what is not right, then more work
		t.set(s.Politely(t.now.AddDate(0, 0, 7)), Came{Kind: CameNudge, Enquiry: e.ID})
		return
	}
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
	c.Heard = t.now
	t.keepPlan(e, e.Plan.Sent(m, t.now, s))
}

// nudgeMessage words a nudge from the state of this moment. The first one shows how
// to tell whether it is needed; the second is brief.
func (t *turn) nudgeMessage(e *Enquiry, m reminders.Moment) bot.Message {
	f := wording.Facts{Name: e.Name, Car: carName(e), Day: t.Words.DateYear(e.Work.At.In(t.Zone)), Earlier: t.sooner(e, m, "")}
	beading := false
	for _, cl := range m.Clocks {
		f.Items = append(f.Items, cl.Protection.Words)
		beading = beading || slices.Contains(beads, cl.Protection.On)
	}
	button := func(k wording.Key, choice string) bot.Choice {
		return bot.Choice{Label: t.label(k), Data: press{e.ID, e.Rev, pressNudge, choice}.data()}
	}
	rows := t.priceRows(e, m.Clocks, &f)
	fine := button(wording.LabelStillFine, nudgeFine)
	if beading {
		f.Question = t.word(wording.NudgeBeads, f)
		fine.Label = t.label(wording.LabelStillBeads)
	}
	msg := bot.Message{Chat: e.Chat, Kind: string(m.Kind), Delivery: bot.Once, NotAfter: m.NotAfter, About: e.ID}
	k := wording.FollowUp
	if m.Kind == reminders.Nudge {
		k = wording.Nudge
		if beading {
			msg.Picture = pictures.Beads
		}
	}
	msg.Text = t.word(k, f)
	msg.Choices = append(rows, []bot.Choice{fine, button(wording.LabelLater, nudgeLater)},
		[]bot.Choice{button(wording.LabelElsewhere, nudgeElse), button(wording.LabelSold, nudgeSold)},
		[]bot.Choice{button(wording.LabelNoMore, nudgeNever)})
	return msg
}

// sooner says why a reminder comes before the months that were named when the protection
// went on, empty where it does not. now is empty where it is said along with the reminder.
func (t *turn) sooner(e *Enquiry, m reminders.Moment, now string) string {
	var words []string
	why := t.theirs(t.chat(e.Chat)).Sooner(m.Clocks, m.At, e.Plan.Wear...)
	for _, w := range t.Rules.Wears() {
		if slices.Contains(why, w.ID) {
			words = append(words, w.Words)
		}
	}
	if len(words) == 0 {
		return ""
	}
	return t.word(wording.LineSooner, wording.Facts{Now: now, Text: strings.Join(words, ", ")})
}

// beads are the surfaces on which water tells how protection is doing.
var beads = []string{"paint", "soft-top", "glass"}

// nudgePressed takes the answer to a nudge.
func (t *turn) nudgePressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Stage != Done || e.Work == nil || e.Plan == nil || p.rev != e.Rev {
		t.out.Toast = t.word(wording.StaleButton, wording.Facts{})
		t.lead(c, t.word(wording.StaleButton, wording.Facts{}))
		return
	}
	t.takeOff(w)
	e.Rev++
	s := t.theirs(c)
	weeks, in := strings.CutPrefix(p.choice, nudgeIn)
	switch {
	case in:
		n, err := strconv.Atoi(weeks)
		if err != nil || n < 1 || n > 52 {
			n = t.Rules.Nudges.LaterWeeks
		}
		t.keepPlan(e, e.Plan.Later(t.now, n, 0, s))
		t.nudgeMoved(c, e, wording.NudgeLater)
	case p.choice == nudgeYes, p.choice == nudgeAnew, p.choice == nudgeTop:
		next, wish := t.renewal(e, t.toldOf(e), p.choice == nudgeTop), e.Wish
		e.Wish = ""
		t.keepPlan(e, e.Plan.Booked(t.now, s))
		t.renewalBegun(c, e, next, wish)
	case p.choice == nudgeFine:
		t.keepPlan(e, e.Plan.StillFine(t.now, s))
		t.nudgeMoved(c, e, wording.NudgeFine)
	case p.choice == nudgeLater:
		t.tell(c.ID, wording.NudgeWhen, wording.Facts{}, t.presses(e, pressNudge,
			named{nudgeIn + "2", wording.LabelInTwoWeeks}, named{nudgeIn + strconv.Itoa(t.Rules.Nudges.LaterWeeks), wording.LabelInAWhile}, named{nudgeIn + "13", wording.LabelInThreeMonths}, named{nudgeNever, wording.LabelNoMore})...)
	case p.choice == nudgeElse:
		t.keepPlan(e, e.Plan.Elsewhere(t.now, s))
		t.nudgeMoved(c, e, wording.NudgeElsewhere)
	case p.choice == nudgeSold:
		t.keepPlan(e, e.Plan.Sold())
		t.tell(c.ID, wording.NudgeSold, wording.Facts{Car: carName(e)})
	default:
		t.noMore(c)
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

// noMore ends all reminders of a chat, and every plan: only a new yes begins one.
func (t *turn) noMore(c *Chat) {
	c.NoNudge = true
	for _, j := range t.jobs(c) {
		if j.Plan != nil {
			t.keepPlan(j, j.Plan.Stop())
		}
	}
}
