package conversations

import (
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What becomes of a deposit when its booking moves, falls or is done.

// offFate is what calling off now would do to money in advance that is in hand:
// [Owed] or [Kept].
func (t *turn) offFate(e *Enquiry, side Side) Fate {
	if side == Owner || e.Stage != Booked || t.ourDoing(e) || t.mayCancel(e) {
		return Owed
	}
	r := t.Rules.Deposit.OffInTime
	if t.late(e) {
		r = t.Rules.Deposit.OffLate
	}
	if r == pricing.DepositOurs {
		return Kept
	}
	return Owed
}

// ourDoing tells whether the old time cannot be kept for a reason on our side, the
// weather included.
func (t *turn) ourDoing(e *Enquiry) bool {
	return e.Move != nil && e.Move.By == Owner && !e.Move.Absent && (e.Move.Offered || e.Move.To != nil)
}

// moneyWaits says what becomes of money in advance when a time came to nothing on
// our side and another can be chosen, empty where there is none.
func (t *turn) moneyWaits(e *Enquiry) string {
	d := e.deposit()
	switch {
	case d == nil:
		return ""
	case d.Paid.IsZero():
		return t.word(wording.MoneyNotNeeded, wording.Facts{Deposit: t.pounds(d.Pence)})
	}
	return t.word(wording.MoneyAlongOrBack, wording.Facts{Deposit: t.pounds(d.Pence)})
}

// moneyLeft says what becomes of money in advance when the customer gives up an
// enquiry that is not booked, empty where there is none.
func (t *turn) moneyLeft(e *Enquiry) string {
	if e.deposit() == nil {
		return ""
	}
	return t.moneyOff(e, Customer)
}

// returnRow is the owner's button to give money in advance back at once.
func (t *turn) returnRow(e *Enquiry) [][]bot.Choice {
	if e.inHand() == nil {
		return nil
	}
	return t.presses(e, pressDeposit, named{depositReturn, wording.LabelGiveBack})
}

// moneyOff says what calling off does to money in advance, before the tap that
// does it and after.
func (t *turn) moneyOff(e *Enquiry, side Side) string {
	d := e.deposit()
	f := wording.Facts{Count: t.Rules.Terms.CancelDays}
	if d != nil {
		f.Deposit = t.pounds(d.Pence)
	}
	var k wording.Key
	switch {
	case side == Owner && e.inHand() == nil:
		k = wording.OwnerMoneyNone
	case side == Owner:
		k = wording.OwnerMoneyStays
	case d == nil:
		k = wording.MoneyNone
	case d.Paid.IsZero():
		k = wording.MoneyNotNeeded
	case t.offFate(e, side) == Kept:
		k = wording.MoneyOurs
	case e.Stage == Booked && t.mayCancel(e) && t.late(e) && !t.ourDoing(e) && t.Rules.Deposit.OffLate == pricing.DepositOurs:
		k = wording.MoneyBackDays
	default:
		k = wording.MoneyBack
	}
	return t.word(k, f)
}

// movedFate is what a move by the customer does to money in advance: [Kept], or
// nothing.
func (t *turn) movedFate(e *Enquiry, late bool) Fate {
	r := t.Rules.Deposit.MovedInTime
	if late {
		r = t.Rules.Deposit.MovedLate
	}
	if e.inHand() == nil || t.ourDoing(e) || t.mayCancel(e) || r != pricing.DepositOurs {
		return ""
	}
	return Kept
}

// moneyMoved says what a move does to money in advance that is in hand, before the
// tap that does it.
func (t *turn) moneyMoved(e *Enquiry, side Side) string {
	d := e.inHand()
	if d == nil {
		return ""
	}
	k := wording.MoneyAlong
	switch {
	case t.missed(e) && t.movedFate(e, true) == Kept && side == Owner:
		k = wording.OwnerMoneyMovedOurs
	case t.missed(e) && t.movedFate(e, true) == Kept:
		k = wording.MoneyMovedOurs
	case side == Owner || isGuest(e.Chat):
		k = wording.OwnerMoneyAlong
	case t.ourDoing(e):
		k = wording.MoneyAlongOrBack
	case t.movedFate(e, t.late(e)) == Kept:
		k = wording.MoneyMovedOurs
	}
	return t.word(k, wording.Facts{Deposit: t.pounds(d.Pence)})
}

// moveDeposit carries out what a move does to money in advance. late tells whether
// it was late when it was asked for.
// It reports whether another deposit takes its place.
func (t *turn) moveDeposit(e *Enquiry, late bool) bool {
	if t.movedFate(e, late || t.missed(e)) != Kept {
		return false
	}
	t.endDeposit(e, Kept)
	return true
}

// endDeposit ends the waiting for money in advance, or the holding of it.
func (t *turn) endDeposit(e *Enquiry, f Fate) {
	if d := e.deposit(); d != nil {
		d.Fate = f
		t.unset(CameDeposit, e)
		if f == Kept {
			d.Kept = t.now
			t.count(e.Chat, Count{Kept: d.Pence})
		}
	}
}

// giveBack owes money in advance to the customer, and asks the owner to see to it.
func (t *turn) giveBack(e *Enquiry) {
	d := e.inHand()
	if d == nil {
		t.endDeposit(e, Waived)
		return
	}
	t.endDeposit(e, Owed)
	if t.Owner != 0 {
		t.tell(t.Owner, wording.OwnerDepositOwed, t.depositFacts(e, d), t.presses(e, pressDeposit, named{depositBack, wording.LabelGivenBack})...)
	}
}

// holdOn keeps money in advance of a booking that came to nothing for the next
// time. Should none be found, the owner is asked what is to become of it.
func (t *turn) holdOn(e *Enquiry) {
	if e.inHand() == nil {
		t.endDeposit(e, Waived)
		return
	}
	t.set(t.awake(t.now.Add(time.Duration(t.Rules.Deposit.WaitHours)*time.Hour)), Came{Kind: CameDeposit, Enquiry: e.ID})
}

// lessDeposit takes money in advance off what is to pay for a job that is done.
func (t *turn) lessDeposit(e *Enquiry, f *wording.Facts) {
	d := e.inHand()
	if d == nil {
		t.endDeposit(e, Waived)
		return
	}
	f.Deposit = t.pounds(d.Pence)
	f.Most = t.pounds(max(0, e.Work.Price-d.Pence))
	if over := d.Pence - e.Work.Price; over > 0 {
		f.Money = t.pounds(over)
	}
	t.endDeposit(e, Used)
}
