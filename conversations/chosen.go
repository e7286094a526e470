package conversations

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// A time on the table may be chosen in words: "the Wednesday one", "9am please", "yes" to
// the only one. What fits several of them, or none, is a wish.

// choiceHour is what a number meant after all that could be a place in the list: an hour.
const choiceHour = "hour"

// fromTable is which of the times on the table a text names, -1 if it names none, or several.
func (t *turn) fromTable(text string, table []diary.Slot) int {
	if len(table) == 0 {
		return -1
	}
	if len(table) == 1 && t.allOf(text, slices.Concat(t.typed(wording.SayYes), t.typed(wording.SayThatOne), t.typed(wording.SayFirst))) {
		return 0
	}
	if i := t.placeSaid(text, len(table)); i >= 0 {
		return i
	}
	i, rest := t.placeBeside(text, len(table))
	if !t.namesOne(rest, len(table) == 1) {
		return -1
	}
	m := when.Read(t.hourAlone(t.asRead(rest)), t.saidAt())
	if i < 0 && len(m.Prefer) == 0 || slices.ContainsFunc(m.Unread, startsWithDigit) { // an hour of their own: "is 10 possible on Thursday"
		return -1
	}
	found, again := -1, 0
	for j, s := range table {
		at := s.Start.In(t.Zone)
		if i >= 0 && i != j || len(m.Prefer) > 0 && !m.Prefer[0].Has(at, s.Ready.In(t.Zone)) {
			continue
		}
		if found >= 0 && len(m.Prefer) > 0 && toTheQuarter(m.Prefer[0]) && sameHour(table[found].Start.In(t.Zone), at) && again == 0 {
			again++
			continue // "9" under one day of two weeks is the coming one; of three it is anyone's guess
		}
		if found >= 0 {
			return -1
		}
		found = j
	}
	return found
}

func startsWithDigit(w string) bool { return w != "" && w[0] >= '0' && w[0] <= '9' }

// sameHour tells whether two times are at the same hour on the same day of the week.
func sameHour(a, b time.Time) bool {
	return a.Weekday() == b.Weekday() && a.Hour() == b.Hour() && a.Minute() == b.Minute()
}

// saysWhich is the free time a text settles on by its day and hour, asking nothing: "ok,
// make it Wednesday the 3rd at 9 then". A day of the week is the coming one.
func (t *turn) saysWhich(e *Enquiry, text string) (one diary.Slot, ok bool) {
	if t.isQuestion(text) || !t.speaksOf(wording.Plain(text), wording.SaySettles) || !t.namesOne(text, false) {
		return one, false
	}
	m := when.Read(t.asRead(text), t.saidAt())
	if len(m.Prefer) != 1 || len(m.Prefer[0].Weekdays)+len(m.Prefer[0].On) == 0 || !toTheQuarter(m.Prefer[0]) {
		return one, false
	}
	w := m.Prefer[0]
	if len(w.On) == 0 {
		date := t.comingOn(w, t.need(e.Quote))
		if date == "" {
			return one, false
		}
		w.On = []string{date}
	}
	off := func(s diary.Slot) time.Duration { // from the hour that was said
		at := s.Start.In(t.Zone)
		y, mo, d := at.Date()
		const quarter = 15
		return at.Sub(time.Date(y, mo, d, 0, w.StartFrom+quarter, 0, 0, t.Zone)).Abs()
	}
	for _, s := range t.free(e, time.Time{}) {
		if w.Has(s.Start.In(t.Zone), s.Ready.In(t.Zone)) && (!ok || off(s) < off(one)) {
			one, ok = s, true
		}
	}
	return one, ok
}

// comingOn is the first date that is among some times and not too soon for a work of some
// length, empty if none is.
func (t *turn) comingOn(w diary.Times, need time.Duration) string {
	rules := t.diaryRules()
	first := t.now.Add(rules.Notice)
	for _, date := range t.horizon() {
		day, err := time.ParseInLocation(time.DateOnly, date, t.Zone)
		if err != nil || !t.bookable(date) || !w.HasDay(day.Weekday(), date) || day.Before(w.From) {
			continue
		}
		last := day.AddDate(0, 0, 1)
		if open := rules.Open(date, day.Weekday(), diary.Day{}); len(open) > 0 {
			last = day.Add(time.Duration(open[len(open)-1].To)*time.Minute - need)
		}
		if !first.After(last) {
			return date
		}
	}
	return ""
}

