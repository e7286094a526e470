package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// ownPress is a button under what the owner was told of an enquiry: when it still counts,
// and what it does.
type ownPress struct {
	// in are the stages it counts in, all if there are none.
	in []Stage
	// fresh: only as long as nothing about the enquiry has changed since it was shown.
	fresh bool
	// do takes it. arg is what stands behind the colon of a press that ends with one.
	do func(t *turn, c *Chat, e *Enquiry, w bot.Tap, arg string)
}

// ownPresses are all of them, by the choice they carry.
var ownPresses = map[string]ownPress{
	pressApprove: {in: []Stage{Waits}, fresh: true, do: approves},
	pressDecline: {in: []Stage{Waits}, fresh: true, do: simply((*turn).askReason)},
	pressAdjust:  {in: []Stage{Waits}, do: func(t *turn, _ *Chat, e *Enquiry, _ bot.Tap, _ string) { t.panel(e) }},
	pressAsk:     {in: []Stage{Asking, Waits, Booked}, do: simply((*turn).askWhat)},
	pressArrived: {in: []Stage{Booked}, do: arrives},
	pressSheet:   {in: []Stage{Booked}, do: simply((*turn).sheet)},
	pressDone:    {in: []Stage{Booked}, do: inChat((*turn).askMinutes)},
	pressRegular: {in: []Stage{Done}, do: makesRegular},
	pressLink:    {do: simply((*turn).offerLink)},
	pressEnd:     {do: inChat((*turn).backToEnd)},
	pressHand:    {do: inChat((*turn).handBack)},
	pressWrite:   {do: writes},
	pressAnswer:  {do: answers},
	pressOpen:    {do: opens},
	pressWet:     {in: []Stage{Booked}, fresh: true, do: inChat((*turn).wetPressed)},
	pressSend:    {do: drafted((*turn).sendDraft)},
	pressSendNo:  {do: drafted((*turn).sendNo)},
	pressAgreed:  {do: drafted((*turn).keepAgreed)},
	pressLate:    {do: comesLate},

	pressSaidPrice: {do: stands(pressSaidPrice)},
	pressSaidTime:  {do: stands(pressSaidTime)},
	pressSaidGo:    {do: stands(pressSaidGo)},

	pressSaidSum:    {do: drafted((*turn).takeWritten)},
	pressSaidAnyway: {do: drafted((*turn).takeAnyway)},

	pressPutSame:  {do: putsIn(pressPutSame)},
	pressPutMore:  {do: putsIn(pressPutMore)},
	pressPutLeave: {do: putsIn(pressPutLeave)},
}

// ownPressed takes one of the owner's presses about an enquiry. What no longer counts is
// answered with where things stand.
func (t *turn) ownPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	choice, arg, behind := strings.Cut(p.choice, ":")
	if behind {
		choice += ":"
	}
	o, known := ownPresses[choice]
	if choice == pressApprove && e.Stage == Waits && e.Seen != nil { // however old the button is
		o.fresh = false
	}
	if !known || o.in != nil && !slices.Contains(o.in, e.Stage) || o.fresh && p.rev != e.Rev {
		t.staleVisit(c, e)
		return
	}
	o.do(t, c, e, w, arg)
}

// simply is a press that needs no more than the enquiry.
func simply(do func(*turn, *Enquiry)) func(*turn, *Chat, *Enquiry, bot.Tap, string) {
	return func(t *turn, _ *Chat, e *Enquiry, _ bot.Tap, _ string) { do(t, e) }
}

// inChat is a press that changes what the owner is in the middle of.
func inChat(do func(*turn, *Chat, *Enquiry)) func(*turn, *Chat, *Enquiry, bot.Tap, string) {
	return func(t *turn, c *Chat, e *Enquiry, _ bot.Tap, _ string) { do(t, c, e) }
}

// drafted is a press that carries what it was made for.
func drafted(do func(*turn, *Chat, *Enquiry, string, bot.Tap)) func(*turn, *Chat, *Enquiry, bot.Tap, string) {
	return func(t *turn, c *Chat, e *Enquiry, w bot.Tap, arg string) { do(t, c, e, arg, w) }
}

// stands is a press about what he has agreed with a customer himself.
func stands(choice string) func(*turn, *Chat, *Enquiry, bot.Tap, string) {
	return func(t *turn, c *Chat, e *Enquiry, w bot.Tap, _ string) { t.standsPressed(c, e, choice, w) }
}

func approves(t *turn, _ *Chat, e *Enquiry, w bot.Tap, _ string) {
	if e.Seen != nil {
		t.panel(e, t.word(wording.OwnerTheyFirst, wording.Facts{Name: e.Name})) // booking would drop it unsaid
		return
	}
	t.takeOff(w)
	t.approve(e)
}

func arrives(t *turn, c *Chat, e *Enquiry, _ bot.Tap, _ string) {
	if e.working() {
		c.Job = e.ID
		t.showStep(e, 0, "")
		return
	}
	t.arrive(c, e)
}

func makesRegular(t *turn, c *Chat, e *Enquiry, _ bot.Tap, _ string) {
	if e.Every > 0 {
		t.staleVisit(c, e)
		return
	}
	t.offerRegular(e)
}

// writes has the owner write to a customer himself; what they answer is for him, until he
// hands back. Where something they wrote waits for his answer, it is that answer, whichever
// of the buttons he takes, and the desk goes on.
func writes(t *turn, c *Chat, e *Enquiry, w bot.Tap, arg string) {
	their := t.chat(e.Chat)
	if isGuest(e.Chat) || their.Unanswered && !their.Person {
		answers(t, c, e, w, arg)
		return
	}
	their.Person, their.Passed = true, their.Person // who asked for him knows where it goes
	answers(t, c, e, w, arg)
}

func answers(t *turn, c *Chat, e *Enquiry, _ bot.Tap, _ string) {
	if isGuest(e.Chat) { // nobody would get it
		t.tell(c.ID, wording.OwnerReachThem, wording.Facts{Name: e.Name, Day: e.Phone}, []bot.Choice{t.own(e, pressLink)})
		return
	}
	c.Writing, c.Finishing, c.Noting = e.ID, "", ""
	t.tell(c.ID, wording.OwnerAnswer, wording.Facts{Name: e.Name})
}

func opens(t *turn, c *Chat, e *Enquiry, _ bot.Tap, _ string) {
	c.Finishing = ""
	t.opened(c, e)
}

func comesLate(t *turn, c *Chat, e *Enquiry, w bot.Tap, arg string) {
	t.takeOff(w)
	t.beLate(c, e, atoi(arg))
}
