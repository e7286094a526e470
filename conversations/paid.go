package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// unpaidAfter is after how many days the owner is asked about money that has not
// come, and again after he has had somebody reminded.
const (
	unpaidAfter = 3
	unpaidAgain = 7
)

// moneyPressed takes the owner's presses about the money of a finished job. It
// reports false if a press is about something else.
func (t *turn) moneyPressed(e *Enquiry, kind, rest string, w bot.Tap) bool {
	switch kind {
	case jobNotPaid:
		t.takePaidBack(e, w)
		return true
	case jobPaid, jobUnpaid, jobRemind, jobLeave, jobPart, jobMore:
	default:
		return false
	}
	if e.Stage != Done || e.Work == nil || !e.Work.Paid.IsZero() && kind != jobPaid {
		t.staleVisit(t.chat(t.Owner), e)
		return true
	}
	part := int64(0)
	if kind == jobPart || kind == jobMore { // of so much that was open: pressed twice it counts once
		sum, open, _ := strings.Cut(rest, "/")
		if int64(atoi(open)) == e.toPay() {
			part = int64(atoi(sum))
		}
	}
	if kind == jobMore {
		if part <= e.toPay() {
			t.staleVisit(t.chat(t.Owner), e)
			return true
		}
		e.Work.Price += part - e.toPay()
		kind = jobPaid
	}
	t.takeOff(w)
	f := wording.Facts{Name: e.Name, Car: carName(e), Price: t.pounds(e.toPay()), Day: t.Words.Date(e.Work.At.In(t.Zone))}
	paid := t.jobRow(e, named{jobPaid, wording.LabelPaid})
	switch kind {
	case jobPaid:
		t.unset(CameUnpaid, e)
		if e.Work.Paid.IsZero() {
			e.Work.Paid = t.now
			if e.Work.Owed || !isGuest(e.Chat) {
				t.tell(e.Chat, wording.PaidThanks, f)
			}
		}
		e.Work.Owed = false
		t.tell(t.Owner, wording.OwnerPaid, f, slices.Concat([][]bot.Choice{t.jobRow(e, named{jobNotPaid, wording.LabelNotPaid})}, t.afterRows(e))...)
	case jobUnpaid:
		e.Work.Owed = true
		t.askAfter(e, unpaidAfter)
		f.Count = unpaidAfter
		t.tell(t.Owner, wording.OwnerUnpaid, f, slices.Concat([][]bot.Choice{paid}, t.afterRows(e))...)
	case jobRemind:
		customer := t.chat(e.Chat)
		if customer.Stopped || customer.Blocked {
			t.tell(t.Owner, wording.OwnerCannotRemind, f, t.jobRow(e, named{jobPaid, wording.LabelPaid}, named{jobLeave, wording.LabelLeaveIt}))
			return true
		}
		t.tell(e.Chat, wording.PayReminder, f)
		t.askAfter(e, unpaidAgain)
		f.Count = unpaidAgain
		t.tell(t.Owner, wording.OwnerReminded, f, paid)
	case jobPart:
		if part <= 0 || part >= e.toPay() {
			t.staleVisit(t.chat(t.Owner), e)
			return true
		}
		e.Work.Part += part
		e.Work.Owed = true
		t.askAfter(e, unpaidAfter)
		f.Likely, f.Price, f.Count = t.pounds(part), t.pounds(e.toPay()), unpaidAfter
		t.tell(t.Owner, wording.OwnerPart, f, paid)
	default:
		e.Work.Owed = false
		t.unset(CameUnpaid, e)
		t.tell(t.Owner, wording.OwnerLeftIt, f)
	}
	return true
}

// notPaidFor is for how long it can be taken back that money has come.
const notPaidFor = 24 * time.Hour

// takePaidBack takes back that a job is paid. Whom the desk has thanked hears so.
func (t *turn) takePaidBack(e *Enquiry, w bot.Tap) {
	if e.Stage != Done || e.Work == nil || e.Work.Paid.IsZero() || t.now.Sub(e.Work.Paid) > notPaidFor {
		t.staleVisit(t.chat(t.Owner), e)
		return
	}
	t.takeOff(w)
	e.Work.Paid, e.Work.Owed = time.Time{}, true
	t.askAfter(e, unpaidAfter)
	f := wording.Facts{Name: e.Name, Car: carName(e), Price: t.pounds(e.toPay()), Count: unpaidAfter}
	if !isGuest(e.Chat) {
		t.tell(e.Chat, wording.PaidTooSoon, f)
	}
	t.tell(t.Owner, wording.OwnerUnpaid, f, t.jobRow(e, named{jobPaid, wording.LabelPaid}))
}

// toPay is what is left of the price of a finished job after money in advance and what
// has come of it.
func (e *Enquiry) toPay() int64 {
	left := e.Work.Price - e.Work.Part
	for _, d := range e.Deposits {
		if d.Fate == Used {
			left -= d.Pence
		}
	}
	return max(0, left)
}

// askAfter asks the owner again after some days, at an hour at which one writes.
func (t *turn) askAfter(e *Enquiry, days int) {
	at := t.setting().Serviceable(t.now.AddDate(0, 0, days))
	t.set(at, Came{Kind: CameUnpaid, Enquiry: e.ID})
}

// unpaid asks the owner about money that has not come.
func (t *turn) unpaid(e *Enquiry) {
	if e.Stage != Done || e.Work == nil || !e.Work.Paid.IsZero() || !e.Work.Owed || t.Owner == 0 {
		return
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), Price: t.pounds(e.toPay()), Day: t.Words.Date(e.Work.At.In(t.Zone)),
		Count: int(t.now.Sub(e.Work.At) / (24 * time.Hour))}
	t.tell(t.Owner, wording.OwnerStillUnpaid, f, t.jobRow(e, named{jobPaid, wording.LabelPaid}, named{jobRemind, wording.LabelRemindKindly}), t.jobRow(e, named{jobLeave, wording.LabelLeaveIt}))
}