// placeBeside is the place a text names beside other words, "the first one, Thursday",
// and those words; -1 if it names none.
func (t *turn) placeBeside(text string, n int) (place int, rest string) {
	said := " " + wording.Plain(text) + " "
	for i, k := range []wording.Key{wording.SayFirst, wording.SaySecond, wording.SayThird, wording.SayLast} {
		if k == wording.SayLast {
			i = n - 1
		}
		for _, w := range t.typed(k) {
			// "First thing Thursday" and "the last week of May" are no places.
			if w = wording.Plain(w); i < n && strings.Contains(w, " ") && strings.Contains(said, " "+w+" ") {
				return i, strings.Replace(said, " "+w+" ", " ", 1)
			}
		}
	}
	return -1, text
}

// namesOne tells whether what a text says of when is one time rather than a range of them:
// a day, or an hour to the quarter. Of one that is offered alone, any time it falls into
// is.
func (t *turn) namesOne(text string, alone bool) bool {
	as := t.asRead(text)
	m, shifted := when.ReadFrom(t.hourAlone(as), t.saidAt())
	said := " " + wording.Plain(as) + " "
	if shifted || !m.Only.Any() || len(m.Not) > 0 || len(m.Doubts)+len(t.unclear(m)) > 0 || len(m.Prefer) > 1 || len(m.Unread) > strayWords ||
		t.speaksOf(wording.Plain(text), wording.SayOtherTimes) {
		return false
	}
	for d := time.Sunday; d <= time.Saturday; d++ {
		if strings.Contains(said, strings.ToLower(d.String())+"s ") {
			return false
		}
	}
	if len(m.Prefer) == 0 || alone {
		return true
	}
	w := m.Prefer[0]
	return len(w.Weekdays) == 1 || len(w.On) == 1 || len(w.Weekdays) == 0 && w.From.IsZero() && toTheQuarter(w)
}

// toTheQuarter tells whether times are about one hour, a quarter to either side.
func toTheQuarter(w diary.Times) bool {
	return w.StartFrom > 0 && w.StartBefore-w.StartFrom <= 31 && w.StartBefore > 0
}

// sameDays are times at the hours just named on the days that were named before and are on
// the table: "nine o'clock", said to what is free on the 22nd, is on the 22nd. Nil if that
// is not what was said.
func (t *turn) sameDays(e *Enquiry, table []diary.Slot, m when.Meaning, text string) (out []diary.Times) {
	if len(m.Prefer) == 0 || len(table) == 0 || t.speaksOf(wording.Plain(text), wording.SayOtherTimes) {
		return nil
	}
	days := e.wished()
	for _, s := range table {
		if !onNamedDay(e, s) {
			return nil
		}
	}
	for _, h := range m.Prefer {
		if len(h.Weekdays)+len(h.On) > 0 || !h.From.IsZero() || !h.To.IsZero() {
			return nil
		}
		for _, d := range days {
			d.StartFrom, d.StartBefore, d.DoneBy = h.StartFrom, h.StartBefore, h.DoneBy
			out = append(out, d)
		}
	}
	return out
}

// thatDay is the date of the only day on the table that is the day of the week just named
// with an hour, empty if there is none, or several.
func (t *turn) thatDay(table []diary.Slot, m when.Meaning) (date string) {
	if len(m.Prefer) != 1 || len(m.Doubts) > 0 || len(m.Prefer[0].Weekdays) != 1 || len(m.Prefer[0].On) > 0 || !toTheQuarter(m.Prefer[0]) {
		return ""
	}
	for _, s := range table {
		at := s.Start.In(t.Zone)
		switch d := diary.Key(at, t.Zone); {
		case at.Weekday() != m.Prefer[0].Weekdays[0] || d == date:
		case date != "":
			return ""
		default:
			date = d
		}
	}
	return date
}

// hourAlone makes a number an hour where a time is asked for, with nothing but small words
// beside it: "9 then".
func (t *turn) hourAlone(text string) string {
	if n := t.numberAlone(text); n > 0 {
		return "at " + strconv.Itoa(n)
	}
	return text
}

