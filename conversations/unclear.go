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

// A time that was named and can be meant in two ways is asked about before times
// are offered, if both could be booked at all. Nobody is made to say what only one
// reading is left of.

// The choices that clear up a named time.
const (
	choiceOn = "on:" // and a date
	choiceAM = "am"
	choicePM = "pm"
)

// unclear are the doubts of a meaning that are worth a question.
func (t *turn) unclear(m when.Meaning) []Unclear {
	var out []Unclear
	for _, d := range m.Doubts {
		switch d.Why {
		case when.NextOrThis, when.TodayOrLater, when.Mismatch:
			if len(d.Dates) > 1 {
				out = append(out, Unclear{Phrase: d.Phrase, Dates: slices.Sorted(slices.Values(d.Dates)), Apart: d.Why == when.Mismatch})
			}
		case when.HalfOfDay:
			out = append(out, Unclear{Phrase: d.Phrase})
		}
	}
	// "Saturday", said on a Saturday.
	at := t.saidAt()
	if len(m.Prefer) == 1 && len(m.Prefer[0].Weekdays) == 1 && len(m.Prefer[0].On) == 0 && m.Prefer[0].HasDay(at.Weekday(), diary.Key(at, t.Zone)) &&
		!at.Before(m.Prefer[0].From) { // a Saturday in October is none of September
		later := diary.Key(at.AddDate(0, 0, 7), t.Zone)
		out = append(out, Unclear{Phrase: strings.ToLower(at.Weekday().String()), Dates: []string{diary.Key(at, t.Zone), later}})
	}
	return out
}

// doubtful is the first thing that is unclear about when it suits, nil if nothing
// is. What time or the rules have cleared up meanwhile is done with.
func (t *turn) doubtful(e *Enquiry) *Unclear {
	for len(e.Unclear) > 0 {
		u := &e.Unclear[0]
		if u.Dates == nil {
			return u
		}
		possible := slices.DeleteFunc(slices.Clone(u.Dates), func(d string) bool { return !t.bookable(d) })
		if len(possible) > 1 {
			u.Dates = possible
			return u
		}
		if len(possible) == 1 && u.Apart {
			return u // nobody guesses which of the two was wrong
		}
		if len(possible) == 1 {
			t.meantOn(e, possible[0])
			continue
		}
		e.Unclear = e.Unclear[1:]
	}
	return nil
}

// bookable tells whether a date is neither too soon nor too far, be it free or not.
func (t *turn) bookable(date string) bool {
	d := t.Rules.Diary
	first := diary.Key(t.now.Add(time.Duration(d.NoticeHours)*time.Hour), t.Zone)
	return first <= date && date <= diary.Key(t.now.AddDate(0, 0, d.HorizonDays), t.Zone)
}

// putUnclear asks which of two is meant.
func (t *turn) putUnclear(u *Unclear) prompt {
	if start, err := time.Parse(slotKey, u.Slot); err == nil {
		at := t.Words.Moment(start.In(t.Zone))
		return prompt{
			text:    t.word(wording.AskPlaceOrHour, wording.Facts{Text: u.Phrase, When: at}),
			options: []option{{key: u.Slot, label: at, own: true}, {key: choiceHour, label: t.word(wording.AtOClock, wording.Facts{Text: u.Phrase}), own: true}},
		}
	}
	if u.Dates == nil {
		return prompt{
			text:    t.word(wording.AskHalfOfDay, wording.Facts{Text: cmp.Or(u.Said, u.Phrase)}),
			options: []option{t.choose(choiceAM, wording.LabelMorning), t.choose(choicePM, wording.LabelEvening)},
		}
	}
	k := wording.AskWhichDate
	if u.Apart {
		k = wording.AskDayOrDate
	}
	p := prompt{text: t.word(k, wording.Facts{Text: cmp.Or(u.Said, u.Phrase)})}
	for _, date := range u.Dates {
		if at, err := time.ParseInLocation(time.DateOnly, date, t.Zone); err == nil {
			o := option{key: choiceOn + date, label: t.Words.Date(at)}
			for _, w := range t.hears() {
				o.typed = append(o.typed, w.Date(at))
			}
			p.options = append(p.options, o)
		}
	}
	return p
}

// clearedUp takes what was meant after all, and reports whether the choice said so.
func (t *turn) clearedUp(e *Enquiry, choice string) bool {
	date, dated := strings.CutPrefix(choice, choiceOn)
	u := t.doubtful(e)
	switch {
	case u == nil || !dated && choice != choiceAM && choice != choicePM:
		return false
	case dated:
		t.meantOn(e, date)
	default:
		t.meantHalf(e, u.Phrase, choice)
	}
	return true
}

// meantOn settles the first doubt: of its dates this one is meant.
func (t *turn) meantOn(e *Enquiry, date string) {
	u := e.Unclear[0]
	e.Unclear = e.Unclear[1:]
	day, err := time.ParseInLocation(time.DateOnly, date, t.Zone)
	if err != nil {
		return
	}
	named := false
	for i := range e.Times {
		w := &e.Times[i]
		if slices.ContainsFunc(w.On, func(d string) bool { return slices.Contains(u.Dates, d) }) || len(w.On) == 0 && slices.Contains(w.Weekdays, day.Weekday()) {
			w.On, w.Weekdays, named = []string{date}, nil, true
		}
	}
	if !named {
		e.Times = append(e.Times, diary.Times{On: []string{date}})
	}
}

// meantHalf settles the first doubt: the hour named is one of the morning, or of
// the evening.
func (t *turn) meantHalf(e *Enquiry, phrase, half string) {
	e.Unclear = e.Unclear[1:]
	m := when.Read(phrase+" "+half, t.now)
	if len(m.Prefer) == 0 {
		return
	}
	hours := m.Prefer[0]
	if len(e.Times) == 0 {
		e.Times = append(e.Times, hours)
	}
	for i := range e.Times {
		w := &e.Times[i]
		w.StartFrom, w.StartBefore, w.DoneBy = hours.StartFrom, hours.StartBefore, hours.DoneBy
	}
}
