package conversations

import (
	"fmt"
	"slices"
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
	was := make([][]diary.Entry, len(stretches))
	for i, st := range stretches {
		entry := diary.Entry{ID: id, Start: st.Start, End: st.End, Kind: kind, Point: t.wish(e).Point}
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
				d.Entries[i].ID, d.Entries[i].Kind = e.ID, kind
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
	t.unset(CameHold, e)
}
