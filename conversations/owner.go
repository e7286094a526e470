package conversations

import (
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
	pressAsk     = "ask"
	pressLink    = "link"
	pressRegular = "regular"
	pressOpen    = "open"
	pressWet     = "wet"    // this visit alone is rained off
	pressEnd     = "end"    // the question still open at the end of a job
	pressAnswer  = "answer" // one answer, and the desk goes on
)

var ownerLabels = map[string]wording.Key{
	pressApprove: wording.LabelApprove,
	pressDecline: wording.LabelDecline,
	pressWrite:   wording.LabelWrite,
	pressAnswer:  wording.LabelWrite,
	pressHand:    wording.LabelHandBack,
	pressDone:    wording.LabelDone,
	pressAdjust:  wording.LabelAdjust,
	pressArrived: wording.LabelArrived,
	pressSheet:   wording.LabelSheet,
	pressAsk:     wording.LabelAsk,
	pressLink:    wording.LabelLink,
	pressWet:     wording.LabelRain,
	pressRegular: wording.LabelRegular,
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
	t.keepTalk(e)
	var row []bot.Choice
	for _, p := range presses {
		row = append(row, t.own(e, p))
	}
	if row == nil {
		t.tell(t.Owner, k, f)
		return
	}
	t.tell(t.Owner, k, f, row)
}

// owner answers whatever the owner did in his own chat.
func (t *turn) owner() {
	c := t.chat(t.event.Chat)
	t.handsDue()
	if t.sentOn(c) {
		return
	}
	switch w := t.event.What.(type) {
	case bot.Tap:
		t.ownerTapped(c, w)
	case bot.Text:
		t.ownerWrote(c, w)
	case bot.Membership:
		c.Blocked = w.Blocked
	case bot.Photo:
		if !t.jobPhoto(c, w) {
			t.tell(c.ID, wording.OwnerWhosePhoto, wording.Facts{}, append(t.maybeRows(c), t.deskWays()...)...)
		}
	default:
		t.tell(c.ID, wording.NotReadable, wording.Facts{}, t.deskWays()...)
	}
}

// ownerRoutes are who takes the owner's presses about an enquiry, by the name they
// carry in place of a question.
var ownerRoutes = map[string]func(*turn, *Chat, *Enquiry, press, bot.Tap){
	pressByHand:  (*turn).byHandPressed,
	pressReason:  (*turn).reasonPressed,
	pressQuery:   (*turn).queryPressed,
	pressDeposit: (*turn).depositPressed,
	pressVisit:   (*turn).visitPressed,
	pressMove:    (*turn).movePressed,
	pressPaid:    (*turn).paidPressed,
	pressKind:    (*turn).protected,
	pressGrade:   (*turn).gradePressed,
	pressExtra:   (*turn).extraPressed,
	pressJob:     (*turn).jobPressed,
	pressSnag:    (*turn).snagAnswered,
	pressDue:     (*turn).duePressed,
	pressPast:    (*turn).pastPressed,
}

func (t *turn) ownerTapped(c *Chat, w bot.Tap) {
	c.Typing, c.Setting, c.Remark, c.Moving = nil, "", "", "" // whatever was to be typed, he has gone on to something else
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
	if ok && e != nil && p.question == pressStanding && t.standingByOwner(c, e, p, w) {
		return
	}
	if take := ownerRoutes[p.question]; ok && e != nil && take != nil {
		take(t, c, e, p, w)
		return
	}
	if ok && e != nil && isGuest(e.Chat) && p.question != pressOwner {
		t.guestTapped(c, e, w)
		return
	}
	if !ok || e == nil || p.question != pressOwner {
		t.out.Toast = t.word(wording.OwnerStale, wording.Facts{})
		t.tell(c.ID, wording.OwnerStale, wording.Facts{})
		return
	}
	t.ownPressed(c, e, p, w)
}

