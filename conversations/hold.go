package conversations

import (
	"fmt"
	"time"

	"example.org/dryhand/conversations/diary"
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
	t.set(t.now.Add(time.Duration(t.Rules.Diary.HoldMinutes)*time.Minute), Came{Kind: CameHold, Enquiry: e.ID})
	return true
}

// enter writes an enquiry's time into the diary, over what stood there for it. It
// reports false, with nothing changed, if the time is somebody else's.
func (t *turn) enter(e *Enquiry, kind string) bool { return t.occupy(e, e.ID, *e.Slot, kind) }

// occupy writes a time into the diary under a name, into the document of each day
// it takes part of. It reports false, with nothing changed, if any of it is
// somebody else's.
func (t *turn) occupy(e *Enquiry, id string, s Span, kind string) bool {
	stretches := t.diaryRules().Stretches(s.Start, s.End)
	for i, st := range stretches {
		entry := diary.Entry{ID: id, Start: st.Start, End: st.End, Kind: kind, Point: t.wish(e).Point}
		if !t.day(st.Date).Place(entry) {
			for _, done := range stretches[:i] {
				t.day(done.Date).Remove(id)
			}
			return false
		}
	}
	return true
}

// vacate takes a time out of the diary, out of every day it may stand on: the
// working hours may have changed since it was written down.
func (t *turn) vacate(id string, s Span) {
	last := diary.Key(s.End.Add(-1), t.Zone)
	for day := s.Start.In(t.Zone); ; day = day.AddDate(0, 0, 1) {
		date := diary.Key(day, t.Zone)
		if date > last {
			return
		}
		t.day(date).Remove(id)
	}
}

// mustEnter is enter for a time that stands in the diary for this enquiry
// already, and so cannot be somebody else's.
func (t *turn) mustEnter(e *Enquiry, kind string) {
	if !t.enter(e, kind) && t.err == nil {
		t.err = fmt.Errorf("conversations: enquiry %s has a time that the diary gives to somebody else", e.ID)
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
	t.unset(CameHold, e)
}
