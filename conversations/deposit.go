package conversations

import (
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Money in advance. It is asked for as the rules file says, waited for, reminded
// of once, and marked by the owner when it is here: the desk sees no bank account.
// No booking falls for want of it without his word.

// Deposit is money asked for in advance.
type Deposit struct {
	Pence int64     `json:"pence"`
	Asked time.Time `json:"asked"`
	// Rev is the enquiry's revision when it was asked for; older buttons speak of
	// another one.
	Rev int `json:"rev"`
	// Until is when the owner hears that it has not come.
	Until time.Time `json:"until"`
	// Reminded: they have been reminded of it; Says: they say that it is paid.
	Reminded bool `json:"reminded,omitempty"`
	Says     bool `json:"says,omitempty"`
	// Paid is when the owner marked it paid.
	Paid time.Time `json:"paid,omitzero"`
	// Fate is what became of it, empty while it is waited for or in hand; Kept is when
	// it became ours, zero where it never did or an earlier release kept it.
	Fate Fate      `json:"fate,omitempty"`
	Kept time.Time `json:"kept,omitzero"`
}

// Fate is what became of money in advance.
type Fate string

// The fates: not asked for any more; taken off the price; kept; to be given back;
// given back.
const (
	Waived   Fate = "waived"
	Used     Fate = "used"
	Kept     Fate = "ours"
	Owed     Fate = "owed"
	Returned Fate = "returned"
)

// pressDeposit is the question name of the buttons about money in advance.
const pressDeposit = "deposit"

// The presses about it.
const (
	depositSays    = "says"    // the customer: I have paid it
	depositHere    = "here"    // the owner: it has come
	depositNot     = "not"     // the owner: it has not, after all
	depositWithout = "without" // the owner: we do without
	depositReturn  = "return"  // the owner: give it back
	depositBack    = "back"    // the owner: given back
)

// deposit is the money in advance that is waited for or in hand, nil if none is.
func (e *Enquiry) deposit() *Deposit {
	if n := len(e.Deposits); n > 0 && e.Deposits[n-1].Fate == "" {
		return &e.Deposits[n-1]
	}
	return nil
}

// inHand is the money in advance that has been paid and stands for this booking.
func (e *Enquiry) inHand() *Deposit {
	if d := e.deposit(); d != nil && !d.Paid.IsZero() {
		return d
	}
	return nil
}

// depositDue is what is asked for in advance for this enquiry, 0 for nothing.
func (t *turn) depositDue(e *Enquiry) int64 {
	if e.Quote == nil {
		return 0
	}
	return int64(t.Rules.Deposit.For(pricing.Pence(e.Quote.Likely), t.Rules.Money.RoundTo))
}

// advance is the money in advance that a booking would take, or has in hand; empty
// for none.
func (t *turn) advance(e *Enquiry) string {
	if d := e.inHand(); d != nil {
		return pounds(d.Pence)
	}
	if due := t.depositDue(e); due > 0 {
		return pounds(due)
	}
	return ""
}

// depositTerms say, before the yes, what is asked for and what becomes of it.
func (t *turn) depositTerms(e *Enquiry) []string {
	r := t.Rules.Deposit
	f := wording.Facts{Deposit: t.advance(e), Hours: t.notice()}
	if f.Deposit == "" {
		return nil
	}
	first := wording.TermsDepositAfter
	switch {
	case e.inHand() != nil:
		first = wording.TermsDepositHere
	case r.When == pricing.BeforeYes:
		first = wording.TermsDepositBefore
	}
	out := []string{t.word(first, f)}
	switch {
	case r.OffInTime == pricing.DepositOurs:
		out = append(out, t.word(wording.TermsOffOurs, f))
	case r.OffLate == pricing.DepositOurs:
		out = append(out, t.word(wording.TermsOffLateOurs, f))
	default:
		out = append(out, t.word(wording.TermsOffBack, f))
	}
	switch {
	case r.MovedInTime == pricing.DepositOurs:
		out = append(out, t.word(wording.TermsMovedOurs, f))
	case r.MovedLate == pricing.DepositOurs:
		out = append(out, t.word(wording.TermsMovedLateOurs, f))
	default:
		out = append(out, t.word(wording.TermsMovedAlong, f))
	}
	return out
}

// wantDeposit begins to wait for money in advance, if the rules take any then and
// none is in hand or waited for. It reports whether it is to be asked for, with
// sayDeposit.
func (t *turn) wantDeposit(e *Enquiry, when string) bool {
	due := t.depositDue(e)
	if due == 0 || t.Rules.Deposit.When != when || e.deposit() != nil {
		return false
	}
	until := t.now.Add(time.Duration(t.Rules.Deposit.WaitHours) * time.Hour)
	// For a visit that is near, half the time there is left.
	if half := t.now.Add(e.Slot.Start.Sub(t.now) / 2); half.Before(until) {
		until = half
	}
	if e.Stage == Waits && e.From.Before(until) {
		until = e.From
	}
	until = t.awake(until)
	e.Deposits = append(e.Deposits, Deposit{Pence: due, Asked: t.now, Rev: e.Rev, Until: until})
	t.set(t.awake(t.now.Add(until.Sub(t.now)/2)), Came{Kind: CameDeposit, Enquiry: e.ID})
	return true
}

// sayDeposit asks for money in advance, and tells the owner that it was asked for.
func (t *turn) sayDeposit(e *Enquiry) {
	k := wording.DepositAsked
	if e.Stage == Waits {
		k = wording.DepositAskedFirst
	}
	f := t.depositFacts(e, e.deposit())
	if !t.chat(e.Chat).Blocked {
		t.tell(e.Chat, k, f, t.presses(e, pressDeposit, named{depositSays, wording.LabelIPaid})...)
	}
	if t.Owner != 0 {
		t.tell(t.Owner, wording.OwnerDepositAsked, f, t.depositRow(e)...)
	}
}

// depositFacts are what the sentences about money in advance speak of.
func (t *turn) depositFacts(e *Enquiry, d *Deposit) wording.Facts {
	f := wording.Facts{Name: e.Name, Car: carName(e), Deposit: pounds(d.Pence), Until: t.Words.Moment(d.Until.In(t.Zone))}
	if e.Slot != nil {
		f.When = t.Words.Moment(e.Slot.Start.In(t.Zone))
	}
	r := t.Rules.Deposit
	f.Question = reference(e)
	f.Text = r.PayLink(pricing.Pence(d.Pence), reference(e))
	f.Money = r.Bank
	return f
}

// reference is what a payment is to be known by.
func reference(e *Enquiry) string { return strings.ToUpper(strings.TrimPrefix(e.ID, "-")) }

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
		if !t.chat(e.Chat).Blocked {
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
	return e.Move != nil && e.Move.By == Owner && !e.Move.Missed && (e.Move.Offered || e.Move.To != nil)
}

// moneyWaits says what becomes of money in advance when a time came to nothing on
// our side and another can be chosen, empty where there is none.
func (t *turn) moneyWaits(e *Enquiry) string {
	d := e.deposit()
	switch {
	case d == nil:
		return ""
	case d.Paid.IsZero():
		return t.word(wording.MoneyNotNeeded, wording.Facts{Deposit: pounds(d.Pence)})
	}
	return t.word(wording.MoneyAlongOrBack, wording.Facts{Deposit: pounds(d.Pence)})
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
		f.Deposit = pounds(d.Pence)
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
	return t.word(k, wording.Facts{Deposit: pounds(d.Pence)})
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
	f.Deposit = pounds(d.Pence)
	f.Most = pounds(max(0, e.Work.Price-d.Pence))
	if over := d.Pence - e.Work.Price; over > 0 {
		f.Money = pounds(over)
	}
	t.endDeposit(e, Used)
}
