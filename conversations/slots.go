package conversations

import (
	"slices"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// offered is how many times are offered at once: few enough to choose from with
// one thumb.
const offered = 4

// horizon are the local days a time may be chosen from, by date.
func (t *turn) horizon() []string {
	return diary.Keys(t.now, t.Zone, t.Rules.Diary.HorizonDays+1)
}

// free are the times that could be offered for an enquiry, from a moment on. What
// it has itself is no neighbour to be beside, and none of the day's jobs: it would
// be gone. So a new time may take some of the old one, but only at an hour that was
// asked for: half an hour later is no other time for somebody who cannot come that
// morning.
func (t *turn) free(e *Enquiry, from time.Time) []diary.Slot {
	w := t.wish(e)
	w.From = from
	free := slices.DeleteFunc(t.book().Free(w), func(s diary.Slot) bool {
		return t.struck(e, s) || slices.ContainsFunc(e.Refused, func(r Span) bool { return s.Start.Before(r.End) && r.Start.Before(s.End) })
	})
	if e.Stage != Booked || e.Slot == nil {
		return free
	}
	return slices.DeleteFunc(free, func(s diary.Slot) bool {
		over := s.Start.Before(e.Slot.End) && e.Slot.Start.Before(s.End)
		return over && (!e.named() || !namedHour(e, s) || s.Start.Equal(e.Slot.Start))
	})
}

// book is the diary opened at today.
func (t *turn) book() *diary.Book {
	horizon := t.horizon()
	days := make([]diary.Day, 0, len(horizon))
	for _, date := range horizon {
		days = append(days, *t.day(date))
	}
	return diary.NewBook(days, t.diaryRules(), t.now)
}

// wish is what an enquiry asks of the diary.
func (t *turn) wish(e *Enquiry) diary.Wish {
	w := diary.Wish{Instead: e.ID, Need: t.need(e.Quote), Dry: time.Duration(e.Quote.Dry) * time.Minute, Outdoor: outdoor(e), Spread: e.Spread}
	// Long drying is for the night: in the unit, or where the car lives anyway.
	const longDrying = 4 * time.Hour
	w.Overnight = w.Dry > longDrying
	if !atTheirs(t, e) {
		w.Point = t.base()
	} else {
		if e.Place != nil {
			w.Point = diary.Point{Lat: e.Place.Lat, Lon: e.Place.Lon, Within: e.Place.Within}
		}
		if away := t.Rules.Diary.AwayHours; away != nil {
			w.Allowed = hours(away)
		}
	}
	only := e.Only
	if w.Prefer = e.wished(); e.named() {
		only = e.Move.Only
	}
	if only != nil {
		w.Only = *only
	}
	return w
}

// named tells whether a time was named for the move of a booking.
func (e *Enquiry) named() bool { return e.Move != nil && (len(e.Move.Times) > 0 || e.Move.Only != nil) }

// wished are the times that were named for what is being looked for.
func (e *Enquiry) wished() []diary.Times {
	if e.named() {
		return e.Move.Times
	}
	return e.Times
}

// outdoor tells whether the work is done under the sky.
func outdoor(e *Enquiry) bool {
	return e.answer(askSite) == "theirs" && e.answer(askSurface) != "garage"
}

func putSlot(t *turn, e *Enquiry) prompt {
	if u := t.doubtful(e); u != nil {
		return t.putUnclear(u)
	}
	t.letNamed(e)
	free := t.free(e, e.From)
	if len(free) == 0 && !e.From.IsZero() {
		e.From = time.Time{}
		free = t.free(e, e.From)
	}
	if len(free) == 0 && e.Only != nil {
		t.loosen(e)
		free = t.free(e, e.From)
	}
	if len(free) == 0 && len(e.Struck) > 0 {
		e.Struck = nil
		free = t.free(e, e.From)
	}
	if len(free) == 0 {
		return t.putNoRoom(e)
	}
	p := prompt{options: t.offer(e, free)}
	p.text = t.slotText(e, free, p.options)
	other := t.choose(choiceOther, wording.LabelOtherDays)
	other.own = true
	p.options = append(p.options, other)
	return p
}

// slotText asks which of some times suits, and says what of that which was wanted is not
// among them, and that the price stands for those that lie beyond its day.
func (t *turn) slotText(e *Enquiry, free []diary.Slot, offers []option) string {
	f := wording.Facts{Hours: t.lengthOf(t.need(e.Quote)), Until: t.Words.Date(e.Quote.Until.In(t.Zone))}
	text := t.word(wording.AskSlot, f)
	if late := t.tooLate(e, free) && e.From.IsZero(); late || len(e.Times) > 0 && !suited(free) {
		text = t.nothingThen(e, late) + "\n\n" + text
	} else if day, taken := t.takenDay(e, free); taken {
		text = t.word(wording.WishNotDay, wording.Facts{When: t.Words.Date(day)}) + "\n\n" + text
	} else if len(offers) == 1 {
		f.When = offers[0].label
		text = t.word(wording.AskOneSlot, f)
	}
	last, err := time.Parse(slotKey, offers[len(offers)-1].key)
	if err == nil && !isGuest(e.Chat) && diary.Key(last, t.Zone) > diary.Key(e.Quote.Until, t.Zone) {
		text += "\n\n" + t.word(wording.PriceHolds, f)
	}
	return text
}

// suited tells whether one of these times is what was asked for.
func suited(free []diary.Slot) bool {
	return slices.ContainsFunc(free, func(s diary.Slot) bool { return s.Fits })
}

// few are those of many times that are worth showing: those the customer asked
// for, or else those on the days they named, or else those nearest to a date they
// named.
func (t *turn) few(e *Enquiry, free []diary.Slot) []diary.Slot {
	if w := e.wished(); len(w) > 0 && !suited(free) && !slices.ContainsFunc(w, func(w diary.Times) bool {
		return w.StartFrom == 0 || len(w.Weekdays) == 1 || len(w.On) > 0 || !w.From.IsZero()
	}) {
		free = t.latest(free) // nearest to "after five"
	}
	if day, taken := t.takenDay(e, free); taken {
		return t.nearTo(e, free, day)
	}
	if of := t.onTheDay(e, free); len(of) > 0 {
		return of
	}
	for _, like := range []func(diary.Slot) bool{
		func(s diary.Slot) bool { return s.Fits },
		func(s diary.Slot) bool { return onNamedDay(e, s) },
	} {
		if fit := slices.DeleteFunc(slices.Clone(free), func(s diary.Slot) bool { return !like(s) }); len(fit) > 0 {
			if two := t.ofTwoDays(e, fit); two != nil {
				return two
			}
			return diary.Offer(fit, offered)
		}
	}
	if day, ok := t.namedDate(e); ok {
		return diary.Nearest(free, day, offered)
	}
	return diary.Offer(free, offered)
}

// onNamedDay tells whether a slot is on a day that was named, whatever the hour.
func onNamedDay(e *Enquiry, s diary.Slot) bool {
	return slices.ContainsFunc(e.wished(), func(w diary.Times) bool {
		w.StartFrom, w.StartBefore, w.DoneBy = 0, 0, 0
		return !w.Any() && w.Has(s.Start, s.Ready)
	})
}

// namedHour tells whether a slot is at an hour that was named for a move.
func namedHour(e *Enquiry, s diary.Slot) bool {
	return slices.ContainsFunc(e.Move.Times, func(w diary.Times) bool {
		return w.StartFrom+w.StartBefore+w.DoneBy > 0 && w.Has(s.Start, s.Ready)
	})
}

// namedDate is the first date that was named for an enquiry, false if none was.
func (t *turn) namedDate(e *Enquiry) (first time.Time, ok bool) {
	for _, w := range e.wished() {
		dates := w.On
		if len(dates) == 0 && len(w.Weekdays) == 1 && t.onlyClosed(e) {
			dates = []string{t.nextDay(e, w.Weekdays[0])}
		}
		if !w.From.IsZero() {
			dates = append(slices.Clone(dates), diary.Key(w.From, t.Zone))
		}
		for _, date := range dates {
			if day, err := time.ParseInLocation(time.DateOnly, date, t.Zone); err == nil && (!ok || day.Before(first)) {
				first, ok = day, true
			}
		}
	}
	return first, ok
}

// offer are the few of many times that are worth showing.
func (t *turn) offer(e *Enquiry, free []diary.Slot) []option {
	var out []option
	for _, s := range t.few(e, free) {
		start := s.Start.In(t.Zone)
		label := t.Words.Moment(start)
		if s.Days > 1 {
			label = t.word(wording.SeveralDays, wording.Facts{When: label, Count: s.Days})
		}
		o := option{key: start.UTC().Format(slotKey), label: label, own: true}
		for _, w := range t.hears() {
			o.typed = append(o.typed, w.Moment(start), w.Date(start))
		}
		out = append(out, o)
	}
	return out
}

// slotKey is how a button names a moment, in UTC.
const slotKey = "20060102T1504"

// isSlot tells whether a choice names a moment.
func isSlot(choice string) bool {
	_, err := time.Parse(slotKey, choice)
	return err == nil
}

// tookSlot keeps the chosen time for a while, or looks further on.
func tookSlot(t *turn, e *Enquiry) string {
	choice := e.answer(askSlot)
	if choice == choiceOther {
		t.untake(e)
		e.From = t.lastOffered(e)
		if e.Only != nil && len(t.free(e, e.From)) == 0 {
			t.loosen(e) // whoever wants later days may have them
		}
		if len(e.Times) > 0 && !suited(t.free(e, e.From)) {
			e.Times = nil // none of those that were named is left
		}
		return ""
	}
	if choice == choiceHour && len(e.Unclear) > 0 && e.Unclear[0].Slot != "" {
		t.untake(e)
		e.From = time.Time{}
		t.suitsRead(e, "at "+e.Unclear[0].Phrase, e.Unclear[0].Phrase)
		return t.answerWish(e)
	}
	if choice == choiceWish || t.clearedUp(e, choice) {
		t.untake(e)
		e.From = time.Time{}
		return t.answerWish(e)
	}
	if words, ok := t.tookWay(e, choice); ok {
		return words
	}
	start, err := time.Parse(slotKey, choice)
	if err != nil {
		t.untake(e)
		return t.word(wording.NotFollowed, wording.Facts{})
	}
	for _, s := range t.free(e, time.Time{}) {
		if s.Start.Equal(start) && t.hold(e, s) {
			e.Unclear = nil
			return t.word(wording.SlotHeld, wording.Facts{When: t.Words.Moment(start.In(t.Zone)), Minutes: t.Rules.Diary.HoldMinutes})
		}
	}
	t.untake(e)
	return t.word(wording.SlotTaken, wording.Facts{When: t.Words.Moment(start.In(t.Zone))})
}

// untake leaves the question of the time open again.
func (t *turn) untake(e *Enquiry) {
	delete(e.Answers, askSlot)
	e.Trail = e.Trail[:len(e.Trail)-1]
}

// lastOffered is the day after the latest time on the buttons, from which to
// look further.
func (t *turn) lastOffered(e *Enquiry) time.Time {
	offer := t.few(e, t.free(e, e.From))
	if len(offer) == 0 {
		return time.Time{}
	}
	y, m, d := offer[len(offer)-1].Start.In(t.Zone).Date()
	return time.Date(y, m, d+1, 0, 0, 0, 0, t.Zone)
}

func undoSlot(t *turn, e *Enquiry) { t.release(e) }

// readSlot takes a typed day: the first offered time on it. Otherwise what it says
// of when it suits.
func readSlot(t *turn, e *Enquiry, text string) ([]string, bool) {
	said := wording.Plain(text)
	for _, s := range t.free(e, time.Time{}) {
		start := s.Start.In(t.Zone)
		for _, w := range t.hears() {
			if said == wording.Plain(w.Date(start)) || said == wording.Plain(w.Moment(start)) {
				return []string{start.UTC().Format(slotKey)}, true
			}
		}
	}
	table := t.few(e, t.free(e, e.From))
	if t.asksElse(text) && !t.tellsFrom(text, table) {
		return nil, false
	}
	if t.doubtful(e) == nil {
		place, ask := t.placeOrHour(e, text, table)
		if ask {
			return []string{choiceWish}, true
		}
		if place < 0 {
			place = t.fromTable(text, table)
		}
		if place >= 0 {
			return []string{slotID(table[place])}, true
		}
		if one, ok := t.saysWhich(e, text); ok {
			return []string{slotID(one)}, true
		}
	}
	if t.suitsOn(e, text, table) {
		return []string{choiceWish}, true
	}
	return nil, false
}

// suitsOn is suits of what is said to the times on the table.
func (t *turn) suitsOn(e *Enquiry, text string, table []diary.Slot) bool {
	offered := starts(table) // "an hour later" than those
	if day := t.theDay(e); day != "" {
		named := slices.DeleteFunc(slices.Clone(offered), func(at time.Time) bool { return diary.Key(at, t.Zone) != day })
		if len(named) > 0 {
			offered = named // "the Saturday after" the one they named
		}
	}
	hour := t.hourAlone(text)
	as := hour
	if hour == text {
		as = t.asRead(text)
	}
	m, _ := when.ReadFrom(as, t.saidAt(), offered...)
	same := t.sameDays(e, table, m, text)
	said := hour != text && t.suitsRead(e, hour, text, offered...) || hour == text && t.suits(e, text, offered...)
	if said && same != nil {
		e.Times = same
	}
	if date := t.thatDay(table, m); said && date != "" {
		e.Times[0].On = []string{date} // "Friday at two" is the Friday on the table
	}
	return said
}

// placeSaid is which of n offers "the first one" or "the last" is, -1 if a text names none
// of them.
func (t *turn) placeSaid(text string, n int) int {
	for i, k := range []wording.Key{wording.SayFirst, wording.SaySecond, wording.SayThird, wording.SayLast} {
		if k == wording.SayLast {
			i = n - 1
		}
		if i < n && t.allOf(text, t.typed(k)) {
			return i
		}
	}
	return -1
}

// tellsWhen tells whether a text says how much later or earlier, or names a time: "later"
// alone is later days, "no later than Friday" is not.
func (t *turn) tellsWhen(text string) bool {
	m, shifted := when.ReadFrom(t.asRead(text), t.saidAt())
	return shifted || len(m.Prefer) > 0 || !m.Only.Any()
}

// lapsed gives a held time back when its minutes are over.
func (t *turn) lapsed(e *Enquiry) {
	if e.Stage != Held {
		return
	}
	when := t.Words.Moment(e.Slot.Start.In(t.Zone))
	t.release(e)
	for _, q := range []string{askConfirm, askConsent, askSlot} {
		t.retract(e, q)
	}
	e.Rev++
	t.put(e, t.word(wording.HoldLapsed, wording.Facts{When: when}))
}

// retract takes one answer out, wherever it stands.
func (t *turn) retract(e *Enquiry, question string) {
	delete(e.Answers, question)
	for i, q := range e.Trail {
		if q == question {
			e.Trail = append(e.Trail[:i], e.Trail[i+1:]...)
			return
		}
	}
}
