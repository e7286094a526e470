package conversations

import (
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// Two people have agreed on a time between them while the desk was silent. One tap of the
// owner's keeps it, and the desk asks the customer what is left to ask.

// pressAgreed carries the time, as [slotKey] writes it.
const pressAgreed = "agreed:"

// agreedKept is for how long such a time is kept: the customer may not look before tonight.
const agreedKept = 24 * time.Hour

// agreeing is the moment a customer who is with the owner names to him, one day and hour.
// Zero where they have a time already, or name none.
func (t *turn) agreeing(c *Chat, e *Enquiry, text string) (none time.Time) {
	if !c.Person || !e.open() || e.Slot != nil {
		return none
	}
	return t.momentNamed(e, t.asRead(text))
}

// momentNamed is the moment a text names for the work of an enquiry, one day and hour. Zero
// where it names none, or how long the work takes is not known.
func (t *turn) momentNamed(e *Enquiry, text string) (none time.Time) {
	if e.Quote == nil || t.need(e.Quote) <= 0 {
		return none
	}
	m := when.Read(text, t.saidAt())
	if len(m.Prefer) != 1 || len(m.Doubts)+len(t.unclear(m)) > 0 {
		return none
	}
	return t.momentIn(e, m.Prefer[0])
}

// momentIn is the one moment some times mean for the work of an enquiry, zero if they mean
// several.
func (t *turn) momentIn(e *Enquiry, w diary.Times) (none time.Time) {
	if !toTheQuarter(w) || t.need(e.Quote) <= 0 {
		return none
	}
	if len(w.Weekdays)+len(w.On) != 1 || !w.From.IsZero() {
		return none
	}
	for _, date := range t.horizon() {
		day, err := time.ParseInLocation(time.DateOnly, date, t.Zone)
		if err != nil || !w.HasDay(day.Weekday(), date) {
			continue
		}
		y, mo, d := day.Date()
		start := time.Date(y, mo, d, 0, w.StartFrom+aroundHour, 0, 0, t.Zone)
		if end := start.Add(t.need(e.Quote)); !start.After(t.now) || diary.Key(end, t.Zone) != date {
			return none
		}
		return start
	}
	return none
}

// offerAgreed puts such a time before the owner, with the button that keeps it for them.
// Where the desk cannot book it, he can keep it free.
func (t *turn) offerAgreed(e *Enquiry, start time.Time) {
	if t.Owner == 0 {
		return
	}
	at := t.Words.Moment(start)
	was := ""
	if e.Slot != nil {
		was = t.Words.Moment(e.Slot.Start.In(t.Zone))
	}
	f := wording.Facts{Name: e.Name, When: at, Day: was}
	_, ok := t.freeAt(e, start)
	if taken := false; !ok {
		f.Text, taken = t.whyNot(e, start)
		ok = !taken && f.Text != "" // what he agreed himself he can have all the same
	}
	if ok && e.Quote.Refused == "" {
		row, price := t.agreedRow(e, start)
		k := wording.OwnerAgreedTime
		if e.Quote.NeedSee != "" || price != "" {
			k, f.Price = wording.OwnerAgreedSeen, price
		}
		t.tell(t.Owner, k, f, row)
		return
	}
	end := start.Add(t.need(e.Quote))
	off := "off " + start.Format("2 Jan 15:04") + " to " + end.Format("15:04")
	y, m, d := start.Date()
	b := when.Block{First: time.Date(y, m, d, 0, 0, 0, 0, t.Zone), From: 60*start.Hour() + start.Minute(), To: 60*end.Hour() + end.Minute(), FromSaid: true, ToSaid: true}
	b.Last = b.First
	t.tell(t.Owner, wording.OwnerKeepFree, wording.Facts{Name: e.Name, Text: off}, []bot.Choice{{Label: t.label(wording.LabelKeepFree), Data: press{noEnquiry, 0, pressDesk, deskBlock + blockCode(b)}.data()}})
}

// freeAt is the time that begins then, if it is free for an enquiry.
func (t *turn) freeAt(e *Enquiry, start time.Time) (diary.Slot, bool) {
	for _, s := range t.free(e, time.Time{}) {
		if s.Start.Equal(start) {
			return s, true
		}
	}
	return diary.Slot{}, false
}

// keepAgreed keeps the time and lets the desk go on from there.
func (t *turn) keepAgreed(c *Chat, e *Enquiry, key string, w bot.Tap) {
	key, sums, priced := strings.Cut(key, sumsBehind)
	start, err := time.Parse(slotKey, key)
	likely, most := t.sumsWritten(e)
	waits := e.Stage == Waits && e.Slot != nil
	if err != nil || priced && (e.Stage != Asking || sums != sumsKey(likely, most)) || !waits && (!e.open() || e.Slot != nil) || e.Quote == nil {
		t.staleVisit(c, e)
		return
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), When: t.Words.Moment(start.In(t.Zone))}
	if _, ok := t.freeAt(e, start); !ok {
		if why, taken := t.whyNot(e, start); taken || why == "" {
			t.tell(c.ID, wording.OwnerAgreedGone, f, []bot.Choice{t.own(e, pressWrite)})
			return
		}
	}
	t.takeOff(w)
	if priced {
		t.agreedPrice(e, likely, most)
	}
	if !waits && t.keepSeen(c, e, start) {
		return
	}
	if waits { // the time they asked for before is theirs no longer
		f.Day = t.Words.Moment(e.Slot.Start.In(t.Zone))
		t.reopen(e)
	}
	customer := t.chat(e.Chat)
	customer.Person, customer.Passed = false, false
	if q := t.next(e); q != nil && q.id == askQuote {
		t.takeIn(e, q, []string{choiceDone}, "") // who agrees on a time agrees on the price
	}
	if !t.keepAt(e, start) {
		t.staleVisit(c, e)
		return
	}
	f.Until = t.Words.Moment(e.HeldUntil.In(t.Zone))
	t.put(e, t.word(wording.AgreedHeld, f))
	t.tell(c.ID, wording.OwnerAgreedHeld, f, []bot.Choice{t.own(e, pressWrite)})
}
