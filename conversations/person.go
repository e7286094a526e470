package conversations

import (
	"time"

	"example.org/dryhand/conversations/wording"
)

// callPerson tells the owner that somebody wants him, and the customer that he
// has been told.
func (t *turn) callPerson(c *Chat) {
	e := t.current(c)
	if e == nil {
		e = t.begin(c)
	}
	c.Person, c.Passed = true, false
	c.Called = t.now.Truncate(time.Second)
	t.toOwner(wording.OwnerPerson, e, wording.Facts{}, pressWrite, pressHand)
	t.lead(c, t.word(wording.PersonCalled, wording.Facts{Name: c.Name}))
}

// wantsPerson takes a press for a person. The second press of a double press, or
// one from further up, tells the owner nothing new.
func (t *turn) wantsPerson(c *Chat) {
	if c.Person {
		t.lead(c, t.word(wording.PersonKnows, wording.Facts{Name: c.Name}))
		return
	}
	t.callPerson(c)
}

// againAfter is after how long the owner is told once more that somebody waits for him.
const againAfter = 15 * time.Minute

// asksForPerson takes the wish for a person in words. Who has him already is told so, and
// he reads what they wrote; who still waits is called once more after a while.
func (t *turn) asksForPerson(c *Chat, text string) {
	switch {
	case !c.Person:
		t.callPerson(c)
	case c.Awaited:
		c.Passed = true
		t.passOn(c, text)
		c.Awaited = false
		t.tell(c.ID, wording.PersonHere, wording.Facts{})
	case t.now.Sub(c.Called) < againAfter:
		t.lead(c, t.word(wording.PersonKnows, wording.Facts{Name: c.Name}))
	default:
		c.Called = t.now.Truncate(time.Second)
		t.toOwner(wording.OwnerPersonAgain, t.current(c), wording.Facts{}, pressWrite, pressHand)
		t.lead(c, t.word(wording.PersonAgain, wording.Facts{}))
	}
}

// passOn hands the customer's words to the owner. The customer hears once that
// they went to a person.
func (t *turn) passOn(c *Chat, text string) {
	e := t.current(c)
	t.tellBoss(wording.OwnerTheirText, e, text, pressWrite, pressHand)
	if start := t.agreeing(c, e, text); !start.IsZero() {
		t.offerAgreed(e, start)
	} else if t.agreesToOffered(c, e, text) {
		t.offerAgreed(e, e.Offered)
	}
	if !c.Person || !c.Passed {
		c.Person, c.Passed = true, true
		f := wording.Facts{}
		if !e.open() {
			f.Text = t.standing(e)
		}
		t.tell(c.ID, wording.PassedOn, f)
	}
}

// deskAgain gives a chat back to the desk once the job is over and nobody's answer is
// awaited in it. Nothing is said of it: the receipt is the desk's own word.
func (t *turn) deskAgain(c *Chat) {
	c.Person, c.Passed, c.Spoke = false, false, false
}

// toPerson hands over what somebody writes who is with a person. What answers the owner
// after a job is the last that goes past the desk.
func (t *turn) toPerson(c *Chat, e *Enquiry, text string) {
	if t.callsOut(text) {
		c.Passed = true
		t.tell(c.ID, wording.PersonKnows, wording.Facts{Name: c.Name})
	}
	t.passOn(c, text)
	if c.Awaited && e != nil && e.Stage == Done {
		t.deskAgain(c)
	}
	c.Awaited = false
}
