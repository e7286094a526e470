package conversations

import (
	"fmt"
	"slices"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// offered is how many times are offered at once: few enough to choose from with
// one thumb.
const offered = 4

// horizon are the local days a time may be chosen from, by date.
func (t *turn) horizon() []string {
	days := make([]string, 0, t.Rules.Diary.HorizonDays+1)
	for i := range t.Rules.Diary.HorizonDays + 1 {
		days = append(days, diary.Key(t.now.AddDate(0, 0, i), t.Zone))
	}
	return days
}

// mine are the names under which an enquiry's times stand in the diary: the one
// it has, and the one it may be moved to.
func mine(e *Enquiry) [2]string { return [2]string{e.ID, moveID(e)} }

// free are the times that could be offered for an enquiry, from a moment on.
func (t *turn) free(e *Enquiry, from time.Time) []diary.Slot {
	days := map[string]diary.Day{}
	for _, date := range t.horizon() {
		d := *t.day(date)
		d.Remove(mine(e)[1])
		days[date] = d
	}
	w := t.wish(e)
	w.From = from
	return diary.NewBook(days, t.diaryRules(), t.now).Free(w)
}

// wish is what an enquiry asks of the diary.
func (t *turn) wish(e *Enquiry) diary.Wish {
	w := diary.Wish{Need: t.need(e.Quote), Dry: time.Duration(e.Quote.Dry) * time.Minute, Outdoor: outdoor(e)}
	// Long drying is for the night: in the unit, or where the car lives anyway.
	const longDrying = 4 * time.Hour
	w.Overnight = w.Dry > longDrying
	if atTheirs(t, e) && e.Place != nil {
		w.Point = diary.Point{Lat: e.Place.Lat, Lon: e.Place.Lon, Within: e.Place.Within}
	} else if !atTheirs(t, e) {
		w.Point = t.base()
	}
	w.Prefer = e.Times
	if e.Only != nil {
		w.Only = *e.Only
	}
	return w
}

// outdoor tells whether the work is done under the sky.
func outdoor(e *Enquiry) bool {
	return e.answer(askSite) == "theirs" && e.answer(askSurface) != "garage"
}

// base is where the business starts from.
func (t *turn) base() diary.Point {
	return diary.Point{Lat: t.Rules.Diary.Latitude, Lon: t.Rules.Diary.Longitude}
}

// diaryRules are the business's rules in the words of the diary.
func (t *turn) diaryRules() diary.Rules {
	d := t.Rules.Diary
	const kmPerMile = 1.609344
	r := diary.Rules{
		Loc: t.Zone, Hours: diary.Hours{}, Closed: map[string]bool{}, Notice: time.Duration(d.NoticeHours) * time.Hour,
		HorizonDays: d.HorizonDays, Buffer: time.Duration(d.BufferMinutes) * time.Minute, MaxPerDay: d.JobsADay,
		Base: t.base(), Travel: diary.Travel{RoadFactor: d.RoadFactor, KmPerHour: d.MilesAnHour * kmPerMile, Unknown: unknownWay},
	}
	for day := time.Sunday; day <= time.Saturday; day++ {
		for _, s := range d.On(day) {
			r.Hours[day] = append(r.Hours[day], diary.Span{From: s.From, To: s.To})
		}
	}
	for _, year := range []int{t.now.Year(), t.now.Year() + 1} {
		holidays, err := diary.Holidays(diary.Division(d.Holidays), year)
		if err != nil {
			t.fail(fmt.Errorf("conversations: bank holidays: %w", err))
		}
		for _, h := range holidays {
			r.Closed[h.Date] = true
		}
		// Where one of these falls on a weekend the published list has another day
		// for it; nobody wants a car washed on the day itself either.
		for _, day := range []string{"01-01", "12-25", "12-26"} {
			r.Closed[fmt.Sprintf("%d-%s", year, day)] = true
		}
	}
	for _, date := range d.Closed {
		r.Closed[string(date)] = true
	}
	return r
}

// unknownWay is the driving to allow for between two jobs when nobody has said
// where one of them is.
const unknownWay = 20 * time.Minute

func putSlot(t *turn, e *Enquiry) prompt {
	free := t.free(e, e.From)
	if len(free) == 0 && !e.From.IsZero() {
		e.From = time.Time{}
		free = t.free(e, e.From)
	}
	if len(free) == 0 {
		return prompt{text: t.word(wording.NoSlot, wording.Facts{})}
	}
	p := prompt{text: t.word(wording.AskSlot, wording.Facts{Hours: t.length(t.need(e.Quote).Minutes())})}
	p.options = t.offer(free)
	other := t.choose(choiceOther, wording.LabelOtherDays)
	other.own = true
	p.options = append(p.options, other)
	return p
}

// few are those of many times that are worth showing: those the customer asked
// for, as long as there are any.
func few(free []diary.Slot) []diary.Slot {
	var fit []diary.Slot
	for _, s := range free {
		if s.Fits {
			fit = append(fit, s)
		}
	}
	if len(fit) > 0 {
		free = fit
	}
	return diary.Offer(free, offered)
}

// offer are the few of many times that are worth showing.
func (t *turn) offer(free []diary.Slot) []option {
	var out []option
	for _, s := range few(free) {
		start := s.Start.In(t.Zone)
		label := t.Words.Moment(start)
		if s.Days > 1 {
			label = t.word(wording.SeveralDays, wording.Facts{When: label, Count: s.Days})
		}
		out = append(out, option{key: start.UTC().Format(slotKey), label: label, typed: []string{t.Words.Date(start)}, own: true})
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
		return ""
	}
	if choice == choiceWish {
		t.untake(e)
		e.From = time.Time{}
		free := t.free(e, e.From)
		if slices.ContainsFunc(free, func(s diary.Slot) bool { return s.Fits }) || len(e.Times) == 0 && len(free) > 0 {
			return t.word(wording.WishFits, wording.Facts{})
		}
		if len(free) == 0 {
			e.Only = nil
		}
		return t.word(wording.WishTaken, wording.Facts{})
	}
	start, err := time.Parse(slotKey, choice)
	if err != nil {
		t.untake(e)
		return t.word(wording.NotFollowed, wording.Facts{})
	}
	for _, s := range t.free(e, time.Time{}) {
		if s.Start.Equal(start) && t.hold(e, s) {
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
	offer := few(t.free(e, e.From))
	if len(offer) == 0 {
		return time.Time{}
	}
	y, m, d := offer[len(offer)-1].Start.In(t.Zone).Date()
	return time.Date(y, m, d+1, 0, 0, 0, 0, t.Zone)
}

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

func undoSlot(t *turn, e *Enquiry) { t.release(e) }

// readSlot takes a typed day: the first offered time on it. Otherwise what it says
// of when it suits.
func readSlot(t *turn, e *Enquiry, text string) ([]string, bool) {
	said := plain(text)
	for _, s := range t.free(e, time.Time{}) {
		start := s.Start.In(t.Zone)
		if said == plain(t.Words.Date(start)) || said == plain(t.Words.Moment(start)) {
			return []string{start.UTC().Format(slotKey)}, true
		}
	}
	if t.suits(e, text) {
		return []string{choiceWish}, true
	}
	return nil, false
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
