package conversations

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// suits takes what somebody says of when it suits them, and reports whether it
// said anything. What was said before counts no more. From are the times "an hour
// later" may be told from.
func (t *turn) suits(e *Enquiry, text string, from ...time.Time) bool {
	as := t.asRead(text)
	if as != text && len(when.Read(text, t.saidAt()).Unread) == 0 {
		as = text // all of it is a time as it stands: a date, or words in the business's own language
	}
	return t.suitsRead(e, as, text, from...)
}

// suitsRead is suits of a text in the words that are read, and as it was said.
func (t *turn) suitsRead(e *Enquiry, text, said string, from ...time.Time) bool {
	m, _ := when.ReadFrom(text, t.saidAt(), from...)
	m.Prefer = doneByThen(m.Prefer)
	// Of "next weekend" the days of both are offered, to choose from.
	unclear := slices.DeleteFunc(t.unclear(m), func(u Unclear) bool { return len(u.Dates) > 2 && !u.Apart })
	if text != said {
		for i := range unclear {
			unclear[i].Said = said
		}
	}
	if len(m.Prefer)+len(unclear) == 0 && m.Only.Any() {
		e.Struck = slices.Concat(e.Struck, m.Not) // of what was named before
		return len(m.Not) > 0
	}
	t.strike(e, m)
	e.Times, e.Only, e.Unclear = m.Prefer, bounds(m), unclear
	t.needBy(e, m.Ahead)
	t.wholeWithin(e, m)
	return true
}

// strike takes out the times that do not suit. Hours that are named anew are wanted,
// whatever was struck out before.
func (t *turn) strike(e *Enquiry, m when.Meaning) {
	if slices.ContainsFunc(m.Prefer, func(w diary.Times) bool { return w.StartFrom+w.StartBefore > 0 }) {
		e.Struck = nil
	}
	e.Struck = slices.Concat(e.Struck, m.Not)
}

// struck tells whether a time was struck out.
func (t *turn) struck(e *Enquiry, s diary.Slot) bool {
	return slices.ContainsFunc(e.Struck, func(w diary.Times) bool { return w.Has(s.Start.In(t.Zone), s.Ready.In(t.Zone)) })
}

// aheadWords is the day before which it is to be, as it is read; empty where none is.
func (t *turn) aheadWords(e *Enquiry) string {
	day, err := time.ParseInLocation(time.DateOnly, e.Ahead, t.Zone)
	if err != nil {
		return ""
	}
	return t.Words.Date(day)
}

// doneByThen puts the hour by which it is to be done, named by itself, with the days named
// beside it: "is it done by 2? Monday then".
func doneByThen(wishes []diary.Times) []diary.Times {
	alone := slices.IndexFunc(wishes, func(w diary.Times) bool {
		by := w.DoneBy
		w.DoneBy = 0
		return by > 0 && w.Any()
	})
	hours := func(w diary.Times) bool { return w.StartFrom+w.StartBefore+w.DoneBy > 0 }
	if alone < 0 || len(wishes) < 2 || slices.ContainsFunc(slices.Concat(wishes[:alone], wishes[alone+1:]), hours) {
		return wishes
	}
	by := wishes[alone].DoneBy
	wishes = slices.Concat(wishes[:alone], wishes[alone+1:])
	for i := range wishes {
		wishes[i].DoneBy = by
	}
	return wishes
}

// wholeWithin takes "between half nine and two" for hours within which all of the work is to
// be done, if it can be and a time like that is free; else it stays when to begin.
func (t *turn) wholeWithin(e *Enquiry, m when.Meaning) {
	if e.Quote == nil || e.Quote.P80 <= 0 || !slices.ContainsFunc(m.Doubts, func(d when.Doubt) bool { return d.Why == when.StartOrEnd }) {
		return
	}
	begun := e.Times
	e.Times = slices.Clone(begun)
	for i, w := range e.Times {
		if w.StartFrom > 0 && w.StartBefore > w.StartFrom && w.DoneBy == 0 && !toTheQuarter(w) {
			e.Times[i].DoneBy, e.Times[i].StartBefore = w.StartBefore-1, 0
		}
	}
	if !suited(t.free(e, time.Time{})) {
		e.Times = begun
	}
}

// needBy remembers the day by which a car is needed, and the one ahead of which it is where
// that was said, and keeps to it when a time is named later on that may lie before it.
func (t *turn) needBy(e *Enquiry, ahead time.Time) {
	if e.Only != nil && !e.Only.To.IsZero() || !ahead.IsZero() {
		e.Ahead = ""
	}
	if !ahead.IsZero() {
		e.Ahead = diary.Key(ahead, t.Zone)
	}
	if e.Only != nil && !e.Only.To.IsZero() {
		e.Needed = lastDay(e.Only.To.In(t.Zone))
		return
	}
	day, err := time.ParseInLocation(time.DateOnly, e.Needed, t.Zone)
	if err != nil {
		return
	}
	end := day.AddDate(0, 0, 1)
	beyond := func(w diary.Times) bool {
		return !w.From.IsZero() && !w.From.Before(end) || slices.ContainsFunc(w.On, func(d string) bool { return d > e.Needed })
	}
	if slices.ContainsFunc(e.Times, beyond) || e.Only != nil && beyond(*e.Only) {
		return
	}
	if e.Only == nil {
		e.Only = &diary.Times{}
	}
	e.Only.To = end
}

