package conversations

import (
	"cmp"
	"slices"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// Whoever names one day means that day, and of a day of the week the coming one: its times
// are offered before any other day's.

// theDay is the one day that is named for what is being looked for, of a day of the week the
// coming one; empty where none is, or several, or later days are looked at.
func (t *turn) theDay(e *Enquiry) string {
	wished, from := e.wished(), e.From
	if e.Move != nil {
		from = e.Move.From
	}
	if !from.IsZero() || len(wished) != 1 {
		return ""
	}
	switch w := wished[0]; {
	case len(w.On) == 1:
		return w.On[0]
	case len(w.On) == 0 && len(w.Weekdays) == 1:
		return t.comingOn(w, t.need(e.Quote))
	}
	return ""
}

// onTheDay are the times worth showing where one day was named and has some: those that
// were asked for, three of them at most and the first of them alone where it was one hour,
// or else the nearest to that hour before the rest of the day; and one a week on. None if
// the day has none.
func (t *turn) onTheDay(e *Enquiry, free []diary.Slot) []diary.Slot {
	date := t.theDay(e)
	day, err := time.ParseInLocation(time.DateOnly, date, t.Zone)
	if err != nil {
		return nil
	}
	w := e.wished()[0]
	var all, fit, later []diary.Slot
	for _, s := range free {
		switch on := diary.Key(s.Start, t.Zone); {
		case on == date:
			all = append(all, s)
			if s.Fits {
				fit = append(fit, s)
			}
		case on > date && onNamedDay(e, s) && (s.Fits || !suited(free)):
			later = append(later, s)
		}
	}
	wanted := day.Add(time.Duration(hourNamed(w)) * time.Minute)
	const ofDay = offered - 1
	switch {
	case len(fit) > 0 && toTheQuarter(w):
		return nearestHour(fit, wanted)[:1]
	case len(fit) > 0:
		return slices.Concat(spreadOver(fit, ofDay), firstOf(later))
	case len(all) == 0 || suited(free):
		return nil
	}
	near := nearestHour(all, wanted)
	out := near[:1]
	if len(near) > 1 {
		out = append(slices.Clip(out), near[len(near)-1]) // as far from it as the day has
	}
	if len(later) > 0 {
		at := diary.Key(later[0].Start, t.Zone)
		later = slices.DeleteFunc(later, func(s diary.Slot) bool { return diary.Key(s.Start, t.Zone) != at })
		y, m, d := later[0].Start.In(t.Zone).Date()
		out = append(out, nearestHour(later, time.Date(y, m, d, 0, hourNamed(w), 0, 0, t.Zone))[0])
	}
	return out
}

// hourNamed is the hour that some times are about, in minutes from midnight; noon where they
// are about none.
func hourNamed(w diary.Times) int {
	switch {
	case w.StartFrom > 0 && w.StartBefore > 0:
		return (w.StartFrom + w.StartBefore) / 2
	case w.StartFrom+w.StartBefore > 0:
		return max(w.StartFrom, w.StartBefore)
	}
	return 12 * 60
}

// nearestHour are some times of one day, those first that are nearest to a moment.
func nearestHour(slots []diary.Slot, wanted time.Time) []diary.Slot {
	return slices.SortedStableFunc(slices.Values(slots), func(a, b diary.Slot) int {
		return cmp.Compare(a.Start.Sub(wanted).Abs(), b.Start.Sub(wanted).Abs())
	})
}

// ofTwoDays are as many times of each of the two days that are free of the dates somebody
// named, or those of the one that is; nil if that is not what they named.
func (t *turn) ofTwoDays(e *Enquiry, fit []diary.Slot) []diary.Slot {
	first, last := diary.Key(fit[0].Start, t.Zone), diary.Key(fit[len(fit)-1].Start, t.Zone)
	next := slices.IndexFunc(fit, func(s diary.Slot) bool { return diary.Key(s.Start, t.Zone) != first })
	switch w := e.wished(); {
	case len(w) != 1 || len(w[0].On) < 2 && w[0].From.IsZero():
		return nil
	case next < 0:
		return spreadOver(fit, offered-1)
	case diary.Key(fit[next].Start, t.Zone) != last:
		return nil
	}
	return slices.Concat(spreadOver(fit[:next], offered/2), spreadOver(fit[next:], offered/2))
}

// nextDay is the next such day of the week, counted from the time somebody has, by date.
func (t *turn) nextDay(e *Enquiry, d time.Weekday) string {
	from := t.now.In(t.Zone)
	if e.Slot != nil {
		from = e.Slot.Start.In(t.Zone)
	}
	return diary.Key(from.AddDate(0, 0, (int(d-from.Weekday())+7)%7), t.Zone)
}

// tellsFrom tells whether a text tells when it suits from the times on the table, "Thursday or
// Friday before?", and little else.
func (t *turn) tellsFrom(text string, table []diary.Slot) bool {
	m, told := when.ReadFrom(t.asRead(text), t.saidAt(), starts(table)...)
	return told && len(m.Unread) <= strayWords
}

// starts are when some times begin.
func starts(table []diary.Slot) (out []time.Time) {
	for _, s := range table {
		out = append(out, s.Start)
	}
	return out
}

// firstOf is the first of some times, if there is one.
func firstOf(slots []diary.Slot) []diary.Slot { return slots[:min(1, len(slots))] }

// spreadOver are at most n of a day's times, in order: what is worth showing of it, and then
// what lies furthest from that.
func spreadOver(day []diary.Slot, n int) []diary.Slot {
	out := diary.Offer(day, min(n, 2))
	if last := out[len(out)-1]; len(out) > 1 && !last.Beside && diary.PartOf(last.Start) == diary.PartOf(out[0].Start) {
		out = out[:1]
	}
	for len(out) < min(n, len(day)) {
		out = append(out, slices.MaxFunc(day, func(a, b diary.Slot) int { return cmp.Compare(farFrom(a, out), farFrom(b, out)) }))
	}
	slices.SortFunc(out, func(a, b diary.Slot) int { return a.Start.Compare(b.Start) })
	return out
}

// farFrom is how far a time is from the nearest of others.
func farFrom(s diary.Slot, others []diary.Slot) time.Duration {
	least := s.Start.Sub(others[0].Start).Abs()
	for _, o := range others[1:] {
		least = min(least, s.Start.Sub(o.Start).Abs())
	}
	return least
}

// endsLate says that work begun at the hour that was named would not be done when the day
// ends; empty where it would, or no one hour was named.
func (t *turn) endsLate(e *Enquiry) string {
	wished := e.wished()
	if len(wished) != 1 || !toTheQuarter(wished[0]) || e.Spread {
		return ""
	}
	const quarter = 15 // minutes to either side of an hour that is named
	start, need := wished[0].StartFrom+quarter, int(t.need(e.Quote)/time.Minute)
	rules, date := t.diaryRules(), t.theDay(e)
	first, last := 0, 0
	for _, key := range t.horizon() {
		day, err := time.ParseInLocation(time.DateOnly, key, t.Zone)
		if err != nil || date != "" && key != date {
			continue
		}
		if open := rules.Open(key, day.Weekday(), diary.Day{}); len(open) > 0 && open[len(open)-1].To > last {
			first, last = open[0].From, open[len(open)-1].To
		}
	}
	if start < first || start >= last || start+need <= last || first+need > last {
		return ""
	}
	clock := func(minutes int) string { return time.Date(2000, 1, 1, 0, minutes, 0, 0, time.UTC).Format("15:04") }
	return t.word(wording.WishEnds, wording.Facts{When: clock(start), Until: clock(last)})
}
