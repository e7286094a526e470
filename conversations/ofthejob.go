package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// In the days after a job what is said or asked is about that job, and no new sale: a smear
// on the window, when the seats may go back in. Whoever was taken for one that would book
// and says that it is the job they mean is let out of it.

// faultLeft tells whether a text in the weeks after a job names something left on the car,
// or not done: "theres still wax on the door handle". Asking for work, a price or another
// car is none, nor is asking what they may do themselves.
func (t *turn) faultLeft(e *Enquiry, text string) bool {
	if t.Reader == nil || t.asksNewWork(e, text) || t.speaksOf(wording.Plain(text), wording.SayMayI) {
		return false
	}
	rest := t.lessNothingWrong(text)
	if t.speaksOf(rest, wording.SayFault) {
		return true
	}
	return t.speaksOf(rest, wording.SayLeftSo) && !t.asksAtAll(text) && len(t.heardIn(text).When) == 0
}

// asksNewWork tells whether a text after a job asks for another one: a booking, a price, or
// a car that is not the one that was done.
func (t *turn) asksNewWork(e *Enquiry, text string) bool {
	said, r := wording.Plain(text), t.heardIn(text)
	books := t.speaksOf(said, wording.SayBookAgain) || t.speaksOf(said, wording.SaySameAgain)
	v := r.Vehicle()
	return books && !t.speaksOf(said, wording.SayNotBooking) || slices.Contains(r.Asks, "price") ||
		t.speaksOf(said, wording.SayOtherCar) || t.speaksOf(said, wording.SayAnotherCar) ||
		v != nil && (e.Car == nil || !mayMean(text, *v, *e.Car)) || len(r.Vehicles) > 1
}

// asksAtAll tells whether a text or a part of it is a question.
func (t *turn) asksAtAll(text string) bool {
	return t.isQuestion(text) || slices.ContainsFunc(sentenceEnds.Split(text, -1), t.isQuestion)
}

// asksOfJob tells whether a text within two days of a job asks something of it: what the
// customer may do with the car now, or anything else that asks for no work and no day.
func (t *turn) asksOfJob(c *Chat, text string) bool {
	e := t.recent(c)
	if t.Reader == nil || e == nil || e != t.current(c) || t.now.Sub(e.Work.At) >= justBack || t.asksNewWork(e, text) {
		return false
	}
	said := wording.Plain(text)
	if t.speaksOf(said, wording.SayMayI) {
		return true
	}
	return t.asksAtAll(text) && !t.speaksOf(said, wording.SayAsksWork) && len(t.heardIn(text).When) == 0
}

// driesAfter answers from the rules when a car that was done is dry enough for what is
// asked, and hands the question on. It reports false where the rules do not tell.
func (t *turn) driesAfter(c *Chat, e *Enquiry, text string) bool {
	said := wording.Plain(text)
	wets := t.asksOfDrying(text) || t.speaksOf(said, wording.SayMayI) && t.speaksOf(said, wording.SayBackIn)
	if !wets || !t.asksOfJob(c, text) {
		return false
	}
	f, ok := t.driesWhen(e)
	if !ok || len(f.Items) == 0 {
		return false
	}
	t.tellBoss(wording.OwnerOfJob, e, text, pressAnswer)
	t.tell(c.ID, wording.DriesAfter, wording.Facts{Items: f.Items})
	return true
}

// asksIfDamp takes a question whether it may still be damp, asked in the two days after a
// job: what is told of drying is said once more, and the question handed on. A fault beside
// it is a snag.
func (t *turn) asksIfDamp(c *Chat, e *Enquiry, text string) bool {
	said := wording.Plain(text)
	if e != t.current(c) || e.snag() != nil || t.now.Sub(e.Work.At) >= justBack || !t.speaksOf(said, wording.SayDry) || t.speaksOf(said, wording.SayFault) || t.asksNewWork(e, text) {
		return false
	}
	if !t.speaksOf(said, wording.SayIsThatOk) {
		return false
	}
	f, ok := t.driesWhen(e)
	if !ok || len(f.Items) == 0 {
		t.giveOnAs(c, e, wording.OwnerOfJob, text)
		return true
	}
	t.tellBoss(wording.OwnerOfJob, e, text, pressAnswer)
	t.tell(c.ID, wording.DriesAfter, wording.Facts{Items: f.Items})
	return true
}

// washAfter answers when a car may be washed again with what what was put on it asks for, and
// hands the question on. It reports false where it is not asked, or nothing was put on.
func (t *turn) washAfter(c *Chat, e *Enquiry, text string) bool {
	if e != t.recent(c) || !t.speaksOf(wording.Plain(text), wording.SayWashIt) || !t.asksAtAll(text) || t.asksNewWork(e, text) {
		return false
	}
	var lines []string
	for _, id := range e.Work.Protections {
		if p, ok := t.Rules.Protection(id); ok && len(p.Care) > 0 {
			lines = append(lines, firstUpper(p.Words)+": "+strings.Join(p.Care, " "))
		}
	}
	if len(lines) == 0 {
		return false
	}
	t.tellBoss(wording.OwnerOfJob, e, text, pressAnswer)
	t.tell(c.ID, wording.WashAfter, wording.Facts{Items: lines, Day: t.dayOf(e.Work.At)})
	return true
}

// dueAgain says when what was put on is due again, where that is asked and a reminder is to
// come: "when would I need you again?" It reports whether it was.
func (t *turn) dueAgain(c *Chat, e *Enquiry, text string) bool {
	if e.Work == nil || !e.Work.Nudge.After(t.now) || len(e.Work.Protections) == 0 || !t.isQuestion(text) && !t.asksAtAll(text) || !t.speaksOf(t.spelled(text), wording.SayDueAgain) {
		return false
	}
	f := wording.Facts{When: t.dayOf(e.Work.Nudge), Items: t.protectedBy(e.Work.Protections)}
	t.tell(c.ID, wording.DueAgain, f)
	return true
}

// leavesSale ends what somebody was taken to want done after a job, when they say that it
// is the job they speak of, or that they would book nothing. What they began with and what
// they say now go to the owner: as a snag if it is one. It reports whether they said so.
func (t *turn) leavesSale(c *Chat, e *Enquiry, text string) bool {
	now, said := t.current(c), wording.Plain(text)
	if now == e {
		return t.insists(c, e, text)
	}
	if now == nil || !now.open() || t.now.Sub(e.Work.At) >= justBack || now.Car != nil && !sameCar(now, e) {
		return false
	}
	means := t.speaksOf(said, wording.SayTheOneDone) && !t.asksNewWork(e, text)
	if !means && !t.speaksOf(said, wording.SayNotBooking) {
		return false
	}
	all := strings.TrimPrefix(now.First+" / "+text, " / ")
	t.close(now)
	c.Enquiry = e.ID
	if means || t.complains(all) || t.faultLeft(e, all) {
		t.openSnag(e)
		t.snagTold(c, e, all)
		return true
	}
	t.giveOnAs(c, e, wording.OwnerOfJob, all)
	return true
}

// insists adds to a snag that is open what its customer says of the job, or that they would
// book nothing. It reports whether that was said.
func (t *turn) insists(c *Chat, e *Enquiry, text string) bool {
	said, s := wording.Plain(text), e.snag()
	if s == nil || s.Words == "" || !t.speaksOf(said, wording.SayNotBooking) && (!t.speaksOf(said, wording.SayTheOneDone) || t.asksNewWork(e, text)) {
		return false
	}
	t.snagTold(c, e, text)
	return true
}
