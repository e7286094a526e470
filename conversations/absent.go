package conversations

import (
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// Somebody who is not there has mostly only forgotten. They are asked, waited for
// and offered another day, in that order; the owner decides.

// waitFor is how long to wait for a customer who is not there (common practice, no
// source).
const waitFor = 15 * time.Minute

// begins puts a job that is due to begin before the owner, with what he can do.
func (t *turn) begins(e *Enquiry) {
	if e.Stage != Booked || e.Slot == nil || t.now.Before(e.Slot.Start) || t.now.After(e.Slot.End) || e.Move != nil && e.Move.Wet ||
		e.Job != nil && !e.Job.Begun.IsZero() && e.Job.Begun.After(e.Slot.Start.Add(-12*time.Hour)) || t.Owner == 0 {
		return
	}
	f := t.agreed(e)
	f.When = e.Slot.Start.In(t.Zone).Format("15:04")
	t.tell(t.Owner, wording.OwnerBegin, f, t.jobRow(e, named{jobWalk, wording.LabelArrived}, named{jobStart, wording.LabelStartWork}),
		t.jobRow(e, named{jobNobody, wording.LabelNobody}))
}

// absentPressed takes the owner's presses about somebody who is not there.
func (t *turn) absentPressed(c *Chat, e *Enquiry, kind string, w bot.Tap) {
	if kind == jobLetGo && t.mayLeave(e) {
		t.takeOff(w)
		t.leaveIt(e)
		return
	}
	if kind == jobLetGo || e.working() || t.now.Before(e.Slot.Start.Add(-waitFor)) || kind == jobRebook && (e.Job == nil || e.Job.Absent.IsZero()) || e.Move != nil && e.Move.Wet {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	f := t.visitFacts(e)
	f.When = e.Slot.Start.In(t.Zone).Format("15:04")
	if kind == jobNobody {
		j := e.onDay()
		if t.comes(e) { // they have said so, and need not be asked
			if j.Absent.IsZero() {
				j.Absent = t.now
				t.set(t.now.Add(waitFor), Came{Kind: CameAbsent, Enquiry: e.ID})
			}
			t.stillAbsent(e)
			return
		}
		asked := !j.Absent.IsZero() && t.now.Before(j.Absent.Add(waitFor)) // and need not read it twice
		if j.Absent.IsZero() {
			j.Absent = t.now
		}
		f.Minutes = int(waitFor.Minutes())
		if !asked {
			t.set(t.now.Add(waitFor), Came{Kind: CameAbsent, Enquiry: e.ID})
			if f.Text = ""; atTheirs(t, e) {
				f.Text = "theirs"
			}
			t.tell(e.Chat, wording.AreYouThere, f, t.theirRow(e, named{theirComing, wording.LabelComing}), t.theirRow(e, named{theirOther, wording.LabelAnotherDay}))
		} else {
			f.Minutes = max(1, int(j.Absent.Add(waitFor).Sub(t.now).Minutes()))
		}
		f.Money = t.missedMoney(e)
		t.tell(t.Owner, wording.OwnerWaiting, f, t.jobRow(e, named{jobWalk, wording.LabelTheyCame}, named{jobRebook, wording.LabelOfferAnother}))
		return
	}
	t.another(e, wording.MissedYou)
}

// nearVisit tells whether a visit that nobody has begun is about to be, or should have.
func (t *turn) nearVisit(e *Enquiry) bool {
	const before = 2 * time.Hour
	return e != nil && e.Stage == Booked && e.Slot != nil && e.Move == nil && !isGuest(e.Chat) && !t.atTheCar(e) && !t.now.Before(e.Slot.Start.Add(-before)) && t.now.Before(e.Slot.End)
}

// wroteNear keeps what a customer wrote about the time of their visit, for whoever finds
// nobody there.
func (t *turn) wroteNear(e *Enquiry, text string) {
	if t.nearVisit(e) && t.event.Chat == e.Chat {
		j := e.onDay()
		j.Wrote, j.WroteAt = brief(text), t.now
	}
}

// comes tells whether a customer said of late that they are on their way.
func (t *turn) comes(e *Enquiry) bool {
	return e.Job != nil && !e.Job.Coming.IsZero() && t.now.Sub(e.Job.Coming) < 2*waitFor
}

// another offers somebody who was not there other times. The old one is past.
func (t *turn) another(e *Enquiry, k wording.Key) {
	t.unset(CameJob, e)
	t.unset(CameAbsent, e)
	e.Absences = append(e.Absences, e.Slot.Start)
	t.letChoose(e, k)
	t.tell(t.Owner, wording.OwnerOfferedAnother, wording.Facts{Name: e.Name})
}

// stillAbsent asks the owner what to do when nobody has come.
func (t *turn) stillAbsent(e *Enquiry) {
	if e.Stage != Booked || e.working() || e.Job == nil || e.Job.Absent.IsZero() || e.Move != nil {
		return
	}
	f := wording.Facts{Name: e.Name, Minutes: int(t.now.Sub(e.Job.Absent).Minutes()), When: e.Job.Absent.In(t.Zone).Format("15:04"), Money: t.missedMoney(e)}
	if at := e.Job.Coming; !at.IsZero() {
		f.Day = at.In(t.Zone).Format("15:04")
	}
	if at := e.Job.WroteAt; !at.IsZero() && !at.Before(e.Job.Coming) && diary.Key(at, t.Zone) == diary.Key(t.now, t.Zone) {
		f.Day, f.Text = at.In(t.Zone).Format("15:04"), e.Job.Wrote
	}
	rows := [][]bot.Choice{t.jobRow(e, named{jobWalk, wording.LabelTheyCame}, named{jobRebook, wording.LabelOfferAnother})}
	if t.mayLeave(e) {
		rows = append(rows, t.jobRow(e, named{jobLetGo, wording.LabelLeaveAtThat}))
	}
	t.tell(t.Owner, wording.OwnerStillAbsent, f, rows...)
}

// missed tells whether the time that is to be replaced went by without the customer.
func (t *turn) missed(e *Enquiry) bool { return e.Move != nil && e.Move.Absent }

// mayLeave tells whether a visit can be given up for the customer was not there: they
// have been asked and waited for, and no other time has been chosen.
func (t *turn) mayLeave(e *Enquiry) bool {
	return e.Stage == Booked && !e.working() && e.Job != nil && !e.Job.Absent.IsZero() && !t.now.Before(e.Job.Absent.Add(waitFor)) &&
		(e.Move == nil || e.Move.Absent && e.Move.To == nil)
}

// missedMoney says to the owner, before he decides, what becomes of money in advance
// that is in hand: with another day, and without. Not being there counts as a late
// change. Empty where there is none.
func (t *turn) missedMoney(e *Enquiry) string {
	d := e.inHand()
	if d == nil {
		return ""
	}
	moved, off := wording.OwnerMissedAlong, wording.OwnerMissedBack
	if t.movedFate(e, true) == Kept {
		moved = wording.OwnerMissedAnew
	}
	if t.offFate(e, Customer) == Kept {
		off = wording.OwnerMissedKept
	}
	f := wording.Facts{Deposit: t.pounds(d.Pence)}
	return t.word(moved, f) + " " + t.word(off, f)
}

// leaveIt ends a visit nobody came to, with money in advance as if the customer had
// called it off late. What is kept the owner can still give back.
func (t *turn) leaveIt(e *Enquiry) {
	f := t.visitFacts(e)
	f.Money = ""
	if e.deposit() != nil {
		f.Money = t.moneyOff(e, Customer)
	}
	kept, d := "", e.inHand()
	if d != nil && t.offFate(e, Customer) == Kept {
		t.endDeposit(e, Kept)
		kept = t.word(wording.OwnerMoneyKept, t.depositFacts(e, d))
	}
	e.Absences = append(e.Absences, e.Slot.Start)
	e.Changes++
	gone := t.calendar(e, true)
	t.dropMove(e)
	t.unset(CameJob, e)
	t.unset(CameAbsent, e)
	t.close(e)
	if !t.chat(e.Chat).Blocked {
		t.say(gone.message(e.Chat, t.word(wording.MissedLeft, f)))
	}
	if f.Money, f.Text = kept, ""; t.chat(e.Chat).Blocked {
		f.Text = "unreached"
	}
	m := gone.message(t.Owner, t.word(wording.OwnerMissedLeft, f))
	if kept != "" {
		m.Choices = t.presses(e, pressDeposit, named{depositReturn, wording.LabelGiveBack})
	}
	t.say(m)
}

// comingPressed takes the customer's answer to where they are.
func (t *turn) comingPressed(c *Chat, e *Enquiry, kind string, w bot.Tap) {
	if e.Stage != Booked || e.working() || e.Job == nil || e.Job.Absent.IsZero() || e.Move != nil {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	if kind == theirOther {
		t.toOwner(wording.OwnerTheyCant, e, wording.Facts{})
		t.another(e, wording.MissedOther)
		return
	}
	e.Job.Coming = t.now
	t.set(t.now.Add(waitFor), Came{Kind: CameAbsent, Enquiry: e.ID})
	t.tell(e.Chat, wording.WaitingForYou, t.visitFacts(e))
	t.toOwner(wording.OwnerTheyCome, e, wording.Facts{})
}

// atTheCar tells whether the owner has begun to look the car over today, or is at
// work on it.
func (t *turn) atTheCar(e *Enquiry) bool {
	return e.working() || e.Stage == Booked && e.Job != nil && !e.Job.Begun.IsZero() && diary.Key(e.Job.Begun, t.Zone) == diary.Key(t.now, t.Zone)
}

// theirWays are a customer's buttons about a booking: moving it and calling it off
// while nobody is at the car.
func (t *turn) theirWays(e *Enquiry) [][]bot.Choice {
	if e.Stage != Booked && e.Stage != Waits || t.atTheCar(e) {
		return nil
	}
	return [][]bot.Choice{t.visitRow(e)}
}

// midJob answers a customer who would move or call off what is being done just
// now: that is for the two of them to talk about, not for a tap.
func (t *turn) midJob(c *Chat, e *Enquiry) {
	c.Person = true
	t.tell(c.ID, wording.MidJob, wording.Facts{Car: carName(e)})
	t.toOwner(wording.OwnerMidJob, e, wording.Facts{}, pressWrite, pressHand)
}
