package conversations

import (
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// A booking can be moved and called off by either side. Nobody's silence moves
// anything: until the other side has said yes, the old time stands.

// The question names of a booking's buttons.
const (
	pressVisit = "visit"
	pressMove  = "move"
)

// The presses of a booking.
const (
	visitMove   = "move"
	visitCancel = "cancel"
	visitSurely = "surely" // yes, call it off
	visitTheirs = "theirs" // they wish it, who rang
	visitKeep   = "keep"
	visitYes    = "yes"
	visitLet    = "let" // let the customer choose
)

// presses are the buttons of a booking, each in a row of its own.
func (t *turn) presses(e *Enquiry, question string, list ...named) [][]bot.Choice {
	var rows [][]bot.Choice
	for _, n := range list {
		rows = append(rows, []bot.Choice{{Label: t.label(n.label), Data: press{e.ID, e.Rev, question, n.key}.data()}})
	}
	return rows
}

// visitRow are the two things a customer can do about a booking.
func (t *turn) visitRow(e *Enquiry) []bot.Choice {
	if e.Every > 0 && e.Stage == Booked {
		return []bot.Choice{
			{Label: t.label(wording.LabelMove), Data: press{e.ID, e.Rev, pressVisit, visitMove}.data()},
			{Label: t.label(wording.LabelSkipIt), Data: press{e.ID, e.Rev, pressStanding, standSkip}.data()},
		}
	}
	return []bot.Choice{
		{Label: t.label(wording.LabelMove), Data: press{e.ID, e.Rev, pressVisit, visitMove}.data()},
		{Label: t.label(wording.LabelCallOff), Data: press{e.ID, e.Rev, pressVisit, visitCancel}.data()},
	}
}

// chatOf is where a side is spoken to.
func (t *turn) chatOf(e *Enquiry, s Side) bot.ChatID {
	if s == Owner {
		return t.Owner
	}
	return e.Chat
}

// sideOf is the side whose chat it is.
func (t *turn) sideOf(c *Chat) Side {
	if t.Owner != 0 && c.ID == t.Owner {
		return Owner
	}
	return Customer
}

// visitPressed takes a press about a booking, from either side.
func (t *turn) visitPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	side := t.sideOf(c)
	if p.rev != e.Rev || e.Stage != Booked && !(e.Stage == Waits && side == Customer) {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	if side == Customer && t.atTheCar(e) {
		t.midJob(c, e)
		return
	}
	switch p.choice {
	case visitMove:
		t.startMove(e, side)
	case visitCancel:
		t.askCallOff(e, side)
	case visitSurely:
		t.callOff(e, side)
	case visitTheirs:
		if !isGuest(e.Chat) {
			t.staleVisit(c, e)
			return
		}
		t.callOff(e, Customer)
	default:
		t.kept(e, side)
	}
}

// kept tells a side that a booking stands as it was.
func (t *turn) kept(e *Enquiry, side Side) {
	k := wording.VisitKept
	if side == Owner {
		k = wording.OwnerVisitKept
	}
	t.tell(t.chatOf(e, side), k, t.visitFacts(e), t.visitWays(e, side)...)
}

// visitWays are the buttons under a message to a side about a booking that
// stands.
func (t *turn) visitWays(e *Enquiry, side Side) [][]bot.Choice {
	if side == Owner {
		return t.ownerWays(e)
	}
	return [][]bot.Choice{t.visitRow(e)}
}

// staleVisit answers a press that has been overtaken.
func (t *turn) staleVisit(c *Chat, e *Enquiry) {
	if t.sideOf(c) == Owner {
		t.out.Toast = t.word(wording.OwnerStale, wording.Facts{})
		t.tell(c.ID, wording.OwnerStale, wording.Facts{Text: t.ownerStanding(e)}, t.openRow(e))
		return
	}
	t.out.Toast = t.word(wording.StaleButton, wording.Facts{})
	t.lead(c, t.word(wording.StaleButton, wording.Facts{}))
}

func (t *turn) visitFacts(e *Enquiry) wording.Facts {
	f := t.agreed(e)
	f.Hours = t.length(float64(60 * t.Rules.Diary.ChangeNoticeHours))
	f.Count = t.Rules.Diary.ChangeNoticeHours
	if e.Move != nil && e.Move.To != nil {
		f.Day = t.Words.Moment(e.Move.To.Start.In(t.Zone))
	}
	return f
}

// ownersFacts are those of a visit for the owner, with the number of who rang.
func (t *turn) ownersFacts(e *Enquiry) wording.Facts {
	f := t.visitFacts(e)
	f.Name = e.reached()
	return f
}

// late tells whether it is too late to move or call off without a word. Who is
// asked by us to change is never late.
func (t *turn) late(e *Enquiry) bool {
	return !t.ourDoing(e) && t.now.Add(time.Duration(t.Rules.Diary.ChangeNoticeHours)*time.Hour).After(e.Slot.Start)
}

// askCallOff says what calling off means, before the tap that does it.
func (t *turn) askCallOff(e *Enquiry, side Side) {
	if side == Customer && t.atTheCar(e) {
		t.midJob(t.chat(e.Chat), e)
		return
	}
	k := wording.AskCallOff
	switch {
	case side == Owner && isGuest(e.Chat):
		t.askWhoCallsOff(e)
		return
	case side == Owner:
		k = wording.OwnerAskCallOff
		if t.late(e) && e.Slot.Start.After(t.now) {
			k = wording.OwnerAskCallOffLate
		}
	case t.late(e) && !t.missed(e):
		k = wording.AskCallOffLate
	}
	f := t.visitFacts(e)
	f.Money = t.moneyOff(e, side)
	ways := []named{{visitSurely, wording.LabelCallOffSurely}, {visitKeep, wording.LabelKeepIt}}
	if k == wording.AskCallOffLate && e.Stage == Booked {
		ways = []named{{visitMove, wording.LabelMove}, {visitSurely, wording.LabelCallOffSurely}, {visitKeep, wording.LabelKeepIt}}
	}
	t.tell(t.chatOf(e, side), k, f, t.presses(e, pressVisit, ways...)...)
}

// askWhoCallsOff asks the owner whose wish it is to call off a booking of somebody
// who rang, for it makes a difference to money in advance and to what follows.
func (t *turn) askWhoCallsOff(e *Enquiry) {
	f := t.visitFacts(e)
	f.Money = t.moneyOff(e, Customer)
	t.tell(t.Owner, wording.OwnerAskWhoCallsOff, f, t.presses(e, pressVisit,
		named{visitTheirs, wording.LabelTheyCallOff}, named{visitSurely, wording.LabelWeCallOff}, named{visitKeep, wording.LabelKeepIt})...)
}

// callOff ends a booking. The customer's side is over with it; a customer whose
// booking the owner calls off is offered other times.
func (t *turn) callOff(e *Enquiry, side Side) {
	f := t.visitFacts(e)
	f.Money = ""
	if e.deposit() != nil {
		f.Money = t.moneyOff(e, side)
	}
	fate := t.offFate(e, side)
	booked, late := e.Stage == Booked, t.late(e) && !t.missed(e)
	e.Changes++
	gone := t.calendar(e, true)
	t.dropMove(e)
	t.unset(CameJob, e)
	if side == Owner {
		f.Money = t.moneyWaits(e)
		ways := t.returnRow(e)
		t.reopen(e)
		if !t.chat(e.Chat).Blocked {
			t.say(gone.message(e.Chat, t.word(wording.CalledOffByUs, f)))
			t.put(e, "")
		}
		m := gone.message(t.Owner, t.word(wording.OwnerCalledOff, f))
		m.Choices = ways
		t.say(m)
		return
	}
	kept := ""
	if d := e.inHand(); d != nil && fate == Kept {
		t.endDeposit(e, Kept)
		kept = t.word(wording.OwnerMoneyKept, t.depositFacts(e, d))
	}
	t.close(e)
	if !booked {
		t.tell(e.Chat, wording.RequestWithdrawn, f)
		t.toOwner(wording.OwnerWithdrawn, e, f)
		return
	}
	t.say(gone.message(e.Chat, t.word(wording.CalledOff, f)))
	k := wording.OwnerTheyCalledOff
	if late {
		k = wording.OwnerTheyCalledOffLate
	}
	if t.Owner != 0 {
		f.Money = kept
		m := gone.message(t.Owner, t.word(k, f))
		m.Choices = [][]bot.Choice{{t.own(e, pressWrite)}}
		t.say(m)
	}
}
