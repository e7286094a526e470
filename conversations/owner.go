package conversations

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// The question names of buttons that are not the form's.
const (
	pressOwner = "owner"
	pressKind  = "kind"
	pressNudge = "nudge"
)

// The owner's presses.
const (
	pressApprove = "approve"
	pressDecline = "decline"
	pressWrite   = "write"
	pressHand    = "hand-back"
	pressDone    = "done"
	pressAdjust  = "adjust"
	pressArrived = "arrived"
	pressSheet   = "sheet"
)

var ownerLabels = map[string]wording.Key{
	pressApprove: wording.LabelApprove,
	pressDecline: wording.LabelDecline,
	pressWrite:   wording.LabelWrite,
	pressHand:    wording.LabelHandBack,
	pressDone:    wording.LabelDone,
	pressAdjust:  wording.LabelAdjust,
	pressArrived: wording.LabelArrived,
	pressSheet:   wording.LabelSheet,
}

// toOwner tells the owner something about an enquiry, with the presses that
// make sense. Where nobody has claimed the business yet, nobody is told.
func (t *turn) toOwner(k wording.Key, e *Enquiry, f wording.Facts, presses ...string) {
	if t.Owner == 0 {
		return
	}
	f.Name, f.Car = e.Name, carName(e)
	if e.Slot != nil && f.When == "" {
		f.When = t.Words.Moment(e.Slot.Start.In(t.Zone))
	}
	var row []bot.Choice
	for _, p := range presses {
		row = append(row, t.own(e, p))
	}
	var known []bot.Choice
	if f.Earlier != "" && len(row) > 0 {
		known = t.pastRow(e)
	}
	t.tell(t.Owner, k, f, row, known)
}

// card are the facts an owner decides by.
func (t *turn) card(e *Enquiry) wording.Facts {
	f := t.agreed(e)
	f.In = nil
	for _, a := range t.Rules.Areas() {
		if ans := e.answer(askCond + string(a.ID)); ans != "" {
			f.In = append(f.In, t.grading(a, ans))
		}
	}
	f.Hours = t.length(e.Quote.P50)
	f.Why = []string{fmt.Sprintf("%.0f–%.0f", e.Quote.P10, e.Quote.P90)}
	f.Count = len(e.Photos)
	return f
}

// grading is one area's grade and the words it rests on.
func (t *turn) grading(a pricing.AreaRule, answer string) string {
	n, err := strconv.Atoi(answer)
	if err != nil || n < 1 || n > len(a.Grades) {
		return a.Name + ": " + t.label(wording.LabelNotSure)
	}
	return fmt.Sprintf("%s: %d, %q", a.Name, n, a.Grades[n-1])
}

// owner answers whatever the owner did in his own chat.
func (t *turn) owner() {
	c := t.chat(t.event.Chat)
	switch w := t.event.What.(type) {
	case bot.Tap:
		t.ownerTapped(c, w)
	case bot.Text:
		t.ownerWrote(c, w)
	case bot.Membership:
		c.Blocked = w.Blocked
	default:
		t.tell(c.ID, wording.OwnerHello, wording.Facts{})
	}
}

func (t *turn) ownerTapped(c *Chat, w bot.Tap) {
	p, ok := parsePress(w.Data)
	if ok && p.question == pressDesk {
		t.deskPressed(c, p.choice)
		return
	}
	if ok && p.question == pressRun {
		t.runPressed(c, p.choice, w)
		return
	}
	e := t.enquiry(p.enquiry)
	if ok && e != nil && p.question == pressPast {
		t.pastPressed(c, e, p)
		return
	}
	if ok && e != nil && p.question == pressDeposit {
		t.depositPressed(c, e, p, w)
		return
	}
	if ok && e != nil && p.question == pressVisit {
		t.visitPressed(c, e, p, w)
		return
	}
	if ok && e != nil && p.question == pressPaid {
		t.paidPressed(c, e, p, w)
		return
	}
	if ok && e != nil && p.question == pressGrade {
		t.gradePressed(c, e, p, w)
		return
	}
	if ok && e != nil && p.question == pressExtra {
		t.extraPressed(c, e, p, w)
		return
	}
	if ok && e != nil && p.question == pressMove {
		t.movePressed(c, e, p, w)
		return
	}
	if ok && e != nil && isGuest(e.Chat) && p.question != pressOwner && p.question != pressKind {
		t.guestTapped(c, e, w)
		return
	}
	if !ok || e == nil || p.question != pressOwner && p.question != pressKind {
		t.out.Toast = t.word(wording.OwnerStale, wording.Facts{})
		t.tell(c.ID, wording.OwnerStale, wording.Facts{})
		return
	}
	if p.question == pressKind {
		t.protected(c, e, p, w)
		return
	}
	switch p.choice {
	case pressWrite:
		c.Writing, c.Finishing = e.ID, ""
		t.chat(e.Chat).Person = true // what they answer is for him, until he hands back
		t.tell(c.ID, wording.OwnerAnswer, wording.Facts{Name: e.Name})
		return
	case pressHand:
		t.handBack(c, e)
		return
	}
	switch {
	case p.choice == pressApprove && e.Stage == Waits && p.rev == e.Rev:
		t.takeOff(w)
		t.approve(e)
	case p.choice == pressDecline && e.Stage == Waits && p.rev == e.Rev:
		t.takeOff(w)
		t.decline(e)
	case p.choice == pressAdjust && e.Stage == Waits, p.choice == pressArrived && e.Stage == Booked:
		t.panel(e)
	case p.choice == pressSheet && e.Stage == Booked:
		t.sheet(e)
	case p.choice == pressDone && e.Stage == Booked:
		c.Finishing, c.Writing = e.ID, ""
		e.Work = nil
		t.tell(c.ID, wording.OwnerMinutes, wording.Facts{Name: e.Name, Car: carName(e), Minutes: int(e.Quote.P50)})
	default:
		t.out.Toast = t.word(wording.OwnerStale, wording.Facts{})
		t.tell(c.ID, wording.OwnerStale, wording.Facts{Text: t.standing(e), Name: e.Name})
	}
}

