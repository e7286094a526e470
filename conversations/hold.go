package conversations

import (
	"fmt"
	"slices"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// hold keeps a time for an enquiry until the customer has said yes or the hold
// lapses. It reports false if somebody else has it.
func (t *turn) hold(e *Enquiry, s diary.Slot) bool {
	e.Slot = &Span{s.Start, s.End}
	if !t.enter(e, diary.Hold) {
		e.Slot = nil
		return false
	}
	e.Stage = Held
	e.HeldUntil = t.now.Add(time.Duration(t.Rules.Diary.HoldMinutes) * time.Minute)
	t.set(e.HeldUntil, Came{Kind: CameHold, Enquiry: e.ID})
	return true
}

// How long before a hold lapses its customer is told: a quarter of it, within these
// bounds. Whoever is answering just then is left in peace for stillThere, and a hold
// with less than lastCall to go is not worth a word.
const (
	leastWarning = 5 * time.Minute
	mostWarning  = 30 * time.Minute
	stillThere   = 2 * time.Minute
	lastCall     = time.Minute
)

// warnOfLapse has the customer told before a hold lapses, if that is still to come
// when they have been silent for a while. A hold of a few minutes needs no warning.
func (t *turn) warnOfLapse(e *Enquiry) {
	warning := min(mostWarning, max(leastWarning, time.Duration(t.Rules.Diary.HoldMinutes)*time.Minute/4))
	at := e.HeldUntil.Add(-warning)
	if still := t.now.Add(stillThere); at.Before(still) {
		at = still
	}
	if at.After(e.HeldUntil.Add(-lastCall)) || time.Duration(t.Rules.Diary.HoldMinutes)*time.Minute < 2*leastWarning {
		t.unset(CameLapsing, e)
		return
	}
	t.set(at, Came{Kind: CameLapsing, Enquiry: e.ID})
}

// lapsing tells a customer that a time is kept for some minutes more, with the
// question that is left: never afterwards, and not at hours at which nobody wants to
// hear of it.
func (t *turn) lapsing(e *Enquiry) {
	left := e.HeldUntil.Sub(t.now)
	if e.Stage != Held || left < lastCall || !t.setting().Serviceable(t.now).Equal(t.now) {
		return
	}
	said := len(t.out.Say)
	t.put(e, t.word(wording.HoldLapsing, wording.Facts{When: t.Words.Moment(e.Slot.Start.In(t.Zone)), Minutes: int(left.Round(time.Minute).Minutes())}))
	for i := range t.out.Say[said:] {
		t.out.Say[said+i].NotAfter = e.HeldUntil
	}
}

// enter writes an enquiry's time into the diary, over what stood there for it. It
// reports false, with nothing changed, if the time is somebody else's.
func (t *turn) enter(e *Enquiry, kind string) bool { return t.occupy(e, e.ID, *e.Slot, kind) }

// occupy writes a time into the diary under a name, into the document of each day
// it takes part of. It reports false, with nothing changed, if any of it is
// somebody else's.
func (t *turn) occupy(e *Enquiry, id string, s Span, kind string) bool {
	stretches := t.diaryRules().Stretches(s.Start, s.End)
	was := make([][]diary.Entry, len(stretches))
	for i, st := range stretches {
		entry := diary.Entry{ID: id, Start: st.Start, End: st.End, Kind: kind, Point: t.wish(e).Point}
		if id != e.ID {
			entry.For = e.ID
		}
		was[i] = t.day(st.Date).Entries
		if !t.day(st.Date).Place(entry) {
			for j, done := range stretches[:i] {
				t.day(done.Date).Entries = was[j]
			}
			return false
		}
	}
	return true
}

// datesOf are all local days a time touches, the ones between on which there
// is no work among them: the working hours may have changed since it was written
// down.
func (t *turn) datesOf(s Span) []string {
	return diary.Entry{Start: s.Start, End: s.End}.Dates(t.Zone)
}

// vacate takes a time out of the diary, out of every day it may stand on.
func (t *turn) vacate(id string, s Span) {
	for _, date := range t.datesOf(s) {
		t.day(date).Remove(id)
	}
}

// mustEnter says of a time that stands in the diary under a name that it is now the
// enquiry's, and of a kind. What it takes of each day stays what it took when it was
// chosen, whatever the hours have become: nobody else can have got it, and what has
// been added to the day may be somebody's.
func (t *turn) mustEnter(e *Enquiry, under, kind string) {
	found := false
	for _, date := range t.datesOf(*e.Slot) {
		d := t.day(date)
		for i, en := range d.Entries {
			if en.ID == under {
				found = true
				d.Entries = slices.Clone(d.Entries)
				d.Entries[i].ID, d.Entries[i].Kind, d.Entries[i].For = e.ID, kind, ""
			}
		}
	}
	if len(t.out.Need) == 0 && !found && !t.enter(e, kind) {
		t.fail(fmt.Errorf("conversations: enquiry %s has a time that the diary gives to somebody else", e.ID))
	}
}

// release gives an enquiry's time back to the diary.
func (t *turn) release(e *Enquiry) {
	if e.Slot == nil {
		return
	}
	t.dropMove(e)
	t.vacate(e.ID, *e.Slot)
	e.Slot = nil
	if e.Stage == Held {
		e.Stage = Asking
	}
	e.HeldUntil = time.Time{}
	t.unset(CameHold, e)
	t.unset(CameLapsing, e)
}
