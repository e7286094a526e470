package conversations

import (
	"slices"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/reminders"
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

// moveID is the name under which the time a booking may be moved to stands in
// the diary, beside the one it has.
func moveID(e *Enquiry) string { return e.ID + "~" }

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
		t.tell(c.ID, wording.VisitKept, t.visitFacts(e), t.visitWays(e, side)...)
	}
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
		t.tell(c.ID, wording.OwnerStale, wording.Facts{Text: t.standing(e), Name: e.Name})
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

// late tells whether it is too late to move or call off without a word. Who is
// asked by us to change is never late.
func (t *turn) late(e *Enquiry) bool {
	return !t.ourDoing(e) && t.now.Add(time.Duration(t.Rules.Diary.ChangeNoticeHours)*time.Hour).After(e.Slot.Start)
}

// askCallOff says what calling off means, before the tap that does it.
func (t *turn) askCallOff(e *Enquiry, side Side) {
	k := wording.AskCallOff
	switch {
	case side == Owner && isGuest(e.Chat):
		t.askWhoCallsOff(e)
		return
	case side == Owner:
		k = wording.OwnerAskCallOff
	case t.late(e):
		k = wording.AskCallOffLate
	}
	f := t.visitFacts(e)
	f.Money = t.moneyOff(e, side)
	t.tell(t.chatOf(e, side), k, f, t.presses(e, pressVisit, named{visitSurely, wording.LabelCallOffSurely}, named{visitKeep, wording.LabelKeepIt})...)
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
	booked, late := e.Stage == Booked, t.late(e)
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
		t.say(gone.message(t.Owner, t.word(k, f)))
	}
}

// startMove begins the search for another time. What has only been asked for is
// simply chosen again.
func (t *turn) startMove(e *Enquiry, side Side) {
	if e.Stage == Waits {
		t.toOwner(wording.OwnerWithdrawn, e, wording.Facts{})
		t.reopen(e)
		t.put(e, "")
		return
	}
	t.dropMove(e)
	e.Move = &Move{By: side}
	e.Rev++
	t.offerMove(e, side, "")
}

// offerMove shows a side the times it can choose from.
func (t *turn) offerMove(e *Enquiry, side Side, lead string) {
	free := t.free(e, e.Move.From)
	if len(free) == 0 && !e.Move.From.IsZero() {
		e.Move.From = time.Time{}
		free = t.free(e, e.Move.From)
	}
	k := wording.AskMove
	switch {
	case side == Owner:
		k = wording.OwnerAskMove
	case e.Move.Offered:
		k = wording.AskOfferedMove
	}
	var rows [][]bot.Choice
	for _, o := range t.offer(free) {
		rows = append(rows, []bot.Choice{{Label: o.label, Data: press{e.ID, e.Rev, pressMove, o.key}.data()}})
	}
	ways := []named{{choiceOther, wording.LabelOtherDays}}
	if side == Owner {
		ways = append(ways, named{visitLet, wording.LabelLetThem})
	}
	if !e.Move.Wet {
		ways = append(ways, named{visitKeep, wording.LabelKeepIt})
	}
	var off [][]bot.Choice
	if e.Move.Wet && side == Customer {
		off = t.presses(e, pressVisit, named{visitCancel, wording.LabelCallOff})
	}
	f := t.visitFacts(e)
	f.Money = t.moneyMoved(e, side)
	f.Terms = nil
	if line := t.startLine(e, side); line != "" {
		f.Terms = []string{line}
	}
	text := t.word(k, f)
	if lead != "" {
		text = lead + "\n\n" + text
	}
	t.say(bot.Message{Chat: t.chatOf(e, side), Text: text, Choices: append(append(rows, t.presses(e, pressMove, ways...)...), off...), Kind: "move"})
}

// movePressed takes a press about another time, from either side.
func (t *turn) movePressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	side := t.sideOf(c)
	if e.Stage != Booked || e.Move == nil || p.rev != e.Rev {
		t.staleVisit(c, e)
		return
	}
	choosing := e.Move.To == nil
	t.takeOff(w)
	switch {
	case p.choice == visitKeep:
		t.refuseMove(e, side)
	case choosing && p.choice == choiceOther:
		offer := few(t.free(e, e.Move.From))
		if len(offer) > 0 {
			y, m, d := offer[len(offer)-1].Start.In(t.Zone).Date()
			e.Move.From = time.Date(y, m, d+1, 0, 0, 0, 0, t.Zone)
		}
		t.offerMove(e, side, "")
	case choosing && p.choice == visitLet && side == Owner:
		t.letChoose(e, wording.OfferedMove)
		t.tell(t.Owner, wording.OwnerOffered, t.visitFacts(e))
	case choosing && isSlot(p.choice):
		t.chooseMove(e, side, p.choice)
	case !choosing && p.choice == visitYes && side != e.Move.By:
		if side == Customer {
			t.startAsked(e, *e.Move.To)
		}
		t.moved(e)
	case !choosing && p.choice == choiceOther && side == Customer:
		t.dropMove(e)
		t.startMove(e, Customer)
	default:
		t.staleVisit(c, e)
	}
}

