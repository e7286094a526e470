package conversations

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// pressDesk is the question name of the owner's own buttons, which belong to no
// enquiry; noEnquiry stands where its id would.
const (
	pressDesk = "desk"
	noEnquiry = "-"
)

// The presses of the owner's desk. Those that concern a day carry its date.
const (
	deskToday    = "today"
	deskTomorrow = "tomorrow"
	deskWeek     = "week"
	deskRain     = "rain:"
	deskOff      = "off:"
	deskFree     = "free:"
)

func (t *turn) deskRow(list ...named) []bot.Choice {
	var row []bot.Choice
	for _, n := range list {
		row = append(row, bot.Choice{Label: t.label(n.label), Data: press{noEnquiry, 0, pressDesk, n.key}.data()})
	}
	return row
}

// deskWays are the views the owner can always ask for.
func (t *turn) deskWays() [][]bot.Choice {
	return [][]bot.Choice{t.deskRow(named{deskToday, wording.LabelToday}, named{deskTomorrow, wording.LabelTomorrow}, named{deskWeek, wording.LabelWeek})}
}

// ownerWays are what the owner can do about a booking.
func (t *turn) ownerWays(e *Enquiry) [][]bot.Choice {
	return [][]bot.Choice{{t.own(e, pressSheet), t.own(e, pressArrived), t.own(e, pressDone)}, append(t.visitRow(e), t.own(e, pressWrite))}
}

// own is one of the owner's buttons about an enquiry.
func (t *turn) own(e *Enquiry, p string) bot.Choice {
	return bot.Choice{Label: t.label(ownerLabels[p]), Data: press{e.ID, e.Rev, pressOwner, p}.data()}
}

// deskPressed takes a press on one of the owner's own buttons.
func (t *turn) deskPressed(c *Chat, choice string) {
	today := diary.Key(t.now, t.Zone)
	kind, date, _ := strings.Cut(choice, ":")
	switch kind + ":" {
	case deskRain:
		t.rainedOff(c, date)
		return
	case deskOff:
		t.takeOffDay(c, date)
		return
	case deskFree:
		t.freeDay(c, date)
		return
	}
	switch choice {
	case deskToday:
		t.showDay(c, today)
	case deskTomorrow:
		t.showDay(c, diary.Key(t.now.AddDate(0, 0, 1), t.Zone))
	case deskWeek:
		t.showWeek(c)
	default:
		t.tell(c.ID, wording.OwnerHello, wording.Facts{}, t.deskWays()...)
	}
}

// deskSaid takes what the owner types when nothing else is open, and reports
// whether it was something for the desk.
func (t *turn) deskSaid(c *Chat, text string) bool {
	said := plain(text)
	for k, choice := range map[wording.Key]string{wording.LabelToday: deskToday, wording.LabelTomorrow: deskTomorrow, wording.LabelWeek: deskWeek} {
		if t.means(said, k) {
			t.deskPressed(c, choice)
			return true
		}
	}
	if t.means(said, wording.SayFigures) {
		t.figures(c, figuresMonth)
		return true
	}
	if t.means(said, wording.SayRain) {
		t.rainedOff(c, t.wetDay())
		return true
	}
	if n, ok := minutesLate(said); ok {
		t.runningLate(c, n)
		return true
	}
	if t.means(said, wording.SayCalendar) {
		k := wording.OwnerFeed
		if t.Feed == "" {
			k = wording.OwnerNoFeed
		}
		t.tell(c.ID, k, wording.Facts{Text: t.Feed})
		return true
	}
	return false
}

// jobsOn are the bookings of a day, in order.
func (t *turn) jobsOn(date string) []*Enquiry {
	var out []*Enquiry
	for _, en := range t.day(date).Entries {
		if en.Kind == diary.Booked {
			if e := t.enquiry(en.ID); e != nil && e.Slot != nil {
				out = append(out, e)
			}
		}
	}
	return out
}

// showDay puts a day before the owner.
func (t *turn) showDay(c *Chat, date string) {
	var row []named
	jobs := t.jobsOn(date)
	if slices.ContainsFunc(jobs, outdoor) {
		row = append(row, named{deskRain + date, wording.LabelRain})
	}
	if slices.ContainsFunc(t.day(date).Entries, func(e diary.Entry) bool { return e.Kind == diary.Off }) {
		row = append(row, named{deskFree + date, wording.LabelFreeDay})
	} else if len(jobs) == 0 {
		row = append(row, named{deskOff + date, wording.LabelOffDay})
	}
	t.tell(c.ID, wording.OwnerDay, t.dayFacts(date), t.deskRow(row...))
}

