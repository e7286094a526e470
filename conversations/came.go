package conversations

import (
	"errors"

	"example.org/dryhand/conversations/wording"
)

// errUnknownKind is of a moment that a newer release asked for, before somebody went back to
// this one. It is set aside for a person; finished without a word, nobody would hear of it.
// What it says of itself is not repeated: it may be anything.
var errUnknownKind = errors.New("conversations: a moment of a kind this release does not know")

// came answers a moment that was asked for. The words are made now, from the
// state of now: what has lost its sense says nothing.
func (t *turn) came(w Came) {
	if w.Kind == CameEvening {
		t.evening(w.Day)
		return
	}
	if _, ok := kindOf(w.Kind); !ok {
		t.fail(errUnknownKind)
		return
	}
	e := t.enquiry(w.Enquiry)
	if w.Kind == CameHands {
		t.handsDue()
		return
	}
	if e == nil {
		return
	}
	switch w.Kind {
	case CamePhoto: // comes with what was measured, see measured
	case CameAlbum:
		t.albumQuiet(e)
	case CameHold:
		t.lapsed(e)
	case CameLapsing:
		t.lapsing(e)
	case CameAsk:
		t.unanswered(e)
	case CameJob:
		if e.working() {
			t.over(e)
		} else if e.Stage == Booked {
			t.toOwner(wording.OwnerJobEnd, e, wording.Facts{}, pressDone, pressWrite)
		}
	case CameNudge:
		t.nudge(e)
	case CameCare:
		t.care(e)
	case CameVisit:
		t.visitSoon(e, w.Say)
	case CameQuote:
		t.quoteOpen(e)
	case CameMove:
		t.moveUnanswered(e)
	case CameDeposit:
		t.depositCame(e)
	case CameBegin:
		t.begins(e)
	case CameShots:
		t.shotsQuiet(e)
	case CameClock:
		t.ring(e, w.Clock)
	case CameOver:
		t.over(e)
	case CameAbsent:
		t.stillAbsent(e)
	case CameUnpaid:
		t.unpaid(e)
	case CameSnag:
		t.snagDue(e)
	case CameClear:
		t.clear(e)
	default:
		t.fail(errUnknownKind) // it has a row, and no answer
	}
}

// unanswered reminds the owner once, then gives the time back and tells the
// customer.
func (t *turn) unanswered(e *Enquiry) {
	if e.Stage != Waits {
		return
	}
	if t.now.Before(e.From) {
		t.set(e.From, Came{Kind: CameAsk, Enquiry: e.ID})
		t.toOwner(wording.OwnerAskAgain, e, wording.Facts{Until: t.Words.Moment(e.From.In(t.Zone))}, pressApprove, pressAdjust, pressDecline, pressWrite)
		return
	}
	when := t.Words.Moment(e.Slot.Start.In(t.Zone))
	t.toOwner(wording.OwnerLapsed, e, wording.Facts{}, pressWrite)
	money := t.moneyWaits(e)
	e.Refused = append(e.Refused, *e.Slot) // who is sorry for it does not offer it first
	t.reopen(e)
	t.put(e, t.word(wording.AskLapsed, wording.Facts{When: when, Name: e.Name, Money: money}))
}