// letChoose offers the customer other times, each of which is agreed to.
func (t *turn) letChoose(e *Enquiry, k wording.Key) {
	t.dropMove(e)
	e.Move = &Move{By: Owner, Offered: true, Wet: k == wording.RainedOff, Until: t.answerBy().Add(24 * time.Hour)}
	e.Rev++
	t.set(reminders.Politely(e.Move.Until, t.Rules.Nudges, t.Zone), Came{Kind: CameMove, Enquiry: e.ID})
	if !t.chat(e.Chat).Blocked {
		t.offerMove(e, Customer, t.word(k, t.visitFacts(e)))
	}
}

// chooseMove keeps the chosen time and asks the other side, unless it has agreed
// beforehand.
func (t *turn) chooseMove(e *Enquiry, side Side, choice string) {
	start, _ := time.Parse(slotKey, choice)
	free := t.free(e, time.Time{})
	i := slices.IndexFunc(free, func(s diary.Slot) bool { return s.Start.Equal(start) })
	if i < 0 || !t.occupy(e, moveID(e), Span{free[i].Start, free[i].End}, diary.Asked) {
		t.offerMove(e, side, t.word(wording.SlotTaken, wording.Facts{When: t.Words.Moment(start.In(t.Zone))}))
		return
	}
	e.Move.To = &Span{free[i].Start, free[i].End}
	if side == Customer {
		e.Move.Late = t.late(e)
		t.startAsked(e, *e.Move.To)
	}
	e.Rev++
	if e.Move.Offered && side == Customer || isGuest(e.Chat) {
		t.moved(e)
		return
	}
	e.Move.Until = t.answerBy()
	if side == Owner {
		e.Move.Until = e.Move.Until.Add(12 * time.Hour) // a customer need not look at the chat all day
	}
	t.set(e.Move.Until, Came{Kind: CameMove, Enquiry: e.ID})
	f := t.visitFacts(e)
	f.Until = t.Words.Moment(e.Move.Until.In(t.Zone))
	if side == Customer {
		t.tell(e.Chat, wording.MoveAsked, f)
		t.tell(t.Owner, wording.OwnerTheyAskMove, f, t.presses(e, pressMove, named{visitYes, wording.LabelMoveYes}, named{visitKeep, wording.LabelMoveNo})...)
		return
	}
	t.tell(t.Owner, wording.OwnerMoveAsked, f)
	f.Money = t.moneyMoved(e, Customer)
	if line := t.startLine(e, Customer); line != "" {
		f.Terms = []string{line}
	}
	if !t.chat(e.Chat).Blocked {
		t.tell(e.Chat, wording.WeAskMove, f, t.presses(e, pressMove,
			named{visitYes, wording.LabelMoveYes}, named{choiceOther, wording.LabelAnotherTime}, named{visitKeep, wording.LabelKeepIt})...)
	}
}

// moved carries an agreed move out: in the diary, in both calendars, in what
// comes due.
func (t *turn) moved(e *Enquiry) {
	was := t.Words.Moment(e.Slot.Start.In(t.Zone))
	another := t.moveDeposit(e, e.Move.Late)
	t.vacate(e.ID, *e.Slot)
	t.vacate(moveID(e), *e.Move.To)
	e.Slot, e.Move = e.Move.To, nil
	t.unset(CameMove, e)
	e.Rev++
	e.Changes++
	t.mustEnter(e, diary.Booked)
	t.keepInMind(e)
	f := t.visitFacts(e)
	f.Day = was
	if !t.chat(e.Chat).Blocked {
		m := t.calendar(e, false).message(e.Chat, t.word(wording.Moved, f))
		m.Choices = [][]bot.Choice{t.visitRow(e)}
		t.say(m)
	}
	if t.Owner != 0 {
		m := t.calendar(e, false).message(t.Owner, t.word(wording.OwnerMoved, f))
		m.Choices = t.ownerWays(e)
		t.say(m)
	}
	if another && t.wantDeposit(e, t.Rules.Deposit.When) {
		t.sayDeposit(e)
	}
}