// ownerWrote takes the owner's text: an answer to somebody, the minutes of a
// job, or a word.
func (t *turn) ownerWrote(c *Chat, w bot.Text) {
	switch {
	case strings.HasPrefix(w.Body, "/"), wording.Plain(w.Body) == "help":
		c.Writing, c.Finishing, c.Setting, c.Remark, c.Noting, c.Moving, c.Typing = "", "", "", "", "", "", nil
		t.tell(c.ID, wording.OwnerHello, wording.Facts{}, t.deskWays()...)
	case t.undoSaid(c, w.Body): // what he was to type for somebody may be the slip
	case c.Moving != "" && t.moveSaid(c, w.Body):
	case c.Writing != "":
		e := t.enquiry(c.Writing)
		c.Writing = ""
		if e == nil {
			t.tell(c.ID, wording.OwnerStale, wording.Facts{})
			return
		}
		t.sendOn(e, w.Body)
	case c.Remark != "" && t.remarked(c, w.Body):
	case t.cardSaid(c, w.Body):
	case t.pressedByWord(c, w.Body): // what he was asked last comes before what he may mean
	case t.asksHelp(w.Body): // but not while a customer is to read it
		t.tell(c.ID, wording.OwnerHello, wording.Facts{}, t.deskWays()...)
	case t.endSaidWhole(c, w.Body): // "done, 85 cash" ends the job before it is money that came
	case t.paidSaid(c, w.Body):
	case t.runSaid(c, w.Body):
	case t.deskSaid(c, w.Body):
	case t.offSaid(c, w.Body):
	case t.settingSaid(c, w.Body):
	case t.newGuest(c, w.Body): // a second one may ring while the first one's form is open
	case t.forGuest(c, w):
	case t.passSaid(c, w.Body):
	case t.addressed(c, w.Body):
	case t.pricesNamed(c, w.Body):
	case t.pricesOne(c, w.Body):
	case t.offersPrice(c, w.Body):
	case t.whyTyped(c, w.Body):
	case t.byWhenSaid(c, w.Body):
	case c.Finishing != "":
		t.endSaid(c, w.Body)
	case t.daySaid(c, w.Body):
	case t.agreedNamed(c, w.Body): // of somebody else, also with his hands at a car
	case t.jobSaid(c, w.Body): // at a car all that is left is damage or a note
	case t.offUnread(c, w.Body):
	case t.erasureSaid(c, w.Body):
	case t.decides(c, w.Body): // before the name alone: "no, Ann can't have that"
	case t.namedSaid(c, w.Body):
	case t.dayNamed(c, w.Body):
	case t.speaksOfRain(w.Body): // "raining all day, what have I got"
		t.showDay(c, t.wetDay())
	case t.pleased(w.Body):
		t.tell(c.ID, wording.OwnerPleased, wording.Facts{}, t.deskWays()...)
	case t.answersThem(c, w.Body): // what is nothing else may be for them, and he is asked
	default:
		t.tell(c.ID, wording.OwnerUnread, wording.Facts{}, append(t.maybeRows(c), t.deskWays()...)...)
	}
}

// asksHelp tells whether the owner asks what he can write here, or only says hello.
func (t *turn) asksHelp(text string) bool {
	return strings.Trim(text, "? ") == "" && strings.Contains(text, "?") || t.means(wording.Plain(text), wording.SayHelp)
}

// erasureSaid answers the wish to have somebody erased: that is done at the machine, on
// purpose, and never by a word in passing. It reports whether the text was one.
func (t *turn) erasureSaid(c *Chat, text string) bool {
	words := strings.Fields(wording.Plain(text))
	if longestOf(t.typed(wording.SayErase), words) == 0 {
		return false
	}
	name := strings.Join(words[longestOf(t.typed(wording.SayErase), words):], " ")
	if of, _ := t.spokenOf(words); len(of) > 0 {
		name = of[0].Name
	}
	t.tell(c.ID, wording.OwnerErase, wording.Facts{Name: name}, t.deskWays()...)
	return true
}

// handBack gives a chat back to the desk.
func (t *turn) handBack(c *Chat, e *Enquiry) {
	customer := t.chat(e.Chat)
	if customer.Person && customer.Spoke {
		t.putStands(e)
		return
	}
	if customer.Person {
		customer.Person, customer.Passed = false, false
		if !customer.Stopped {
			t.lead(customer, t.word(wording.HandedBack, wording.Facts{}))
		}
	}
	t.handedBack(c, e)
}

// approve books the time that was asked for.
func (t *turn) approve(e *Enquiry) {
	e.Stage = Booked
	e.Rev++
	t.mustEnter(e, e.ID, diary.Booked)
	t.unset(CameAsk, e)
	t.unset(CameQuote, e) // the price has its answer
	t.keepInMind(e)
	f := t.agreed(e)
	f.Out = t.sparedNames(e)
	if !t.chat(e.Chat).Blocked {
		m := t.calendar(e, false).message(e.Chat, t.askedStill(e, t.word(wording.Booked, f)))
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

// reopen takes an enquiry whose time came to nothing back to choosing one.
func (t *turn) reopen(e *Enquiry) {
	e.Stage = Asking
	e.From = time.Time{}
	e.Job = nil
	t.release(e)
	t.unset(CameAsk, e)
	t.holdOn(e)
	for _, q := range []string{askConfirm, askConsent, askSlot} {
		t.retract(e, q)
	}
	e.Rev++
}
