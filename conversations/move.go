package conversations

import (
	"slices"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// moveID is the name under which the time a booking may be moved to stands in
// the diary, beside the one it has.
func moveID(e *Enquiry) string { return e.ID + "~" }

// startMove begins the search for another time. What has only been asked for is
// simply chosen again.
func (t *turn) startMove(e *Enquiry, side Side) {
	if t.openMove(e, side) {
		t.offerMove(e, side, "")
	}
}

// openMove begins the search for another time, and reports whether one is to be
// offered: nothing else has been said instead.
func (t *turn) openMove(e *Enquiry, side Side) bool {
	if side == Customer && t.atTheCar(e) {
		t.midJob(t.chat(e.Chat), e)
		return false
	}
	if e.Stage == Waits {
		t.toOwner(wording.OwnerWithdrawn, e, wording.Facts{})
		back := t.word(wording.AskedBack, wording.Facts{When: t.Words.Moment(e.Slot.Start.In(t.Zone))})
		t.reopen(e)
		t.put(e, back)
		return false
	}
	again := e.Move != nil && e.Move.By == side
	t.dropMove(e)
	e.Move = &Move{By: side}
	e.Rev++
	if side == Customer && !again && t.isToday(e) {
		t.toOwner(wording.OwnerMayMove, e, wording.Facts{}, pressWrite) // before he sets out
	}
	return true
}

// isToday tells whether a booking is today, and not over yet.
func (t *turn) isToday(e *Enquiry) bool {
	return e.Stage == Booked && e.Slot != nil && diary.Key(e.Slot.Start, t.Zone) == diary.Key(t.now, t.Zone) && t.now.Before(e.Slot.End)
}

// choosing tells whether a side has another time to choose.
func (e *Enquiry) choosing(side Side) bool {
	return e.Stage == Booked && e.Move != nil && e.Move.To == nil && (e.Move.By == side || e.Move.Offered && side == Customer)
}

// moveSaid takes the owner's text as the time he would move a booking to, just after
// he was asked for one, and reports whether it was one and nothing else.
func (t *turn) moveSaid(c *Chat, text string) bool {
	e := t.enquiry(c.Moving)
	c.Moving = ""
	if e == nil || !e.choosing(Owner) || t.languageOf(c.ID) != "" {
		return false
	}
	if t.choseMove(e, Owner, text) {
		return true
	}
	return t.namesTime(e, Owner, text, true, !t.saysInstead(wording.Plain(text)))
}

// moveAnswered takes a customer's words as a press on one of the buttons about another
// time, and reports whether they were that.
func (t *turn) moveAnswered(c *Chat, e *Enquiry, said string) bool {
	var ways []named
	switch {
	case e.choosing(Customer) && e.Move.Wet:
		ways = []named{{choiceOther, wording.LabelOtherDays}}
	case e.choosing(Customer):
		ways = []named{{choiceOther, wording.LabelOtherDays}, {visitKeep, wording.LabelKeepIt}}
	case e.Stage == Booked && e.Move != nil && e.Move.To != nil && e.Move.By == Owner:
		ways = []named{{visitYes, wording.LabelMoveYes}, {visitKeep, wording.LabelKeepIt}}
	}
	for _, w := range ways {
		if t.means(said, w.label) {
			t.movePressed(c, e, press{e.ID, e.Rev, pressMove, w.key}, bot.Tap{})
			return true
		}
	}
	return false
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
	for _, o := range t.offer(e, free) {
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
	if (e.Move.Wet || e.Move.Off) && side == Customer {
		off = t.presses(e, pressVisit, named{visitCancel, wording.LabelCallOff})
	}
	f := t.visitFacts(e)
	f.Money = t.moneyMoved(e, side)
	f.Terms = nil
	if line := t.startLine(e, side); line != "" {
		f.Terms = []string{line}
	}
	if side == Owner {
		t.chat(t.Owner).Moving = e.ID
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
		offer := t.few(e, t.free(e, e.Move.From))
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
	missed := k == wording.MissedYou || k == wording.MissedOther
	theirs := missed && !t.ourDoing(e) // had we asked them to move, it would be ours
	t.dropMove(e)
	e.Move = &Move{By: Owner, Offered: true, Wet: missed || k == wording.RainedOff, Absent: theirs}
	t.waitForMove(e, t.answerBy().Add(24*time.Hour))
	e.Rev++
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
	by := t.answerBy()
	if side == Owner {
		by = by.Add(12 * time.Hour) // a customer need not look at the chat all day
	}
	t.waitForMove(e, by)
	if side == Customer {
		t.tell(e.Chat, wording.MoveAsked, t.moveFacts(e))
		t.putMove(e, wording.OwnerTheyAskMove)
		return
	}
	t.tell(t.Owner, wording.OwnerMoveAsked, t.moveFacts(e))
	t.putMove(e, wording.WeAskMove)
}

// waitForMove waits for the other side's word until a moment, but not until the
// new time is upon us; nor the old one, if it is the customer who asks. What we
// have asked for stays open beyond it: whoever is not there then was asked.
func (t *turn) waitForMove(e *Enquiry, by time.Time) {
	by = t.awake(by)
	if e.Move.By == Customer {
		by = t.before(by, e.Slot.Start)
	}
	if e.Move.To != nil {
		by = t.before(by, e.Move.To.Start)
	}
	e.Move.Until = by
	t.set(t.remindBefore(by), Came{Kind: CameMove, Enquiry: e.ID})
}

// moveFacts are what is to be said of a move that waits for a word.
func (t *turn) moveFacts(e *Enquiry) wording.Facts {
	f := t.visitFacts(e)
	f.Until = t.Words.Moment(e.Move.Until.In(t.Zone))
	return f
}

// putMove asks the side that has not asked for a move what it thinks of it.
func (t *turn) putMove(e *Enquiry, k wording.Key) {
	f := t.moveFacts(e)
	if e.Move.By == Customer {
		t.tell(t.Owner, k, f, t.presses(e, pressMove, named{visitYes, wording.LabelMoveYes}, named{visitKeep, wording.LabelMoveNo})...)
		return
	}
	f.Money = t.moneyMoved(e, Customer)
	if line := t.startLine(e, Customer); line != "" {
		f.Terms = []string{line}
	}
	if !t.chat(e.Chat).Blocked {
		t.tell(e.Chat, k, f, t.presses(e, pressMove,
			named{visitYes, wording.LabelMoveYes}, named{choiceOther, wording.LabelAnotherTime}, named{visitKeep, wording.LabelKeepIt})...)
	}
}

// moved carries an agreed move out: in the diary, in both calendars, in what
// comes due.
func (t *turn) moved(e *Enquiry) {
	was := t.Words.Moment(e.Slot.Start.In(t.Zone))
	another := t.moveDeposit(e, e.Move.Late)
	t.vacate(e.ID, *e.Slot)
	e.Slot, e.Move, e.Job = e.Move.To, nil, nil // another time is another visit
	t.unset(CameMove, e)
	e.Rev++
	e.Changes++
	t.mustEnter(e, moveID(e), diary.Booked)
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
	t.kept(e, side)
	if !asked {
		if side == Customer && t.isToday(e) {
			t.toOwner(wording.OwnerKeptToday, e, wording.Facts{}, pressWrite) // he was told they were looking
		}
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

// remindOfMove reminds whoever is to answer, once.
func (t *turn) remindOfMove(e *Enquiry) {
	t.set(e.Move.Until, Came{Kind: CameMove, Enquiry: e.ID})
	switch asked := e.Move.Reminded; {
	case asked:
		return
	case e.Move.To == nil && e.Move.Offered:
		if !t.chat(e.Chat).Blocked {
			t.offerMove(e, Customer, t.word(wording.OfferedAgain, wording.Facts{}))
		}
	case e.Move.To == nil: // who is choosing need not be hurried
		return
	case e.Move.By == Customer:
		t.putMove(e, wording.OwnerTheyAskMoveAgain)
	default:
		t.putMove(e, wording.WeAskMoveAgain)
	}
	e.Move.Reminded = true
}

// moveUnanswered ends a move nobody has answered. The old time stands.
func (t *turn) moveUnanswered(e *Enquiry) {
	if e.Stage != Booked || e.Move == nil {
		return
	}
	if t.now.Before(e.Move.Until) {
		t.remindOfMove(e)
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
	ways := t.ownerWays(e)
	if t.mayLeave(e) {
		f.Money = t.missedMoney(e)
		ways = append(ways, t.jobRow(e, named{jobLetGo, wording.LabelLeaveAtThat}))
	}
	t.tell(t.Owner, k, f, ways...)
}
