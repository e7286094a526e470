package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// Declining with a reason: the customer hears it kindly, with what they can do
// next.

// pressReason is the question name of the reasons.
const pressReason = "reason"

// The reasons. They are common practice, no source.
const (
	reasonDay   = "day"   // that time is no good; another may be
	reasonFull  = "full"  // nothing for weeks
	reasonFar   = "far"   // too far to drive
	reasonPlace = "place" // can't be done where it stands
	reasonElse  = "else"  // somebody else's trade
	reasonNot   = "not"   // not work we do
	reasonOwn   = "own"   // in his own words
)

var reasons = []named{
	{reasonDay, wording.LabelReasonDay}, {reasonFull, wording.LabelReasonFull}, {reasonFar, wording.LabelReasonFar}, {reasonPlace, wording.LabelReasonPlace},
	{reasonElse, wording.LabelReasonElse}, {reasonNot, wording.LabelReasonNot}, {reasonOwn, wording.LabelReasonOwn},
}

// askReason offers the reasons that make sense.
func (t *turn) askReason(e *Enquiry) {
	fitting := slices.DeleteFunc(slices.Clone(reasons), func(n named) bool {
		return (!atTheirs(t, e) || !mayBring(t, e)) && (n.key == reasonFar || n.key == reasonPlace)
	})
	t.expect(t.chat(t.Owner), typingWhy, e)
	t.tell(t.Owner, wording.OwnerReason, wording.Facts{Name: e.Name}, t.presses(e, pressReason, append(fitting, named{choiceBack, wording.LabelBack})...)...)
}

// reasonPressed takes the reason.
func (t *turn) reasonPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	known := slices.ContainsFunc(reasons, func(n named) bool { return n.key == p.choice })
	switch {
	case e.Stage != Waits || p.rev != e.Rev || !known && p.choice != choiceBack:
		t.staleVisit(c, e)
	case p.choice == choiceBack:
		t.takeOff(w)
		t.tell(t.Owner, wording.OwnerAsk, t.card(e), t.cardWays(e)...)
	case p.choice == reasonOwn:
		t.takeOff(w)
		t.expect(c, typingReason, e)
		t.tell(c.ID, wording.OwnerReasonOwn, wording.Facts{Name: e.Name})
	default:
		t.takeOff(w)
		t.declineFor(e, p.choice, "")
	}
}

// declineFor gives the time back, says why, and leads on.
func (t *turn) declineFor(e *Enquiry, reason, words string) {
	if e.Stage != Waits {
		t.staleVisit(t.chat(t.Owner), e)
		return
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), Text: strings.TrimSpace(words), Refer: e.Quote.Refer, Money: t.moneyWaits(e)}
	told := wording.OwnerDeclined
	switch reason {
	case reasonDay:
		e.Refused = append(e.Refused, *e.Slot)
		t.reopen(e)
		t.widen(e)
		t.put(e, t.word(wording.Declined, f))
	case reasonOwn:
		t.reopen(e)
		k := wording.DeclinedOwn
		if units(f.Text) > mostReason { // the times below it need room too
			t.tellPieces(e, f.Text)
			k = wording.Declined
		}
		t.put(e, t.word(k, f))
	case reasonFar, reasonPlace:
		k := wording.DeclinedFar
		if reason == reasonPlace {
			k = wording.DeclinedPlace
		}
		t.reopen(e)
		t.bring(e)
		t.put(e, t.word(k, f))
		told = wording.OwnerDeclinedBring
	default:
		k := map[string]wording.Key{reasonFull: wording.DeclinedFull, reasonElse: wording.DeclinedElse, reasonNot: wording.DeclinedNot}[reason]
		f.Money = t.moneyLeft(e)
		t.close(e)
		if !t.chat(e.Chat).Blocked {
			t.tell(e.Chat, k, f)
		}
		told = wording.OwnerDeclinedOver
	}
	t.toOwner(told, e, wording.Facts{}, pressWrite)
}

// mostReason is of how many units a reason is at most that stands in one message with
// what comes after it.
const mostReason = 1000

// leastReason is of how many words a reason is at least that nobody has asked for.
const leastReason = 3

// whyTyped takes what the owner types at "Why not?" as a reason in his own words, and
// shows it before it goes. Fewer words than a reason has are read as if nothing had
// been asked.
func (t *turn) whyTyped(c *Chat, text string) bool {
	open := c.Typing
	if open == nil || open.What != typingWhy || len(strings.Fields(text)) < leastReason {
		return false
	}
	c.Typing = nil
	e := t.enquiry(open.Enquiry)
	if e == nil || e.Stage != Waits {
		return false
	}
	c.Draft = strings.TrimSpace(text)
	t.tell(c.ID, wording.OwnerDraftNo, wording.Facts{Name: e.Name, Text: c.Draft},
		[]bot.Choice{{Label: t.label(wording.LabelSendIt), Data: press{e.ID, e.Rev, pressOwner, pressSendNo + lineSum(c.Draft)}.data()}},
		t.presses(e, pressReason, named{choiceBack, wording.LabelBack})[0])
	return true
}

// sendNo declines with the reason that was typed, if it is the one the button was made
// for.
func (t *turn) sendNo(c *Chat, e *Enquiry, sum string, w bot.Tap) {
	if e.Stage != Waits || c.Draft == "" || lineSum(c.Draft) != sum {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	words := c.Draft
	c.Draft = ""
	t.declineFor(e, reasonOwn, words)
}

// bring makes of an enquiry for the customer's place one that is brought to us.
func (t *turn) bring(e *Enquiry) {
	for _, q := range form {
		if q.place != nil && q.id != askSite {
			t.forget(e, q.id)
		}
	}
	t.retract(e, askQuote)
	e.Answers[askSite] = []string{"own"}
	e.At = ""
	e.Rev++
}
