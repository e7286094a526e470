package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// What a customer writes once a time is asked for or booked, beside the answers to what
// the desk asks: they would move it or call it off, or ask what was agreed. What the desk
// does not follow goes to the owner, and the desk goes on.

// ofVisit takes a text about a visit.
func (t *turn) ofVisit(c *Chat, e *Enquiry, text string) {
	said := wording.Plain(text)
	switch {
	case t.wrongPhotoLate(c, e, text):
	case t.lastTimeSaid(e, text):
		t.tell(c.ID, wording.LastTime, t.lastTimeFacts(e), t.visitRow(e))
	case t.atTheCar(e) && t.asksWhenDone(text):
		t.tellWhenDone(c, e)
	case (t.means(said, wording.LabelCallOff) || t.callsOff(said)) && !t.onAnotherDay(e, text):
		t.tellUnlessJust(e, text, wording.SayCallOff, wording.LabelCallOff)
		t.askCallOff(e, Customer)
	case t.means(said, wording.LabelMove), t.speaksOf(said, wording.SayMoveIt) && !t.speaksOf(said, wording.SayMoveCar):
		t.tellUnlessJust(e, text, wording.SayMoveIt, wording.LabelMove)
		t.startMove(e, Customer)
	case t.means(said, wording.SayWhen), t.asksJust(text, wording.SayWhenAgain):
		t.tell(c.ID, wording.VisitKept, t.visitFacts(e), t.visitRow(e))
	case t.callsOut(text), t.means(said, wording.SayCarryOn), t.saysJust(text, t.typed(wording.SayIsItOff)):
		t.tell(c.ID, wording.HereStands, wording.Facts{Text: t.standing(e)}, t.visitRow(e))
	case t.workshop() != "" && !atTheirs(t, e) && t.asksWhere(text):
		f := t.visitFacts(e)
		f.Text = t.word(wording.WeAreIn, f)
		t.tell(c.ID, wording.BringItThere, f, t.visitRow(e))
	case t.asksInRain(c, e, text):
	case t.asksAgreed(c, e, text):
	case t.answersCommon(c, e, text):
	case e.Stage == Booked && t.now.After(e.Slot.Start) && !t.atTheCar(e) && t.complains(text):
		t.tellSorry(c, e, text)
	default:
		t.giveOn(c, e, text)
	}
}

// saidInPerson takes what even somebody who is with a person is answered by the desk: that
// they call off, and that something is not right. The owner reads their words in any case.
// It reports whether it was that.
func (t *turn) saidInPerson(c *Chat, e *Enquiry, text string) bool {
	said := wording.Plain(text)
	switch {
	case t.snagSaid(c, text):
	case e == nil || e.Slot == nil || e.Stage != Booked && e.Stage != Waits:
		return false
	case t.callsOff(said), t.saysCannot(e, text):
		t.tellBoss(wording.OwnerTheirText, e, text, pressWrite, pressHand)
		t.askCallOff(e, Customer)
	case e.Stage == Booked && t.now.After(e.Slot.Start) && t.complains(text):
		t.tellSorry(c, e, text)
	default:
		return false
	}
	return true
}

// tellSorry hands a complaint about a job that is not over yet to the owner, who has the
// chat from then on.
func (t *turn) tellSorry(c *Chat, e *Enquiry, text string) {
	t.tellBoss(wording.OwnerTheirText, e, text, pressWrite, pressHand)
	c.Person, c.Passed = true, true
	t.tell(c.ID, wording.SorryPassedOn, wording.Facts{})
}

// callsOff tells whether somebody would have a visit called off, in whatever words stand
// beside it.
func (t *turn) callsOff(said string) bool {
	return t.speaksOf(said, wording.SayCallOff) && !t.speaksOf(said, wording.SayNotOff)
}

