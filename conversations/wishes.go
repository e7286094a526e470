package conversations

import (
	"regexp"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// wishesMove takes a wish for another time in a customer's own words, "can we do
// Thursday morning instead", and reports whether it was one. It takes a word for moving
// and a time, or how much later; and where they are choosing, a time alone. "See you on
// Thursday" moves nothing, and half a wish is the boss's to read.
func (t *turn) wishesMove(e *Enquiry, said, text string) bool {
	if t.choseMove(e, Customer, text) {
		return true
	}
	if h := hourInstead.FindStringSubmatch(said); h != nil && e.Slot != nil {
		text = "at " + h[1] + " on " + e.Slot.Start.In(t.Zone).Format("2 January")
	}
	text, from := t.fromTheirs(e, text)
	wanted := from || e.choosing(Customer) && !t.asksElse(text) || t.saysInstead(said) || t.asksOther(e, said, text) || t.movesFrom(e, text)
	if t.languageOf(e.Chat) != "" {
		if text = t.asRead(text); !wanted {
			return false // how much later is read in English
		}
	}
	return t.namesTime(e, Customer, text, wanted, false)
}

// hourInstead is another hour of the same day: "can we do 10 instead of 9".
var hourInstead = regexp.MustCompile(`^(?:[a-z]+ ){0,6}(\d{1,2}(?: \d{2})?(?: ?[ap]m)?) instead(?: of (?:at )?\d{1,2}(?: \d{2})?(?: ?[ap]m)?)?(?: [a-z]+){0,2}$`)

// choseMove takes a text as one of the times a side has to choose from, and reports whether
// it was one.
func (t *turn) choseMove(e *Enquiry, side Side, text string) bool {
	if !e.choosing(side) {
		return false
	}
	table := t.few(e, t.free(e, e.Move.From))
	i := t.fromTable(text, table)
	if i < 0 {
		return false
	}
	if m := when.Read(text, t.saidAt()); side == Owner && len(m.Prefer) == 1 && m.Prefer[0].StartFrom+m.Prefer[0].StartBefore == 0 {
		return false // he is asking what there is that day; their customer would be asked at once
	}
	t.chooseMove(e, side, slotID(table[i]))
	return true
}

// saysInstead tells whether a word for moving is among those said.
func (t *turn) saysInstead(said string) bool {
	return slices.ContainsFunc(t.typed(wording.SayInstead), func(w string) bool {
		return strings.Contains(" "+said+" ", " "+wording.Plain(w)+" ")
	})
}

// namesTime takes a time a side names for a booking, and offers what there is at it.
// Wanted tells that a time is wanted, so that it need not be told from the booking, and
// alone that no other words may stand beside it. It reports whether it was taken.
func (t *turn) namesTime(e *Enquiry, side Side, text string, wanted, alone bool) bool {
	if e.Slot == nil {
		return false
	}
	from := t.toldFrom(e).In(t.Zone)
	m, shifted := when.ReadFrom(t.hourAlone(text), t.saidAt(), from)
	if at := hourBehindDay(text); len(m.Unread) > 0 && at != text {
		m, shifted = when.ReadFrom(at, t.saidAt(), from)
	}
	unclear := t.unclear(m) // which of two days was meant, they see from what is offered
	if len(m.Prefer)+len(unclear) == 0 && m.Only.Any() || !wanted && (!shifted || len(m.Unread) > strayWords) || alone && len(m.Unread) > 0 {
		return false
	}
	if side == Customer && !e.choosing(side) && t.onAnotherDay(e, text) {
		return false
	}
	if e.choosing(side) {
		if same := t.sameDays(e, t.few(e, t.free(e, e.Move.From)), m, text); same != nil {
			m.Prefer = same
		}
	}
	if side == Customer {
		if _, some := t.givesUp(e, m.Prefer); some { // nor is it filled up with what is free that day
			m.Only.NotOn = append(slices.Clone(m.Only.NotOn), diary.Key(e.Slot.Start, t.Zone))
		}
		m.Prefer = t.otherThan(e, text, m.Prefer)
	}
	if e.Stage == Waits { // it is simply chosen again
		e.Times, e.Only, e.Unclear = m.Prefer, bounds(m), unclear
		t.startMove(e, side)
		return true
	}
	if e.choosing(side) {
		e.Move.From = time.Time{}
		e.Rev++
	} else if !t.openMove(e, side) {
		return true
	}
	e.Move.Times, e.Move.Only = m.Prefer, bounds(m)
	lead := ""
	if len(m.Prefer) > 0 && !suited(t.free(e, time.Time{})) {
		lead = t.nothingThen(e, false)
	} else if day, taken := t.takenDay(e, t.free(e, time.Time{})); taken {
		lead = t.word(wording.WishNotDay, wording.Facts{When: t.Words.Date(day)})
	}
	t.offerMove(e, side, lead)
	return true
}

// onAnotherDay tells whether a text says when somebody cannot come, and that is not when
// they are to: "can't make it Friday", and it is on Thursday. Only the boss can tell what
// is meant.
func (t *turn) onAnotherDay(e *Enquiry, text string) bool {
	if e.Slot == nil || t.languageOf(e.Chat) != "" {
		return false
	}
	m := when.Read(text, t.saidAt())
	return len(m.Prefer) == 0 && len(m.Only.Not)+len(m.Only.NotOn) > 0 && m.Only.Has(e.Slot.Start.In(t.Zone), e.Slot.End.In(t.Zone))
}

// strayWords is how many words that say nothing of a time may stand beside "an hour
// later" for it to be a wish to move: "we got home from the coast an hour later than
// we thought" is none.
const strayWords = 3

// toldFrom is the time a booking has, or the one it may move to, from which "an hour
// later" is told.
func (t *turn) toldFrom(e *Enquiry) time.Time {
	if e.Move != nil && e.Move.To != nil {
		return e.Move.To.Start
	}
	return e.Slot.Start
}
