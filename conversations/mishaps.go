package conversations

import (
	"slices"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// What goes otherwise than planned on the day: the weather, and the clock.

// wetDay is the day "rained off" speaks of: today while there is outdoor work
// left, else tomorrow.
func (t *turn) wetDay() string {
	today := diary.Key(t.now, t.Zone)
	if len(t.wet(today)) > 0 {
		return today
	}
	tomorrow := diary.Key(t.now.AddDate(0, 0, 1), t.Zone)
	if len(t.wet(tomorrow)) == 0 {
		return today
	}
	return tomorrow
}

// wet are the outdoor bookings of a day that have not begun.
func (t *turn) wet(date string) []*Enquiry {
	return slices.DeleteFunc(t.jobsOn(date), func(e *Enquiry) bool { return !outdoor(e) || !e.Slot.Start.After(t.now) })
}

// rainedOff offers new dates to the customers of a wet day, at no charge. Until
// they choose, the old time stays in the diary.
func (t *turn) rainedOff(c *Chat, date string) {
	f := wording.Facts{}
	if at, err := time.ParseInLocation(time.DateOnly, date, t.Zone); err == nil {
		f.Day = t.Words.Date(at)
	}
	for _, e := range t.wet(date) {
		if e.Move != nil && e.Move.Offered {
			continue // pressed twice
		}
		t.unset(CameJob, e)
		t.letChoose(e, wording.RainedOff)
		f.Items = append(f.Items, e.Name)
	}
	if len(f.Items) == 0 {
		t.tell(c.ID, wording.OwnerNoRain, f)
		return
	}
	t.tell(c.ID, wording.OwnerRain, f)
}

// runningLate tells the next customer of today.
func (t *turn) runningLate(c *Chat, n int) {
	jobs := t.jobsOn(diary.Key(t.now, t.Zone))
	i := slices.IndexFunc(jobs, func(e *Enquiry) bool { return e.Slot.Start.After(t.now) })
	if i < 0 {
		t.tell(c.ID, wording.OwnerNobodyWaits, wording.Facts{})
		return
	}
	t.lateBy(c, jobs[i], n)
}

// lateBy tells a customer that it will be later, by some minutes, moves the job in the
// diary where there is room behind it, and looks whether the light lasts.
func (t *turn) lateBy(c *Chat, e *Enquiry, n int) {
	by := time.Duration(n) * time.Minute
	was := *e.Slot
	if now := t.now.Truncate(time.Minute); was.Start.Add(by).Before(now) {
		by = now.Sub(was.Start) + by // "20 late" when that is past is 20 from now
	}
	to := Span{was.Start.Add(by), was.End.Add(by)}
	pushed := t.occupy(e, e.ID, to, diary.Booked)
	if pushed {
		e.Slot = &to
		e.Changes++
		e.Rev++
		t.keepInMind(e)
	}
	f := t.visitFacts(e)
	f.Minutes, f.When = int(by.Minutes()), to.Start.In(t.Zone).Format("15:04")
	f.Until = t.until(to.Start, to.End)
	if !t.chat(e.Chat).Blocked {
		k := wording.RunningLateUnit
		if atTheirs(t, e) {
			k = wording.RunningLate
		}
		t.sayChanged(e, e.Chat, k, f, pushed)
	}
	var warnings []string
	if !pushed {
		warnings = append(warnings, t.word(wording.WarnNextJob, f))
	}
	if _, set, light := diary.Sun(to.Start, t.under(e)); outdoor(e) && light == diary.Ordinary && to.End.After(set.Add(-t.dusk())) {
		f.Day = set.In(t.Zone).Format("15:04")
		warnings = append(warnings, t.word(wording.WarnDark, f))
	}
	f.Items = warnings
	t.sayChanged(e, c.ID, wording.OwnerLateTold, f, pushed)
}

// sayChanged tells a side of a booking that has changed a little, with the booking
// as their calendar is to have it if the diary has it so.
func (t *turn) sayChanged(e *Enquiry, to bot.ChatID, k wording.Key, f wording.Facts, entered bool) {
	m := bot.Message{Chat: to, Text: t.word(k, f)}
	if entered {
		m = t.calendar(e, false).message(to, m.Text)
	}
	m.Choices, m.Kind = t.visitWays(e, t.sideOf(t.chat(to))), string(k)
	t.say(m)
}
