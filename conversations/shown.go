package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// What the desk asks beside the form, it asks with buttons, and is answered in words as
// well: those on a button, or a yes or a no where that is what it asked. Which buttons
// stand last in a chat is remembered for that.

// Shown are the buttons under the last message to somebody that had any.
type Shown struct {
	At time.Time `json:"at"`
	// Data is what they carry back; Labels, for the owner, what stands on them.
	Data   []string `json:"data"`
	Labels []string `json:"labels,omitempty"`
}

// yesFor is for how long after its buttons a mere yes or no answers a question.
const yesFor = 3 * 24 * time.Hour

// wayOut is a button that is meant by words as well: what stands on it, and whether a
// mere yes or no means it.
type wayOut struct {
	label   wording.Key
	yes, no bool
}

// waysOut are those of every question that is asked beside the form.
var waysOut = map[string]map[string]wayOut{
	pressVisit: {
		visitSurely: {label: wording.LabelCallOffSurely, yes: true},
		visitKeep:   {label: wording.LabelKeepIt, no: true},
	},
	pressMove: {
		visitYes:    {label: wording.LabelMoveYes, yes: true},
		choiceOther: {label: wording.LabelAnotherTime},
		visitKeep:   {label: wording.LabelKeepIt, no: true},
	},
	pressAgree: {
		agreeYes:  {label: wording.LabelGoAhead, yes: true},
		agreeKeep: {label: wording.LabelKeepMoney},
		agreeMore: {label: wording.LabelSameMoney},
		agreeNo:   {label: wording.LabelRatherNot, no: true},
	},
	pressTheir: {
		theirSeen:   {label: wording.LabelSeen},
		theirDenied: {label: wording.LabelNotSo},
		theirComing: {label: wording.LabelComing},
		theirOther:  {label: wording.LabelAnotherDay},
		theirRight:  {label: wording.LabelSnagRight, yes: true},
		theirNot:    {label: wording.LabelSnagNot, no: true},
		trialOn:     {label: wording.LabelTrialOn, yes: true},
		trialLeave:  {label: wording.LabelTrialLeave, no: true},
	},
	pressWear: {
		wearSame: {label: wording.LabelWearSame, yes: true},
		wearAsk:  {label: wording.LabelWearChanged, no: true},
	},
	pressConsent: {
		"yes": {label: wording.LabelRemind, yes: true},
		"no":  {label: wording.LabelNoRemind, no: true},
	},
	pressStanding: {
		standYes: {yes: true},
		standNo:  {label: wording.LabelNoThanks, no: true},
	},
	pressDeposit: {
		depositSays: {label: wording.LabelIPaid},
	},
}

// wayOf is what a press is in words, false if it is none of those.
func wayOf(p press) (wayOut, bool) {
	choice := p.choice
	switch {
	case p.question == pressTheir && strings.HasPrefix(choice, theirTrial+":"):
		choice = trialOn
		if strings.HasSuffix(p.choice, trialLeave) {
			choice = trialLeave
		}
	case p.question == pressStanding && strings.HasPrefix(choice, standYes):
		choice = standYes
	case p.question == pressWear:
		if w, ok := wearInWords(choice); ok {
			return w, true
		}
	}
	w, ok := waysOut[p.question][choice]
	return w, ok
}

// noteShown remembers what buttons a customer sees last. What a person has written to
// them since takes the place of the desk's question.
func (t *turn) noteShown(m bot.Message) {
	if m.Chat == t.Owner || isGuest(m.Chat) || m.Edit != 0 {
		return
	}
	c := t.chat(m.Chat)
	if m.Kind == string(wording.FromThePerson) {
		c.Shown = nil
		return
	}
	if len(m.Choices) == 0 {
		return
	}
	c.Shown = nil
	for _, row := range m.Choices {
		for _, b := range row {
			p, ok := parsePress(b.Data)
			if !ok {
				continue
			}
			if _, ok := wayOf(p); !ok {
				continue
			}
			if c.Shown == nil {
				c.Shown = &Shown{At: t.now.Truncate(time.Second)}
			}
			c.Shown.Data = append(c.Shown.Data, b.Data)
		}
	}
}

// pressedInWords takes a text as a press on one of the buttons that stand last in a chat,
// and reports whether it was one.
func (t *turn) pressedInWords(c *Chat, text string) bool {
	if e := t.current(c); c.Shown == nil || c.Snag != "" || e != nil && e.open() {
		return false
	}
	p, ok := t.meantPress(c.Shown, text)
	if !ok {
		return false
	}
	e := t.enquiry(p.enquiry)
	if e == nil || e.Chat != c.ID || p.rev != e.Rev && p.question != pressTheir {
		return false
	}
	routes[p.question](t, c, e, p, bot.Tap{})
	return true
}

// meantPress is the one of some buttons that a text means.
func (t *turn) meantPress(shown *Shown, text string) (press, bool) {
	said := wording.Plain(text)
	var named, yes, no []press
	for _, data := range shown.Data {
		p, _ := parsePress(data)
		w, ok := wayOf(p)
		if !ok {
			continue
		}
		if w.label != "" && t.saysJust(text, t.typed(w.label)) || p.choice == visitSurely && (t.callsOff(said) || t.saysCantMake(said)) {
			named = append(named, p)
		}
		if w.yes {
			yes = append(yes, p)
		}
		if w.no {
			no = append(no, p)
		}
	}
	if len(no) == 1 && no[0].question == pressConsent && t.refusesReminder(text) {
		return no[0], true
	}
	fresh := t.now.Sub(shown.At) < yesFor
	switch {
	case slices.ContainsFunc(named, func(p press) bool { return p.choice == visitSurely }):
		return named[slices.IndexFunc(named, func(p press) bool { return p.choice == visitSurely })], true
	case len(named) == 1:
		return named[0], true
	case len(named) > 1 || !fresh:
		return press{}, false
	case len(yes) == 1 && t.saysJust(text, slices.Concat(t.typed(wording.SayYes), t.typed(wording.LabelMoveYes), t.typed(wording.SayAgreed))):
		return yes[0], true
	case len(no) == 1 && t.saysJust(text, slices.Concat(t.typed(wording.SayNo), t.typed(wording.SayLeaveIt))):
		return no[0], true
	}
	return press{}, false
}
