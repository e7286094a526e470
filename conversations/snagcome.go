package conversations

import (
	"slices"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/reminders"
)

// An hour that is agreed on to put something right is kept in mind like that of a visit: the
// customer is reminded of it, and it stands in the owner's day and the evening before.

// snagAt is the owner's press that such an hour is agreed; [slotKey] follows.
const snagAt = "at:"

// snagLength is for how long the diary is offered to be kept free for it: what was missed
// once is a piece of work, not a job (common practice, no source).
const snagLength = time.Hour

// snagHour is the moment some times name, a day and an hour to the quarter; false if they do
// not, or it is over.
func (t *turn) snagHour(w diary.Times) (at time.Time, ok bool) {
	n := t.daysTo(w)
	if n == 0 || !toTheQuarter(w) {
		return at, false
	}
	const quarter = 15
	y, m, d := t.now.In(t.Zone).AddDate(0, 0, n).Date()
	at = time.Date(y, m, d, 0, w.StartFrom+quarter, 0, 0, t.Zone)
	return at, at.After(t.now)
}

// snagAtRows is a row with the button that agrees on the hour some times name, none if they
// name none.
func (t *turn) snagAtRows(e *Enquiry, w diary.Times) [][]bot.Choice {
	at, ok := t.snagHour(w)
	if !ok {
		return nil
	}
	label := t.word(wording.LabelSnagAt, wording.Facts{When: t.Words.Moment(at)})
	return [][]bot.Choice{{{Label: label, Data: press{e.ID, 0, pressSnag, snagAt + at.UTC().Format(slotKey)}.data()}}}
}

// snagAgreed takes the owner's word that it is put right at an hour, and tells both.
func (t *turn) snagAgreed(c *Chat, e *Enquiry, s *Snag, key string) {
	at, err := time.Parse(slotKey, key)
	if err != nil || !at.After(t.now) {
		t.staleVisit(c, e)
		return
	}
	at = at.In(t.Zone)
	y, m, d := at.Date()
	day := time.Date(y, m, d, 0, 0, 0, 0, t.Zone)
	t.snagNotThen(e, s)
	s.By, s.Come, s.Done = t.setting().Serviceable(day), at, time.Time{}
	t.set(s.By, Came{Kind: CameSnag, Enquiry: e.ID})
	for _, m := range t.setting().Appointment(at, t.now) {
		t.set(m.At, Came{Kind: CameVisit, Enquiry: e.ID, Say: m.Kind})
	}
	if eve := time.Date(y, m, d-1, t.Rules.Diary.EveningHour, 0, 0, 0, t.Zone); eve.After(t.now) {
		t.set(eve, Came{Kind: CameEvening, Day: diary.Key(at, t.Zone)})
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), When: t.Words.Moment(at)}
	t.tell(e.Chat, wording.SnagAt, f)
	end := at.Add(snagLength)
	b := when.Block{First: day, Last: day, From: 60*at.Hour() + at.Minute(), To: min(24*60, 60*at.Hour()+at.Minute()+int(snagLength.Minutes())), FromSaid: true, ToSaid: true}
	f.Until = end.Format("15:04")
	t.tell(t.Owner, wording.OwnerSnagAt, f, []bot.Choice{{Label: t.label(wording.LabelKeepFree), Data: press{noEnquiry, 0, pressDesk, deskBlock + blockCode(b)}.data()}})
}

// snagNotThen lets go of the hour that was agreed on, if there is one.
func (t *turn) snagNotThen(e *Enquiry, s *Snag) {
	if s.Come.IsZero() {
		return
	}
	s.Come = time.Time{}
	for _, kind := range []reminders.Kind{reminders.DayBefore, reminders.Morning} {
		t.unsetVisit(e, kind)
	}
}

// snagSoon reminds a customer of the hour at which something is put right, the day before and
// on its morning. It reports whether there is one.
func (t *turn) snagSoon(e *Enquiry, kind reminders.Kind) bool {
	s := t.unmended(e)
	if s == nil || s.Come.IsZero() || t.chat(e.Chat).Blocked {
		return false
	}
	for _, m := range t.setting().Appointment(s.Come, s.Come.AddDate(0, 0, -30)) {
		if m.Kind != kind || !m.Sensible(t.now) {
			continue
		}
		k := wording.SnagTomorrow
		if kind == reminders.Morning {
			k = wording.SnagToday
		}
		f := wording.Facts{Name: e.Name, Car: carName(e), Text: s.Words, When: s.Come.In(t.Zone).Format("15:04")}
		t.say(bot.Message{Chat: e.Chat, Text: t.word(k, f), Kind: string(kind), NotAfter: m.NotAfter})
	}
	return true
}

// snagsOn tells whether something is to be put right at an hour of a day.
func (t *turn) snagsOn(date string) bool {
	return slices.ContainsFunc(t.unmendedJobs(), func(e *Enquiry) bool {
		s := t.unmended(e)
		return !s.Come.IsZero() && diary.Key(s.Come, t.Zone) == date
	})
}
