package conversations

import (
	"strings"
	"time"

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
	if e.Quote == nil || e.unpriced() {
		return 0
	}
	return int64(t.Rules.Deposit.For(pricing.Pence(e.Quote.Likely), t.Rules.Money.RoundTo))
}

// advance is the money in advance that a booking would take, or has in hand; empty
// for none.
func (t *turn) advance(e *Enquiry) string {
	if d := e.inHand(); d != nil {
		return t.pounds(d.Pence)
	}
	if due := t.depositDue(e); due > 0 {
		return t.pounds(due)
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
	f := wording.Facts{Name: e.Name, Car: carName(e), Deposit: t.pounds(d.Pence), Until: t.Words.Moment(d.Until.In(t.Zone))}
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
