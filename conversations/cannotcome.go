package conversations

import (
	"regexp"
	"slices"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// Who is ill, or says that something has come up, has not said what is to become of the
// visit: they are shown other times, and calling it off beside them. Nothing changes until
// they choose.

// cannotCome takes a customer's word that they cannot come when they are to, "im ill, cant
// make tomorrow", and reports whether it was one. The owner reads their words.
func (t *turn) cannotCome(c *Chat, e *Enquiry, text string) bool {
	moving := e.Move != nil && e.Move.To != nil // another time is asked for already: the owner's to read
	if e.Slot == nil || e.Stage != Booked && e.Stage != Waits || moving || !t.saysCannot(e, text) {
		return false
	}
	if t.atTheCar(e) {
		t.passOn(c, text)
		return true
	}
	t.tellBoss(wording.OwnerTheirText, e, text, pressAnswer)
	lead := t.word(wording.CannotCome, wording.Facts{})
	if e.Stage == Waits { // their request stands until they say which
		t.tell(c.ID, wording.CannotComeAsked, t.visitFacts(e), t.visitRow(e))
		return true
	}
	m := when.Read(t.asRead(text), t.saidAt())
	if len(m.Prefer) > 0 && !t.meansTheirs(e, text) {
		return t.namesTime(e, Customer, t.asRead(text), true, false)
	}
	if !t.openMove(e, Customer) {
		return true
	}
	e.Move.Off = true
	e.Move.Only = t.notThen(e, m)
	if len(t.free(e, time.Time{})) == 0 {
		e.Move.Only = nil
	}
	t.offerMove(e, Customer, lead)
	return true
}

// saysCannot tells whether a text says that somebody cannot come to a visit, in so many
// words or by naming its time as one that does not suit.
func (t *turn) saysCannot(e *Enquiry, text string) bool {
	said := wording.Plain(text)
	if t.onAnotherDay(e, text) || t.speaksOf(said, wording.SayWhatIf) || t.callsOff(said) && !t.saysCantMake(said) {
		return false
	}
	if t.saysCantMake(said) || !t.isQuestion(text) && t.speaksOf(said, wording.SayUnwell) {
		return true
	}
	only := when.Read(t.asRead(text), t.saidAt()).Only
	return len(only.Not)+len(only.NotOn) > 0 && !only.Has(e.Slot.Start.In(t.Zone), e.Slot.End.In(t.Zone)) && !t.saysInstead(said)
}

// saysCantMake tells whether "can't make it" is said, in one of its ways.
func (t *turn) saysCantMake(said string) bool { return t.speaksOf(said, wording.SayCantCome) }

// notThen bounds the times that are shown to who cannot come: those they named are left
// out, and where they named none, the whole day and what is before it.
func (t *turn) notThen(e *Enquiry, m when.Meaning) *diary.Times {
	if only := bounds(m); only != nil {
		return only
	}
	y, mo, d := e.Slot.Start.In(t.Zone).Date()
	return &diary.Times{From: time.Date(y, mo, d+1, 0, 0, 0, 0, t.Zone)}
}

// asksOther tells whether a text asks for another time than a visit has, and for nothing
// else: "can we do next friday", "same time next week?".
func (t *turn) asksOther(e *Enquiry, said, text string) bool {
	same := t.speaksOf(said, wording.SaySameTime)
	if e.Slot == nil || !same && !t.onlyTimes(text) || t.meansTheirs(e, text) && !t.nextIsOther(e, text) {
		return false
	}
	return same || t.speaksOf(said, wording.SayHowAbout) || t.speaksOf(said, wording.SayCanYouDo)
}

// nextIsOther tells whether a text names a day that may be that of a visit or a later one:
// who asks for it has theirs already, and means the other.
func (t *turn) nextIsOther(e *Enquiry, text string) bool {
	date := diary.Key(e.Slot.Start, t.Zone)
	return slices.ContainsFunc(t.unclear(when.Read(t.asRead(text), t.saidAt())), func(u Unclear) bool {
		return slices.Contains(u.Dates, date) && len(u.Dates) > 1
	})
}

// givesUp are the times somebody names who has one already, without those that are theirs
// where they name others beside them, and whether there were any: "Monday instead of
// Friday", and it is on Friday.
func (t *turn) givesUp(e *Enquiry, named []diary.Times) (out []diary.Times, some bool) {
	start, end := e.Slot.Start.In(t.Zone), e.Slot.End.In(t.Zone)
	for _, w := range named {
		theirs := w
		theirs.To, theirs.DoneBy = time.Time{}, 0 // these are about its end
		if !theirs.Has(start, end) {
			out = append(out, w)
			continue
		}
		other := func(d time.Weekday) bool { return d != start.Weekday() }
		if some = true; len(w.On) == 0 && slices.ContainsFunc(w.Weekdays, other) {
			w.Weekdays = slices.DeleteFunc(slices.Clone(w.Weekdays), func(d time.Weekday) bool { return !other(d) })
			out = append(out, w)
		}
	}
	if len(out) == 0 {
		return slices.Clone(named), false
	}
	return out, some
}

// dayToDay is a day of the week that is changed for what follows.
var dayToDay = regexp.MustCompile(`(?i)\b(?:from )?((?:mon|tue|wed|thu|fri|sat|sun)[a-z]*) (?:to|for) `)

// fromTheirs is a text that changes the day of a visit for another, without that day, which
// would be read as the first of several: "can I change Friday to Monday". It reports whether
// it was one.
func (t *turn) fromTheirs(e *Enquiry, text string) (string, bool) {
	at := dayToDay.FindStringSubmatchIndex(text)
	if at == nil || e.Slot == nil || t.languageOf(e.Chat) != "" || !t.speaksOf(wording.Plain(text[:at[0]]), wording.SayMoveTo) {
		return text, false
	}
	from := when.Read(text[at[2]:at[3]], t.saidAt())
	if len(from.Prefer) != 1 || !from.Prefer[0].Has(e.Slot.Start.In(t.Zone), e.Slot.End.In(t.Zone)) {
		return text, false
	}
	return text[:at[0]] + text[at[1]:], true
}

// movesFrom tells whether a text says to move from the time of a visit to another, and
// little else: "can I change Friday to Monday".
func (t *turn) movesFrom(e *Enquiry, text string) bool {
	if e.Slot == nil || !t.speaksOf(wording.Plain(text), wording.SayMoveTo) {
		return false
	}
	m := when.Read(t.asRead(text), t.saidAt())
	_, some := t.givesUp(e, m.Prefer)
	return some && len(m.Unread) <= strayWords
}

// otherThan are the times somebody names who has one already: not the day they have, where
// it may be a later one, and at the same hour where they say so.
func (t *turn) otherThan(e *Enquiry, text string, named []diary.Times) []diary.Times {
	start := t.toldFrom(e).In(t.Zone)
	date := diary.Key(start, t.Zone)
	same := t.speaksOf(wording.Plain(text), wording.SaySameTime)
	const around = 15 // minutes to either side of an hour that is named
	out, _ := t.givesUp(e, named)
	for i := range out {
		w := &out[i]
		if len(w.On) > 1 {
			w.On = slices.DeleteFunc(slices.Clone(w.On), func(d string) bool { return d == date })
		}
		if !same || w.StartFrom+w.StartBefore > 0 {
			continue
		}
		at := 60*start.Hour() + start.Minute()
		w.StartFrom, w.StartBefore = max(0, at-around), at+around+1
		if len(w.On)+len(w.Weekdays) == 0 { // "next week"
			w.Weekdays = []time.Weekday{start.Weekday()}
		}
	}
	return out
}