// tellUnlessJust hands the owner a text that says more than what the desk is about to do.
func (t *turn) tellUnlessJust(e *Enquiry, text string, ways ...wording.Key) {
	known := slices.Concat(t.typed(wording.SayYes), t.typed(wording.SayNo), t.typed(wording.SayAnd), t.typed(wording.SayAsks))
	for _, k := range ways {
		known = slices.Concat(known, t.typed(k))
	}
	if !t.saysJust(text, known) {
		t.tellBoss(wording.OwnerTheirText, e, text, pressAnswer)
	}
}

// asksJust tells whether one of some phrases is asked, with little beside it.
func (t *turn) asksJust(text string, k wording.Key) bool {
	const most = 9
	said := wording.Plain(text)
	return len(strings.Fields(said)) <= most && (t.speaksOf(said, k) || t.speaksOf(t.spelled(text), k))
}

// asksAgreed answers what somebody asks of what has been agreed: the price, what is in it,
// how long it takes. It reports whether the text asked that, and of nothing else.
func (t *turn) asksAgreed(c *Chat, e *Enquiry, text string) bool {
	if t.Reader == nil || e.Quote == nil {
		return false
	}
	if f, ok := t.driesWhen(e); ok && t.asksOfDrying(text) {
		t.tell(c.ID, wording.DriesWhen, f, t.visitRow(e))
		return true
	}
	r, f := t.heardIn(text), t.visitFacts(e)
	if t.isQuestion(text) && t.asksJust(text, wording.SayDoneBy) && !t.atTheCar(e) && e.Stage != Done {
		t.tell(c.ID, wording.VisitKept, f, t.visitRow(e)) // "will it be done by 2" wishes for no other time
		return true
	}
	if len(r.Vehicles)+len(r.When)+len(r.Hints) > 0 || r.Body != "" {
		return false
	}
	switch {
	case t.asksJust(text, wording.SayWhatsIn):
		t.tell(c.ID, wording.AgreedIn, f, t.visitRow(e))
	case len(r.Wants)+len(r.Tasks) > 0:
		return false
	case slices.Contains(r.Asks, "price"):
		t.tell(c.ID, wording.AgreedPrice, f, t.visitRow(e))
	case t.isQuestion(text) && t.asksJust(text, wording.SayHowLong):
		t.tell(c.ID, wording.VisitKept, f, t.visitRow(e))
	default:
		return false
	}
	return true
}

// givenFor is for how long what has been said about handing words on need not be said in
// full again.
const givenFor = 12 * time.Hour

// giveOn hands words the desk does not follow to the owner, and goes on itself. The
// customer hears each time that they went to him, in full only once in a while.
func (t *turn) giveOn(c *Chat, e *Enquiry, text string) {
	t.giveOnAs(c, e, wording.OwnerTheirText, text)
}

// repliesToHim hands on what somebody with a visit says right after the owner has asked them
// something in his own words, "would half an hour later help?": a yes there is no nod. It
// reports whether it did; who calls off is heard in any case.
func (t *turn) repliesToHim(c *Chat, e *Enquiry, text string) bool {
	asked := c.Queried
	c.Queried = false
	said := wording.Plain(text)
	if !asked || c.Person || e == nil || e.open() || t.means(said, wording.LabelCallOff) || t.callsOff(said) || t.complains(text) {
		return false
	}
	t.giveOn(c, e, text)
	return true
}

// giveOnAs is giveOn under another heading.
func (t *turn) giveOnAs(c *Chat, e *Enquiry, heading wording.Key, text string) {
	t.tellBoss(heading, e, text, pressAnswer)
	again := !c.Given.IsZero() && t.now.Sub(c.Given) < givenFor
	c.Given = t.now.Truncate(time.Second)
	needs := " " + t.word(wording.IfYouNeedUs, wording.Facts{})
	if again && t.atTheCar(e) {
		t.say(bot.Message{Chat: c.ID, Text: t.word(wording.GivenOnToo, wording.Facts{}) + needs, Kind: string(wording.GivenOnToo)})
		return
	}
	if again {
		t.tell(c.ID, wording.GivenOnToo, wording.Facts{}, t.theirWays(e)...)
		return
	}
	f := wording.Facts{Text: t.standing(e)}
	if e.Stage == Done {
		f.Text = ""
	}
	if t.atTheCar(e) {
		f.Text += needs
	}
	if t.asksJust(text, wording.SayWhereAreYou) && t.Rules.Business.Town != "" {
		f.Text = t.word(wording.WeAreIn, wording.Facts{})
	}
	t.tell(c.ID, wording.GivenOn, f, t.theirWays(e)...)
}