// dayFacts are a day's jobs, gaps, driving and light.
func (t *turn) dayFacts(date string) wording.Facts {
	at, _ := time.ParseInLocation(time.DateOnly, date, t.Zone)
	f := wording.Facts{Day: t.Words.Date(at)}
	rules := t.diaryRules()
	free := rules.Hours[at.Weekday()]
	if rules.Closed[date] {
		free = nil
	}
	var likely int64
	prev := rules.Base
	for i, en := range t.day(date).Entries {
		line := wording.Facts{When: en.Start.In(t.Zone).Format("15:04"), Until: en.End.In(t.Zone).Format("15:04"), Text: t.label(wording.LabelOffDay)}
		e := t.enquiry(strings.TrimSuffix(en.ID, "~"))
		k := wording.LineTimeOff
		if en.Kind != diary.Off && e != nil && e.Quote != nil {
			k = wording.LineJob
			line.Name, line.Car, line.Text = e.Name, carName(e), t.wanted(e)
			line.Items = []string{t.where(e)}
			line.Likely, line.Most = pounds(e.Quote.Likely), pounds(e.Quote.High)
			if en.Kind != diary.Booked {
				k = wording.LineAsked
			} else {
				likely += e.Quote.Likely
			}
			if way := rules.Travel.Between(prev, en.Point); prev.Known() && en.Point.Known() && prev != en.Point && way > 0 {
				line.Minutes = int(way.Minutes())
				if i == 0 {
					f.Hours = en.Start.Add(-way).In(t.Zone).Format("15:04")
				}
			}
			prev = en.Point
		}
		f.Items = append(f.Items, t.word(k, line))
	}
	f.Out = t.gaps(date, free)
	if likely > 0 {
		f.Likely = pounds(likely)
	}
	f.Count = len(f.Items)
	if _, set, light := diary.Sun(at.Add(12*time.Hour), rules.Base); light == diary.Ordinary {
		f.Until = set.In(t.Zone).Format("15:04")
	}
	return f
}

// gaps are the stretches of a day's working hours that nothing takes, of half an
// hour and more.
func (t *turn) gaps(date string, hours []diary.Span) []string {
	at, _ := time.ParseInLocation(time.DateOnly, date, t.Zone)
	clock := func(minutes int) time.Time {
		y, m, d := at.Date()
		return time.Date(y, m, d, 0, minutes, 0, 0, t.Zone)
	}
	var out []string
	for _, h := range hours {
		from, to := clock(h.From), clock(h.To)
		add := func(until time.Time) {
			if until.Sub(from) >= diary.Step {
				out = append(out, from.Format("15:04")+"–"+until.Format("15:04"))
			}
		}
		for _, en := range t.day(date).Entries {
			if !en.Start.Before(to) || !en.End.After(from) {
				continue
			}
			add(en.Start.In(t.Zone))
			from = en.End.In(t.Zone)
		}
		add(to)
	}
	return out
}

// showWeek puts the next seven days before the owner, a line each.
func (t *turn) showWeek(c *Chat) {
	var f wording.Facts
	for i := range 7 {
		date := diary.Key(t.now.AddDate(0, 0, i), t.Zone)
		d := t.dayFacts(date)
		line := wording.Facts{Day: d.Day, Likely: d.Likely, Out: d.Out}
		for _, en := range t.day(date).Entries {
			if en.Kind == diary.Booked {
				line.Count++
			} else if en.Kind == diary.Off {
				line.Text = t.label(wording.LabelOffDay)
			}
		}
		f.Items = append(f.Items, t.word(wording.LineDay, line))
	}
	t.tell(c.ID, wording.OwnerWeek, f, t.deskWays()...)
}