// ownerWrote takes the owner's text: an answer to somebody, the minutes of a
// job, or a word.
func (t *turn) ownerWrote(c *Chat, w bot.Text) {
	switch {
	case strings.HasPrefix(w.Body, "/"):
		c.Writing, c.Finishing, c.Setting, c.Remark = "", "", "", ""
		t.tell(c.ID, wording.OwnerHello, wording.Facts{}, t.deskWays()...)
	case c.Writing != "":
		e := t.enquiry(c.Writing)
		c.Writing = ""
		if e == nil {
			t.tell(c.ID, wording.OwnerStale, wording.Facts{})
			return
		}
		for _, part := range pieces(w.Body) {
			t.tell(e.Chat, wording.FromThePerson, wording.Facts{Text: part})
		}
		t.toOwner(wording.OwnerSentOn, e, wording.Facts{}, pressWrite, pressHand)
	case c.Remark != "" && t.remarked(c, w.Body):
	case t.deskSaid(c, w.Body):
	case t.runSaid(c, w.Body):
	case t.newGuest(c, w.Body):
	case t.forGuest(c, w):
	case c.Finishing != "":
		t.minutes(c, w.Body)
	default:
		t.tell(c.ID, wording.OwnerHello, wording.Facts{}, t.deskWays()...)
	}
}

// handBack gives a chat back to the desk.
func (t *turn) handBack(c *Chat, e *Enquiry) {
	customer := t.chat(e.Chat)
	if customer.Person {
		customer.Person = false
		if !customer.Stopped {
			t.lead(customer, t.word(wording.HandedBack, wording.Facts{}))
		}
	}
	t.tell(c.ID, wording.OwnerHanded, wording.Facts{Name: e.Name})
}

// approve books the time that was asked for.
func (t *turn) approve(e *Enquiry) {
	e.Stage = Booked
	e.Rev++
	t.mustEnter(e, diary.Booked)
	t.unset(CameAsk, e)
	t.keepInMind(e)
	f := t.agreed(e)
	if !t.chat(e.Chat).Blocked {
		m := t.calendar(e, false).message(e.Chat, t.word(wording.Booked, f))
		m.Choices = [][]bot.Choice{t.visitRow(e)}
		t.say(m)
	}
	m := t.calendar(e, false).message(t.Owner, t.word(wording.OwnerBooked, f))
	m.Choices = t.ownerWays(e)
	t.say(m)
	t.confirmTerms(e)
	if t.wantDeposit(e, pricing.AfterYes) {
		t.sayDeposit(e)
	}
}

// decline gives the time back and says so kindly.
func (t *turn) decline(e *Enquiry) {
	f := wording.Facts{Name: e.Name, Money: t.moneyWaits(e)}
	t.reopen(e)
	t.put(e, t.word(wording.Declined, f))
	t.toOwner(wording.OwnerDeclined, e, wording.Facts{}, pressWrite)
}

// reopen takes an enquiry whose time came to nothing back to choosing one.
func (t *turn) reopen(e *Enquiry) {
	e.Stage = Asking
	e.From = time.Time{}
	t.release(e)
	t.unset(CameAsk, e)
	t.holdOn(e)
	for _, q := range []string{askConfirm, askConsent, askSlot} {
		t.retract(e, q)
	}
	e.Rev++
}