// ofJob takes what somebody writes in the weeks after a job, or under a nudge, and that
// does not plainly begin something new: it is about that job, and the owner's. It reports
// whether it was that.
func (t *turn) ofJob(c *Chat, text string) bool {
	e, nudged := t.recent(c), t.nudged(c)
	if e == nil {
		e = nudged
	}
	switch {
	case e == nil, text == "":
		return false
	case t.callsOut(text) && e.snag() != nil && e.snag().Words != "":
		t.tell(c.ID, wording.SnagStands, wording.Facts{When: t.dayOf(e.snag().By)})
		return true
	case t.means(wording.Plain(text), wording.SayCarryOn):
		t.tell(c.ID, wording.HereStands, wording.Facts{Text: t.standing(e)})
		return true
	case t.driesAfter(c, e, text), t.washAfter(c, e, text), t.dueAgain(c, e, text):
		return true
	case !t.beginsAnew(text), t.asksOfJob(c, text):
		t.giveOnAs(c, e, wording.OwnerOfJob, text)
		return true
	case nudged == nil || !t.namesNone(text) || t.callsOut(text):
		return false
	}
	t.againWith(c, nudged, text)
	return true
}

// beginsAnew tells whether a text plainly begins a new enquiry: it names a car or work,
// asks a price or a day, or only says hello.
func (t *turn) beginsAnew(text string) bool {
	said := wording.Plain(text)
	switch {
	case t.Reader == nil, t.callsOut(text), t.means(said, wording.SayAgain), t.means(said, wording.SayBack), t.means(said, wording.SayHelp):
		return true
	case t.speaksOf(said, wording.SayYouDid), t.speaksOf(said, wording.SayMayI), t.speaksOf(said, wording.SayNotBooking):
		return false
	case t.speaksOf(said, wording.SayBookAgain):
		return true
	}
	r := t.heardIn(text)
	if slices.Contains(r.Asks, "price") || len(r.Vehicles) > 0 || r.Body != "" {
		return true
	}
	return len(r.Hints) == 0 && len(r.When)+len(r.Wants)+len(r.Tasks) > 0
}

// againWith begins an enquiry for a car that was here before and has just been spoken of.
func (t *turn) againWith(c *Chat, e *Enquiry, text string) {
	next := t.begin(c)
	next.Car = e.Car
	for _, q := range restingOn(askVehicle) {
		if a, ok := e.Answers[q]; ok {
			next.Answers[q] = a
		}
	}
	t.asksBeside(next, text)
	lead := t.word(wording.AgainWith, wording.Facts{Name: c.Name, Car: carName(e)})
	if said := t.understood(t.hear(next, text)); said != "" {
		lead += "\n\n" + said
	}
	t.put(next, lead)
}

// afterAll answers a last word after something came to nothing: thanks, and whether it is
// off. It reports whether the text was one.
func (t *turn) afterAll(c *Chat, e *Enquiry, text string) bool {
	if slices.ContainsFunc(t.others(c, e.ID), func(o *Enquiry) bool { return o.Stage == Booked || o.Stage == Waits }) {
		return false
	}
	said := wording.Plain(text)
	switch {
	case t.callsOff(said), t.means(said, wording.SayCarryOn), t.saysJust(text, t.typed(wording.SayIsItOff)):
		t.tell(c.ID, wording.NothingBooked, wording.Facts{Name: c.Name})
	case t.isFriendly(text):
		t.tell(c.ID, wording.PleasedDone, wording.Facts{Name: c.Name})
	default:
		return false
	}
	return true
}