// widen lets the hour go that was named, and then the day, where nothing is free at it any
// more: that it is not has been said.
func (t *turn) widen(e *Enquiry) {
	if len(e.Times) == 0 || suited(t.free(e, time.Time{})) {
		return
	}
	e.Times = slices.Clone(e.Times)
	for i := range e.Times {
		e.Times[i].StartFrom, e.Times[i].StartBefore, e.Times[i].DoneBy = 0, 0, 0
	}
	if slices.ContainsFunc(e.Times, diary.Times.Any) || !suited(t.free(e, time.Time{})) {
		e.Times = nil
	}
}

// lastDay is the day before the moment by which a car has to be back.
func lastDay(to time.Time) string { return to.Add(-time.Minute).Format(time.DateOnly) }

// neededWords is that day as it is read.
func (t *turn) neededWords(e *Enquiry) string {
	day, err := time.ParseInLocation(time.DateOnly, e.Needed, t.Zone)
	if err != nil {
		return ""
	}
	return t.Words.Date(day)
}

// tooLate tells whether the car is needed before any of these times would be over.
func (t *turn) tooLate(e *Enquiry, free []diary.Slot) bool {
	return e.Needed != "" && !slices.ContainsFunc(free, func(s diary.Slot) bool { return diary.Key(s.Ready, t.Zone) <= e.Needed })
}

// letNamed lets go of the day by which the car is needed where a time that was named is
// only free after it: they know best by when they need it.
func (t *turn) letNamed(e *Enquiry) {
	if len(e.Times) == 0 || e.Only == nil || e.Only.To.IsZero() || suited(t.free(e, time.Time{})) {
		return
	}
	kept, only := e.Only, *e.Only
	only.To = time.Time{}
	if e.Only = &only; only.Any() {
		e.Only = nil
	}
	if !suited(t.free(e, time.Time{})) {
		e.Only = kept
	}
}

// loosen lets a bound go that leaves no time at all: the last day first, and then the rest.
func (t *turn) loosen(e *Enquiry) {
	if e.Only == nil {
		return
	}
	only := *e.Only
	only.To = time.Time{}
	if e.Only = &only; only.Any() || len(t.free(e, time.Time{})) == 0 {
		e.Only = nil
	}
}

// bounds are those that a meaning sets, nil for none.
func bounds(m when.Meaning) *diary.Times {
	if m.Only.Any() {
		return nil
	}
	return &m.Only
}

// answerWish says whether there is anything that suits what was said. What is still
// unclear of it is asked first.
func (t *turn) answerWish(e *Enquiry) string {
	if t.doubtful(e) != nil {
		return ""
	}
	t.letNamed(e)
	free := t.free(e, e.From)
	if len(free) == 0 && e.Only != nil {
		t.loosen(e)
		if t.tooLate(e, t.free(e, e.From)) {
			return "" // that is said over the times there are
		}
		return t.word(wording.WishTaken, wording.Facts{})
	}
	if _, taken := t.takenDay(e, free); taken || suited(free) && len(t.few(e, free)) == 1 {
		return "" // it is named in the question
	}
	if suited(free) || len(e.Times) == 0 && len(free) > 0 {
		return t.fitsWords(e, free)
	}
	return "" // that there is nothing then stands over the times there are
}

// fitsWords says over times that they are what was asked for, before which day they all
// are, and that there is no work on some of the days that were named.
func (t *turn) fitsWords(e *Enquiry, free []diary.Slot) string {
	f := wording.Facts{Text: t.closedDays(e)}
	if e.Only != nil && diary.Key(e.Only.To, t.Zone) == e.Ahead {
		f.When = t.aheadWords(e)
	}
	switch {
	case f.When != "" && !t.tooLate(e, free):
		return t.word(wording.WishBefore, f)
	case f.Text != "":
		return t.word(wording.WishOpenOf, f)
	}
	return t.word(wording.WishFits, f)
}

// closedDays are the days of the week that were named and on which there never is any work,
// as they are read.
func (t *turn) closedDays(e *Enquiry) string {
	var closed []string
	for _, d := range week {
		if len(t.Rules.Diary.On(d)) == 0 && slices.ContainsFunc(e.wished(), func(w diary.Times) bool { return namesDay(w, d) }) {
			closed = append(closed, t.Words.Day(d))
		}
	}
	return strings.Join(closed, ", ")
}

// onlyClosed tells whether days were named, and there never is any work on any of them.
func (t *turn) onlyClosed(e *Enquiry) bool {
	return t.closedDays(e) != "" && !slices.ContainsFunc(e.wished(), func(w diary.Times) bool {
		return !slices.ContainsFunc(week[:], func(d time.Weekday) bool { return namesDay(w, d) }) ||
			slices.ContainsFunc(week[:], func(d time.Weekday) bool { return len(t.Rules.Diary.On(d)) > 0 && namesDay(w, d) })
	})
}

