package conversations

import (
	"slices"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// What a customer finds not right stays in sight until the owner has seen to it: he is
// reminded while he has said no day and once the day he said has gone by, the day and the
// evening name it, and meanwhile the customer reads no thanks and no reminder.

// unmended is a complaint the owner has not seen to yet, nil if there is none. After
// [snagsFor] it is the two of them who know how it stands.
func (t *turn) unmended(e *Enquiry) *Snag {
	s := e.snag()
	if s == nil || e.Stage != Done || !s.Done.IsZero() || !t.now.Before(s.since().Add(snagsFor)) {
		return nil
	}
	return s
}

// since is the day a snag was to be put right, or when it was told while no day is said.
func (s *Snag) since() time.Time {
	if s.By.IsZero() {
		return s.At
	}
	return s.By
}

// unhappy tells whether a customer waits for something to be put right.
func (t *turn) unhappy(c *Chat) bool {
	return slices.ContainsFunc(t.jobs(c), func(e *Enquiry) bool { return t.unmended(e) != nil })
}

// careAgain sets what was held back of looking after somebody's cars while they waited
// for something to be put right.
func (t *turn) careAgain(c *Chat) {
	if c.NoCare || t.unhappy(c) {
		return
	}
	y, m, d := t.now.In(t.Zone).Date()
	tomorrow := time.Date(y, m, d+1, t.Rules.Service.CareHour, 0, 0, 0, t.Zone)
	for _, j := range t.jobs(c) {
		if j.Work == nil || j.Work.Cared.IsZero() {
			continue
		}
		if s := t.setting(); len(s.CareNow(t.job(j), j.Work.Cared, tomorrow)) > 0 {
			t.set(tomorrow, Came{Kind: CameCare, Enquiry: j.ID})
		} else if next, ok := s.NextCare(t.job(j), t.now); ok {
			t.set(next, Came{Kind: CameCare, Enquiry: j.ID})
		}
	}
}

// remindOfSnag sets the morning of a day of work, in so many days or more, on which the
// owner is reminded of what is not right.
func (t *turn) remindOfSnag(e *Enquiry, days int) {
	y, m, d := t.now.In(t.Zone).AddDate(0, 0, t.workday(days)).Date()
	t.set(t.setting().Serviceable(time.Date(y, m, d, 0, 0, 0, 0, t.Zone)), Came{Kind: CameSnag, Enquiry: e.ID})
}

// snagDue reminds the owner of what he is to put right today, was to have put right, or
// has named no day for: the next morning, and then once a week.
func (t *turn) snagDue(e *Enquiry) {
	s := t.unmended(e)
	if s == nil || s.Words == "" || t.now.Before(s.By) || t.Owner == 0 {
		return
	}
	t.showSnag(e, s)
	const soon, week = 1, 7
	if t.now.Before(s.since().AddDate(0, 0, soon)) {
		t.remindOfSnag(e, soon)
		return
	}
	t.remindOfSnag(e, week)
}

// showSnag puts what is not right before the owner as it stands, with what he can do.
func (t *turn) showSnag(e *Enquiry, s *Snag) {
	f := wording.Facts{Name: e.Name, Car: carName(e), Text: s.Words, Day: t.dayOf(s.At), When: t.dayOf(s.By)}
	if s.By.IsZero() {
		t.tell(t.Owner, wording.OwnerSnagNoDay, f, t.snagDays(e)...)
		return
	}
	k := wording.OwnerSnagLate
	switch by, today := diary.Key(s.By, t.Zone), diary.Key(t.now, t.Zone); {
	case by == today:
		k = wording.OwnerSnagDue
		if !s.Come.IsZero() {
			k, f.When = wording.OwnerSnagToday, s.Come.In(t.Zone).Format("15:04")
		}
	case by > today:
		k = wording.OwnerSnagComes
	}
	t.tell(t.Owner, k, f, []bot.Choice{
		{Label: t.label(wording.LabelSnagPutRight), Data: press{e.ID, 0, pressSnag, snagDone}.data()},
		{Label: t.label(wording.LabelSnagLater), Data: press{e.ID, 0, pressSnag, snagLater}.data()},
	}, []bot.Choice{t.own(e, pressWrite)})
}

// snagLines are a line for each customer who waits for something to be put right.
func (t *turn) snagLines() []string {
	var out []string
	for _, e := range t.unmendedJobs() {
		f := wording.Facts{Name: e.Name, Car: carName(e), When: t.dayOf(t.unmended(e).By)}
		k := wording.LineSnag
		if at := t.unmended(e).Come; !at.IsZero() {
			k, f.When = wording.LineSnagAt, t.Words.Moment(at.In(t.Zone))
		}
		out = append(out, t.word(k, f))
	}
	return out
}

// snagRows are a button for each of them.
func (t *turn) snagRows() [][]bot.Choice {
	var rows [][]bot.Choice
	for _, e := range t.unmendedJobs() {
		label := t.word(wording.SnagButton, wording.Facts{Name: e.Name})
		rows = append(rows, []bot.Choice{{Label: label, Data: press{e.ID, e.Rev, pressOwner, pressOpen}.data()}})
	}
	return rows[:min(mostSpokenOf, len(rows))]
}

// unmendedJobs are the jobs of the last weeks something is not right with.
func (t *turn) unmendedJobs() []*Enquiry {
	const days = 42 // a complaint comes within weeks of the job, and is seen to within weeks
	var out []*Enquiry
	for _, date := range diary.Keys(t.now.AddDate(0, 0, -days), t.Zone, days+1) {
		for _, e := range t.jobsOn(date) {
			if s := t.unmended(e); s != nil && s.Words != "" && !slices.Contains(out, e) {
				out = append(out, e)
			}
		}
	}
	return out
}

// ofSnag takes what a customer writes while something is to be put right: a time, that
// they bring it, thanks. It is about that, and the owner's, unless it plainly asks for
// something new. It reports whether it was that.
func (t *turn) ofSnag(c *Chat, text string) bool {
	all := slices.DeleteFunc(t.jobs(c), func(e *Enquiry) bool { s := t.unmended(e); return s == nil || s.Words == "" })
	if len(all) == 0 || text == "" {
		return false
	}
	e := all[len(all)-1]
	if now := t.current(c); now != nil && now.Stage != Done && now.Stage != Closed || t.outsideSnag(e, text) {
		return false
	}
	for _, part := range pieces(text) {
		if t.Owner != 0 {
			t.tell(t.Owner, wording.OwnerOfJob, wording.Facts{Name: e.Name, Car: carName(e), Text: part}, t.snagReplies(e, text)...)
		}
	}
	k := wording.GivenOnToo
	if t.isQuestion(text) {
		k = wording.GivenOn
	}
	t.tell(c.ID, k, wording.Facts{})
	return true
}

// outsideSnag tells whether words are not about what is to be put right: a price is asked
// for, another car is named, or they are one of the words that count everywhere.
func (t *turn) outsideSnag(e *Enquiry, text string) bool {
	said := wording.Plain(text)
	everywhere := []wording.Key{wording.SayVAT, wording.SayAgain, wording.SayBack, wording.SayHelp, wording.SayCarryOn, wording.SayAnotherCar}
	if t.Reader == nil || t.callsOut(text) || t.speaksOf(said, wording.SayBookAgain) || t.speaksOf(said, wording.SayAnotherCar) ||
		slices.ContainsFunc(everywhere, func(k wording.Key) bool { return t.means(said, k) }) {
		return true
	}
	r := t.heardIn(text)
	v := r.Vehicle()
	return slices.Contains(r.Asks, "price") || v != nil && v.Car != nil && (e.Car == nil || *v.Car != *e.Car)
}

// snagReplies are the owner's buttons under what a customer writes of something that is
// to be put right: the day they name, or any while none is said, and to write to them.
func (t *turn) snagReplies(e *Enquiry, text string) [][]bot.Choice {
	for _, w := range when.Read(t.asRead(text), t.saidAt()).Prefer {
		if n := t.daysTo(w); n > 0 {
			return append(t.snagAtRows(e, w), []bot.Choice{t.byButton(e, n)}, []bot.Choice{t.own(e, pressWrite)})
		}
	}
	if t.unmended(e).By.IsZero() {
		return t.snagDays(e)
	}
	return [][]bot.Choice{{t.own(e, pressWrite)}}
}

// daysTo is in how many days the first is that somebody names, 0 if they name none.
func (t *turn) daysTo(w diary.Times) int {
	const most = 60
	for n := 1; n <= most; n++ {
		day := t.now.In(t.Zone).AddDate(0, 0, n)
		if len(w.Weekdays)+len(w.On) > 0 && w.HasDay(day.Weekday(), diary.Key(day, t.Zone)) {
			return n
		}
	}
	return 0
}