// refuseMove ends a move: the old time stands, and whoever wanted another hears.
func (t *turn) refuseMove(e *Enquiry, side Side) {
	other, asked := Customer, e.Move.To != nil || e.Move.Offered
	if side == Customer {
		other = Owner
	}
	t.dropMove(e)
	e.Rev++
	t.tell(t.chatOf(e, side), wording.VisitKept, t.visitFacts(e), t.visitWays(e, side)...)
	if !asked {
		return
	}
	k := wording.MoveRefused
	if other == Owner {
		k = wording.OwnerMoveRefused
	}
	t.tell(t.chatOf(e, other), k, t.visitFacts(e), t.visitWays(e, other)...)
}

// dropMove gives the time of a move back, if there is one.
func (t *turn) dropMove(e *Enquiry) {
	if e.Move == nil {
		return
	}
	if e.Move.To != nil {
		t.vacate(moveID(e), *e.Move.To)
	}
	e.Move = nil
	t.unset(CameMove, e)
}

// moveUnanswered ends a move nobody has answered. The old time stands.
func (t *turn) moveUnanswered(e *Enquiry) {
	if e.Stage != Booked || e.Move == nil || t.now.Before(e.Move.Until) {
		return
	}
	by, offered := e.Move.By, e.Move.Offered
	t.dropMove(e)
	e.Rev++
	f := t.visitFacts(e)
	if by == Customer {
		t.tell(e.Chat, wording.MoveLapsed, f, t.visitRow(e))
		t.tell(t.Owner, wording.OwnerMoveLapsed, f, t.ownerWays(e)...)
		return
	}
	k := wording.OwnerTheyNeverAnswered
	if offered {
		k = wording.OwnerTheyNeverChose
	}
	t.tell(t.Owner, k, f, t.ownerWays(e)...)
}

// keepInMind sets what a booking brings with it: the end of the job, and the
// evening before.
func (t *turn) keepInMind(e *Enquiry) {
	t.set(e.Slot.End, Came{Kind: CameJob, Enquiry: e.ID})
	for _, kind := range []reminders.Kind{reminders.DayBefore, reminders.Morning} {
		t.unsetVisit(e, kind)
	}
	for _, m := range t.setting().Appointment(e.Slot.Start, t.now) {
		t.set(m.At, Came{Kind: CameVisit, Enquiry: e.ID, Say: m.Kind})
	}
	start := e.Slot.Start.In(t.Zone)
	y, m, d := start.Date()
	if eve := time.Date(y, m, d-1, t.Rules.Diary.EveningHour, 0, 0, 0, t.Zone); eve.After(t.now) {
		t.set(eve, Came{Kind: CameEvening, Day: diary.Key(start, t.Zone)})
	}
}

func (t *turn) unsetVisit(e *Enquiry, kind reminders.Kind) {
	t.out.Unset = append(t.out.Unset, dueID(Came{Kind: CameVisit, Enquiry: e.ID, Say: kind}))
}

// visitSoon tells a customer of their visit: the day before what to prepare, on
// the morning that it is today. A visit that was moved or called off says nothing.
func (t *turn) visitSoon(e *Enquiry, kind reminders.Kind) {
	if e.Stage != Booked || e.Slot == nil || t.chat(e.Chat).Blocked || e.Move != nil && e.Move.Wet {
		return
	}
	for _, m := range t.setting().Appointment(e.Slot.Start, e.Slot.Start.AddDate(0, 0, -30)) {
		if m.Kind != kind || !m.Sensible(t.now) {
			continue
		}
		f := t.visitFacts(e)
		f.When = e.Slot.Start.In(t.Zone).Format("15:04")
		if atTheirs(t, e) {
			f.Text = t.word(wording.PrepareTheirs, f)
		} else {
			f.Text = t.word(wording.PrepareUnit, f)
		}
		k := wording.VisitTomorrow
		if kind == reminders.Morning {
			k = wording.VisitToday
		}
		t.say(bot.Message{Chat: e.Chat, Text: t.word(k, f), Choices: [][]bot.Choice{t.visitRow(e)}, Kind: string(kind), NotAfter: m.NotAfter})
	}
}

// quoteOpen asks once after a guide price that was not answered.
func (t *turn) quoteOpen(e *Enquiry) {
	c := t.chat(e.Chat)
	if e.Stage != Asking || e.At != askQuote || e.Quote == nil || c.Enquiry != e.ID || c.Stopped || c.Blocked || c.Person || c.NoNudge || e.Quote.lapsed(t.now) {
		return
	}
	e.Asked = true
	t.put(e, t.word(wording.QuoteOpen, wording.Facts{Name: e.Name, Until: t.Words.Date(e.Quote.Until.In(t.Zone))}))
	for i := range t.out.Say { // whoever is told "we won't ask again" is not asked again
		t.out.Say[i].Delivery, t.out.Say[i].NotAfter = bot.Once, e.Quote.Until
	}
}