// wetDay is the day "rained off" speaks of: today while there is outdoor work
// left, else tomorrow.
func (t *turn) wetDay() string {
	today := diary.Key(t.now, t.Zone)
	if len(t.wet(today)) > 0 {
		return today
	}
	return diary.Key(t.now.AddDate(0, 0, 1), t.Zone)
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

// takeOffDay keeps a whole day free, if nothing is on it.
func (t *turn) takeOffDay(c *Chat, date string) {
	at, err := time.ParseInLocation(time.DateOnly, date, t.Zone)
	if err != nil {
		return
	}
	entry := diary.Entry{ID: deskOff + date, Start: at, End: at.AddDate(0, 0, 1), Kind: diary.Off}
	k := wording.OwnerDayOff
	if !t.day(date).Place(entry) {
		k = wording.OwnerDayBusy
	}
	t.tell(c.ID, k, wording.Facts{Day: t.Words.Date(at)}, t.deskRow(named{deskFree + date, wording.LabelFreeDay}))
}

// freeDay takes time off back.
func (t *turn) freeDay(c *Chat, date string) {
	d := t.day(date)
	d.Entries = slices.DeleteFunc(slices.Clone(d.Entries), func(e diary.Entry) bool { return e.Kind == diary.Off })
	t.showDay(c, date)
}

var late = regexp.MustCompile(`\b([0-9]{1,3}) ?(m|min|mins|minutes)? late\b`)

// minutesLate reads "running 20 late".
func minutesLate(said string) (int, bool) {
	found := late.FindStringSubmatch(said)
	if found == nil {
		return 0, false
	}
	n, err := strconv.Atoi(found[1])
	return n, err == nil && n >= 5 && n <= 240
}

// runningLate tells the next customer of today, moves the job in the diary where
// there is room behind it, and looks whether the light lasts.
func (t *turn) runningLate(c *Chat, n int) {
	jobs := t.jobsOn(diary.Key(t.now, t.Zone))
	i := slices.IndexFunc(jobs, func(e *Enquiry) bool { return e.Slot.Start.After(t.now) })
	if i < 0 {
		t.tell(c.ID, wording.OwnerNobodyWaits, wording.Facts{})
		return
	}
	e := jobs[i]
	by := time.Duration(n) * time.Minute
	was := *e.Slot
	to := Span{was.Start.Add(by), was.End.Add(by)}
	pushed := t.occupy(e, e.ID, to, diary.Booked)
	if pushed {
		e.Slot = &to
		e.Changes++
		e.Rev++
		t.keepInMind(e)
	}
	f := t.visitFacts(e)
	f.Minutes, f.When = n, to.Start.In(t.Zone).Format("15:04")
	f.Until = to.End.In(t.Zone).Format("15:04")
	if !t.chat(e.Chat).Blocked {
		k := wording.RunningLateUnit
		if atTheirs(t, e) {
			k = wording.RunningLate
		}
		t.tell(e.Chat, k, f, t.visitRow(e))
	}
	var warnings []string
	if !pushed {
		warnings = append(warnings, t.word(wording.WarnNextJob, f))
	}
	if _, set, light := diary.Sun(to.Start, t.base()); outdoor(e) && light == diary.Ordinary && to.End.After(set.Add(-diary.DuskMargin)) {
		f.Day = set.In(t.Zone).Format("15:04")
		warnings = append(warnings, t.word(wording.WarnDark, f))
	}
	f.Items = warnings
	t.tell(c.ID, wording.OwnerLateTold, f, t.ownerWays(e)...)
}

// evening puts tomorrow before the owner, if there is anything on it.
func (t *turn) evening(date string) {
	if t.Owner == 0 || len(t.jobsOn(date)) == 0 {
		return
	}
	f := t.dayFacts(date)
	var row []named
	if len(t.wet(date)) > 0 {
		row = []named{{deskRain + date, wording.LabelRain}}
	}
	t.tell(t.Owner, wording.OwnerEvening, f, t.deskRow(row...))
}

// Feed is the owner's diary as a calendar others can subscribe to. docs are the
// documents [FeedKeys] names, and those of the enquiries in them; what is
// missing among those is returned as need.
func Feed(talk Talk, docs map[string][]byte, now time.Time) (feed []byte, need []string, err error) {
	t := newTurn(talk, docs, bot.Event{}, now)
	cal, err := t.feed()
	if t.err != nil {
		return nil, nil, t.err
	}
	return cal, t.out.Need, err
}

// FeedKeys are the days a feed shows: a month back, and as far as bookings go.
func FeedKeys(talk Talk, now time.Time) []string {
	var keys []string
	for i := -30; i <= talk.Rules.Diary.HorizonDays; i++ {
		keys = append(keys, dayKey(diary.Key(now.In(talk.Zone).AddDate(0, 0, i), talk.Zone)))
	}
	return keys
}

func (t *turn) feed() ([]byte, error) {
	cal := calendarOf(nil)
	seen := map[string]bool{}
	for _, key := range FeedKeys(t.Talk, t.now) {
		for _, e := range t.jobsOn(strings.TrimPrefix(key, "day:")) {
			if !seen[e.ID] {
				seen[e.ID] = true
				cal.Events = append(cal.Events, t.calendar(e, false).event(true))
			}
		}
	}
	if len(t.out.Need) > 0 {
		return nil, nil
	}
	body, err := bytesOf(cal)
	if err != nil {
		return nil, fmt.Errorf("conversations: feed: %w", err)
	}
	return body, nil
}
