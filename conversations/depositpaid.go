package conversations

import (
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// A deposit is paid: the customer says so, the owner sees it, or the time for it has
// come.

// depositRow is the owner's button that money in advance is here, none if none is
// waited for.
func (t *turn) depositRow(e *Enquiry) [][]bot.Choice {
	if d := e.deposit(); d == nil || !d.Paid.IsZero() {
		return nil
	}
	return t.presses(e, pressDeposit, named{depositHere, wording.LabelDepositHere})
}

// depositPressed takes a press about money in advance. It speaks of the world and
// not of a question, so that it holds as long as the money is the same.
func (t *turn) depositPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	side := t.sideOf(c)
	var d *Deposit
	if n := len(e.Deposits); n > 0 && p.rev >= e.Deposits[n-1].Rev {
		d = &e.Deposits[n-1]
	}
	switch {
	case d == nil:
		t.staleVisit(c, e)
	case side == Customer:
		t.saysPaid(c, e, d, p, w)
	case p.choice == depositHere && (d.Fate == "" || d.Fate == Waived) && d.Paid.IsZero():
		t.takeOff(w)
		t.depositPaid(e, d)
	case p.choice == depositNot && d.Fate == "" && !d.Paid.IsZero():
		t.takeOff(w)
		d.Paid, d.Says = time.Time{}, false
		t.set(t.awake(t.now.Add(24*time.Hour)), Came{Kind: CameDeposit, Enquiry: e.ID})
		if !t.chat(e.Chat).Blocked {
			t.tell(e.Chat, wording.DepositNotHere, t.depositFacts(e, d), t.presses(e, pressDeposit, named{depositSays, wording.LabelIPaid})...)
		}
		t.tell(t.Owner, wording.OwnerDepositNot, t.depositFacts(e, d), t.depositRow(e)...)
	case p.choice == depositWithout && d.Fate == "" && d.Paid.IsZero():
		t.takeOff(w)
		t.endDeposit(e, Waived)
		if !t.chat(e.Chat).Blocked {
			t.tell(e.Chat, wording.DepositWaived, t.depositFacts(e, d))
		}
		t.tell(t.Owner, wording.OwnerDepositWaived, t.depositFacts(e, d), t.presses(e, pressDeposit, named{depositHere, wording.LabelDepositHere})...)
	case p.choice == depositReturn && d.Fate == "" && !d.Paid.IsZero() && e.Stage != Booked:
		t.takeOff(w)
		t.giveBack(e)
	case p.choice == depositReturn && d.Fate == Kept && e.Stage == Closed:
		t.takeOff(w)
		if !d.Kept.IsZero() {
			t.countAt(d.Kept, e.Chat, Count{Kept: -d.Pence})
		}
		d.Fate, d.Kept = "", time.Time{}
		t.giveBack(e)
	case p.choice == depositBack && d.Fate == Owed:
		t.takeOff(w)
		d.Fate = Returned
		if c := t.chat(e.Chat); !c.Blocked && !c.Stopped {
			t.say(bot.Message{Chat: e.Chat, Text: t.word(wording.DepositReturned, t.depositFacts(e, d)), Kind: "deposit"})
		}
		t.tell(t.Owner, wording.OwnerDepositReturned, t.depositFacts(e, d))
	default:
		t.staleVisit(c, e)
	}
}

// saysPaid passes on that a customer says they have paid.
func (t *turn) saysPaid(c *Chat, e *Enquiry, d *Deposit, p press, w bot.Tap) {
	if p.choice != depositSays || d.Fate != "" || !d.Paid.IsZero() {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	if d.Says {
		return // pressed twice
	}
	d.Says = true
	var ways []bot.Choice
	if e.Stage == Booked {
		ways = t.visitRow(e)
	}
	t.tell(c.ID, wording.DepositSaid, t.depositFacts(e, d), ways)
	t.tell(t.Owner, wording.OwnerDepositSaid, t.depositFacts(e, d), t.depositRow(e)...)
}

// depositPaid marks the money in advance as here.
func (t *turn) depositPaid(e *Enquiry, d *Deposit) {
	d.Paid, d.Fate = t.now, ""
	t.unset(CameDeposit, e)
	f := t.depositFacts(e, d)
	switch e.Stage {
	case Done, Closed:
		t.giveBack(e) // it came when nothing was to be paid any more
		return
	case Asking, Held:
		t.holdOn(e)
	}
	if !t.chat(e.Chat).Blocked {
		t.tell(e.Chat, wording.DepositHere, f)
	}
	rows := t.presses(e, pressDeposit, named{depositNot, wording.LabelDepositNot})
	if e.Stage == Waits {
		rows = append([][]bot.Choice{{t.own(e, pressApprove)}}, rows...)
	}
	t.tell(t.Owner, wording.OwnerDepositHere, f, rows...)
}

// depositCame answers the moments of money in advance: the reminder, the end of
// the waiting, and what lies with the owner for nothing.
func (t *turn) depositCame(e *Enquiry) {
	d := e.deposit()
	switch {
	case d == nil || e.Stage == Done || e.Stage == Closed:
	case !d.Paid.IsZero():
		if e.Stage == Asking || e.Stage == Held {
			t.tell(t.Owner, wording.OwnerDepositIdle, t.depositFacts(e, d), t.presses(e, pressDeposit, named{depositReturn, wording.LabelGiveBack})...)
		}
	case e.Stage == Asking || e.Stage == Held:
		t.endDeposit(e, Waived) // what it was asked for came to nothing
	case t.now.Before(d.Until):
		t.set(d.Until, Came{Kind: CameDeposit, Enquiry: e.ID})
		if !d.Reminded && !d.Says && !t.chat(e.Chat).Blocked {
			d.Reminded = true
			t.tell(e.Chat, wording.DepositReminder, t.depositFacts(e, d), t.presses(e, pressDeposit, named{depositSays, wording.LabelIPaid})...)
		}
	case t.Owner != 0:
		rows := append(t.depositRow(e), t.presses(e, pressDeposit, named{depositWithout, wording.LabelWithout})...)
		if e.Stage == Booked {
			rows = append(rows, t.presses(e, pressVisit, named{visitCancel, wording.LabelCallOff})...)
		}
		t.tell(t.Owner, wording.OwnerDepositLate, t.depositFacts(e, d), append(rows, []bot.Choice{t.own(e, pressWrite)})...)
	}
}
