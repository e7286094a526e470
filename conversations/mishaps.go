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

// speaksOfRain tells whether the owner's words are of rain.
func (t *turn) speaksOfRain(text string) bool {
	said := wording.Plain(text)
	return t.speaksOf(said, wording.SayRaining) || t.speaksOf(said, wording.SayRain)
}

// asksInRain hands the owner what somebody says of rain on the day of a visit outdoors or
// the day before: whether he works in it he alone decides. It reports whether it was that;
// "if it rains" asks for the rule.
func (t *turn) asksInRain(c *Chat, e *Enquiry, text string) bool {
	const soon = 24 * time.Hour
	said := wording.Plain(text)
	if e.Stage != Booked || e.Move != nil || !outdoor(e) || !e.Slot.Start.After(t.now) || e.Slot.Start.Sub(t.now) > soon || t.atTheCar(e) {
		return false
	}
	rain, rule := t.speaksOf(said, wording.SayRaining) || t.speaksOf(said, wording.SayWetOut), t.speaksOf(said, wording.SayIfRain)
	if coming := t.speaksOf(said, wording.SayStillComing); rule && !coming || !rain && !rule {
		return false
	}
	t.tellBoss(wording.OwnerTheirText, e, text, pressWet, pressAnswer)
	t.tell(c.ID, wording.RainAsked, t.visitFacts(e), t.visitRow(e))
	return true
}

// wetNamed shows the visit of somebody named with the rain, "too wet for Sue today", with
// the button that offers them another time. It reports false for one that rain does not
// concern.
func (t *turn) wetNamed(c *Chat, e *Enquiry, text string) bool {
	if !t.speaksOfRain(text) || e.Stage != Booked || !outdoor(e) || !e.Slot.Start.After(t.now) || t.atTheCar(e) {
		return false
	}
	t.tell(c.ID, wording.OwnerVisit, t.ownersFacts(e), append([][]bot.Choice{{t.own(e, pressWet)}}, t.ownerWays(e)...)...)
	return true
}

// wetPressed offers one customer another time because of the rain.
func (t *turn) wetPressed(c *Chat, e *Enquiry) {
	if !outdoor(e) || !e.Slot.Start.After(t.now) || e.Move != nil && e.Move.Offered {
		t.staleVisit(c, e)
		return
	}
	t.unset(CameJob, e)
	t.letChoose(e, wording.RainedOff)
	t.tell(c.ID, wording.OwnerRain, wording.Facts{Day: t.Words.Date(e.Slot.Start.In(t.Zone)), Items: []string{e.Name}})
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
	t.tellLate(c, e, t.pushLate(e, n))
}

// delay is a visit that comes later: when it is then, and whether the diary has it so.
type delay struct {
	to     Span
	by     time.Duration
	pushed bool
}

// lateTo is when a visit is if he comes so many minutes late.
func (t *turn) lateTo(e *Enquiry, n int) delay {
	by := time.Duration(n) * time.Minute
	if now := t.now.Truncate(time.Minute); e.Slot.Start.Add(by).Before(now) {
		by += now.Sub(e.Slot.Start) // "20 late" when that is past is 20 from now
	}
	return delay{to: Span{e.Slot.Start.Add(by), e.Slot.End.Add(by)}, by: by}
}

// pushLate moves a visit in the diary where there is room behind it.
func (t *turn) pushLate(e *Enquiry, n int) delay {
	l := t.lateTo(e, n)
	if l.pushed = t.occupy(e, e.ID, l.to, diary.Booked); l.pushed {
		e.Slot = &l.to
		e.Changes++
		e.Rev++
		t.keepInMind(e)
	}
	return l
}

// lateFacts are what a customer reads of it, and where.
func (t *turn) lateFacts(e *Enquiry, l delay) (wording.Key, wording.Facts) {
	f := t.visitFacts(e)
	f.Minutes, f.When = int(l.by.Minutes()), l.to.Start.In(t.Zone).Format("15:04")
	f.Until = t.until(l.to.Start, l.to.End)
	if atTheirs(t, e) {
		return wording.RunningLate, f
	}
	return wording.RunningLateUnit, f
}

// tellLate tells the customer and the owner.
func (t *turn) tellLate(c *Chat, e *Enquiry, l delay) {
	k, f := t.lateFacts(e, l)
	if !t.chat(e.Chat).Blocked {
		t.sayChanged(e, e.Chat, k, f, l.pushed)
	}
	var warnings []string
	if !l.pushed {
		warnings = append(warnings, t.word(wording.WarnNextJob, f))
	}
	if _, set, light := diary.Sun(l.to.Start, t.under(e)); outdoor(e) && light == diary.Ordinary && l.to.End.After(set.Add(-t.dusk())) {
		f.Day = set.In(t.Zone).Format("15:04")
		warnings = append(warnings, t.word(wording.WarnDark, f))
	}
	f.Items = warnings
	t.sayChanged(e, c.ID, wording.OwnerLateTold, f, l.pushed)
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