// numberAlone is the number from 1 to 12 that is all a text says or asks for, 0 if it says
// anything else.
func (t *turn) numberAlone(text string) int {
	words := strings.Fields(wording.Plain(text))
	for i, w := range words {
		if n, err := strconv.Atoi(w); err == nil && n >= 1 && n <= 12 && len(w) <= 2 {
			// "9 pm" and "1 o'clock" are read as they stand.
			clock := slices.ContainsFunc(words, func(o string) bool { return o == "am" || o == "pm" || o == "oclock" || o == "clock" })
			asked := slices.Concat([]string{w}, t.typed(wording.SayCanYouDo), t.typed(wording.SayHowAbout))
			if !clock && !slices.Contains(words[i+1:], w) && t.madeOf(words, asked) {
				return n
			}
			return 0
		}
	}
	return 0
}

// placeOrHour takes a number that may be the place of a time on the table, or an hour at
// which one is free, and reports whether it is to be asked which; else place is the one
// meant, -1 if it is an hour.
func (t *turn) placeOrHour(e *Enquiry, text string, table []diary.Slot) (place int, ask bool) {
	n := t.numberAlone(text)
	if n == 0 || n > len(table) {
		return -1, false
	}
	m := when.Read("at "+strconv.Itoa(n), t.saidAt())
	free := slices.ContainsFunc(t.free(e, time.Time{}), func(s diary.Slot) bool {
		return len(m.Prefer) > 0 && m.Prefer[0].Has(s.Start.In(t.Zone), s.Ready.In(t.Zone))
	})
	if !free {
		return n - 1, false
	}
	e.Unclear = []Unclear{{Phrase: strconv.Itoa(n), Slot: slotID(table[n-1])}}
	return -1, true
}

// slotID is how the button of a time names it.
func slotID(s diary.Slot) string { return s.Start.UTC().Format(slotKey) }

// anotherTime takes a wish for another time than the one that is kept for somebody, "an
// hour later", "can we make it Thursday", "9 then": it goes back, and what is free then is
// offered. Who names the very time hears that it is kept. It reports whether the text was
// either.
func (t *turn) anotherTime(e *Enquiry, text string) bool {
	if e.Stage != Held || t.languageOf(e.Chat) != "" {
		return false
	}
	from := e.Slot.Start.In(t.Zone)
	said := text
	if len(strings.Fields(text)) > 1 { // a number alone may be the number of a button
		said = t.hourAlone(text)
	}
	m, shifted := when.ReadFrom(said, t.saidAt(), from)
	if shifted = shifted && len(m.Unread) <= strayWords; !shifted && t.asksElse(text) {
		return false
	}
	one := !shifted && len(m.Prefer) == 1 && t.namesOne(said, false) && (len(m.Unread) == 0 || t.onlyTimes(text))
	if one {
		if w := &m.Prefer[0]; len(w.Weekdays)+len(w.On) == 0 && w.From.IsZero() {
			w.On = []string{diary.Key(from, t.Zone)} // "nine o'clock" is on that day
		}
		if m.Prefer[0].Has(from, e.Slot.End.In(t.Zone)) {
			t.put(e, t.word(wording.SlotHeld, wording.Facts{When: t.Words.Moment(from), Minutes: t.heldFor(e)}))
			return true
		}
	}
	not := slices.ContainsFunc(m.Not, func(w diary.Times) bool { return w.Has(from, e.Slot.End.In(t.Zone)) })
	if !one && !not && !shifted && !(t.saysInstead(wording.Plain(text)) && len(m.Prefer) > 0) {
		return false
	}
	t.release(e)
	t.retract(e, askConfirm)
	t.retract(e, askSlot)
	t.suits(e, said, from)
	if one {
		e.Times = m.Prefer
	}
	e.Rev++
	e.At, e.From = "", time.Time{}
	if which, ok := t.saysWhich(e, said); ok {
		t.accept(e, t.find(askSlot), []string{slotID(which)}, "")
		return true
	}
	t.put(e, t.answerWish(e))
	return true
}

// heldFor is for how many minutes more a time is kept.
func (t *turn) heldFor(e *Enquiry) int {
	return max(1, int(math.Ceil(e.HeldUntil.Sub(t.now).Minutes())))
}