// namesDay tells whether some times name a day of the week, by itself, by a date or in a
// weekend; a week names none of its days.
func namesDay(w diary.Times, d time.Weekday) bool {
	const weekend = 2 * 25 * time.Hour
	if len(w.Weekdays)+len(w.On) == 0 && !w.From.IsZero() && w.To.Sub(w.From) <= weekend {
		for day := w.From; day.Before(w.To); day = day.AddDate(0, 0, 1) {
			if day.Weekday() == d {
				return true
			}
		}
	}
	dated := func(on string) bool {
		at, err := time.Parse(time.DateOnly, on)
		return err == nil && at.Weekday() == d
	}
	return len(w.On) == 0 && slices.Contains(w.Weekdays, d) || slices.ContainsFunc(w.On, dated)
}

// nothingThen says that nothing is free when it was wanted, and why, where it is for the
// hours we work or for the day by which it is needed.
func (t *turn) nothingThen(e *Enquiry, late bool) string {
	f := wording.Facts{Hours: showHours(t.Words, t.Rules), Until: t.neededWords(e)}
	switch {
	case late:
		return t.word(wording.WishTooSoon, f)
	case t.endsLate(e) != "":
		return t.endsLate(e)
	case t.onlyClosed(e):
		f.Text = t.closedDays(e)
		return t.word(wording.WishClosed, f)
	case t.neverThen(e):
		return t.word(wording.WishHours, f)
	}
	return t.word(wording.WishTaken, f)
}

// takenDay is the coming one of the only day of the week that was named, where nothing is
// free on it at the hours named, though it could still be booked; false if there is none.
func (t *turn) takenDay(e *Enquiry, free []diary.Slot) (day time.Time, ok bool) {
	wished, from := e.wished(), e.From
	if e.Move != nil {
		from = e.Move.From
	}
	if !from.IsZero() || len(wished) != 1 || len(wished[0].Weekdays) != 1 || len(wished[0].On) > 0 {
		return day, false
	}
	first := slices.IndexFunc(free, func(s diary.Slot) bool { return s.Fits })
	date := t.comingOn(wished[0], t.need(e.Quote))
	if first < 0 || date == "" {
		return day, false
	}
	day, err := time.ParseInLocation(time.DateOnly, date, t.Zone)
	return day, err == nil && diary.Key(free[first].Start, t.Zone) > date
}

// nearTo are the times nearest to what was named for a day it cannot be had on: on that
// day, at that hour on the days about it, and the same again as soon as it can be had.
func (t *turn) nearTo(e *Enquiry, free []diary.Slot, day time.Time) []diary.Slot {
	w := e.wished()[0]
	w.Weekdays = nil
	var out, onDay, about []diary.Slot
	for _, s := range free {
		switch {
		case diary.Key(s.Start, t.Zone) == diary.Key(day, t.Zone):
			onDay = append(onDay, s)
		case w.Has(s.Start, s.Ready):
			about = append(about, s)
		}
	}
	if len(onDay) > 0 {
		wanted := day.Add(time.Duration(max(w.StartFrom, 12*60)) * time.Minute)
		if w.StartBefore > 0 {
			wanted = day.Add(time.Duration(w.StartFrom+w.StartBefore) / 2 * time.Minute)
		}
		out = append(out, slices.MinFunc(onDay, func(a, b diary.Slot) int {
			return cmp.Compare(a.Start.Sub(wanted).Abs(), b.Start.Sub(wanted).Abs())
		}))
	}
	out = append(out, diary.Nearest(about, day, offered-1-len(out))...)
	again := free[slices.IndexFunc(free, func(s diary.Slot) bool { return s.Fits })]
	if !slices.ContainsFunc(out, func(s diary.Slot) bool { return s.Start.Equal(again.Start) }) {
		out = append(out, again)
	}
	slices.SortFunc(out, func(a, b diary.Slot) int { return a.Start.Compare(b.Start) })
	return out
}

// neverThen tells whether hours were named, and this work begins at none of them on any
// day.
func (t *turn) neverThen(e *Enquiry) bool {
	wished := e.wished()
	if len(wished) == 0 {
		return false
	}
	free := t.free(e, time.Time{})
	for _, w := range wished {
		if w.StartFrom+w.StartBefore+w.DoneBy == 0 {
			return false
		}
		hours := diary.Times{StartFrom: w.StartFrom, StartBefore: w.StartBefore, DoneBy: w.DoneBy}
		if slices.ContainsFunc(free, func(s diary.Slot) bool { return hours.Has(s.Start.In(t.Zone), s.Ready.In(t.Zone)) }) {
			return false
		}
	}
	return true
}

// latest are the last times of each day.
func (t *turn) latest(free []diary.Slot) (out []diary.Slot) {
	for i, s := range free {
		if i+1 == len(free) || diary.Key(free[i+1].Start, t.Zone) != diary.Key(s.Start, t.Zone) {
			out = append(out, s)
		}
	}
	return out
}
