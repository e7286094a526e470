package conversations

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

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
	if len(t.wet(date)) > 0 {
		row = append(row, named{deskRain + date, wording.LabelRain})
	}
	if slices.ContainsFunc(t.day(date).Entries, func(e diary.Entry) bool { return e.Kind == diary.Off }) {
		row = append(row, named{deskFree + date, wording.LabelFreeDay})
	} else if len(jobs) == 0 {
		row = append(row, named{deskOff + date, wording.LabelOffDay})
	}
	f, rows := t.dayFacts(date), t.openRows(date)
	if date == diary.Key(t.now, t.Zone) || t.snagsOn(date) {
		f.Stays, rows = t.snagLines(), slices.Concat(rows, t.snagRows())
	}
	t.tell(c.ID, wording.OwnerDay, f, append(rows, t.deskRow(row...))...)
}

// openRows are a button for each visit of a day, asked for, booked or done, two to a
// row: whatever has scrolled away is two taps off.
func (t *turn) openRows(date string) [][]bot.Choice {
	var row []bot.Choice
	for _, en := range t.day(date).Entries {
		e := t.enquiry(en.ID)
		if e == nil || e.Quote == nil || e.Stage != Waits && e.Stage != Booked && e.Stage != Done {
			continue
		}
		label := t.word(wording.OpenButton, wording.Facts{When: en.Start.In(t.Zone).Format("15:04"), Name: e.Name})
		row = append(row, bot.Choice{Label: label, Data: press{e.ID, e.Rev, pressOwner, pressOpen}.data()})
	}
	return slices.Collect(slices.Chunk(row, 2))
}

// opened puts a visit before the owner as it stands now, with what can be done about it.
func (t *turn) opened(c *Chat, e *Enquiry) {
	switch {
	case e.Stage == Waits:
		t.showCard(e, wording.OwnerAsk, t.card(e))
	case e.working():
		c.Job = e.ID
		t.showStep(e, 0, "")
	case t.atTheCar(e):
		c.Job = e.ID
		t.showWalk(e, 0)
	case e.Stage == Held:
		t.tell(c.ID, wording.OwnerChoosing, wording.Facts{Name: e.Name, Car: carName(e)}, []bot.Choice{t.own(e, pressWrite)})
	case e.Stage == Booked:
		rows := t.ownerWays(e)
		if t.mayBegin(e) {
			rows = append([][]bot.Choice{t.jobRow(e, named{jobStart, wording.LabelStartWork}, named{jobNobody, wording.LabelNobody})}, rows...)
		}
		t.tell(c.ID, wording.OwnerVisit, t.ownersFacts(e), rows...)
	case e.Stage == Done && e.Work != nil:
		var money []bot.Choice
		if e.Work.Paid.IsZero() && e.toPay() > 0 {
			money = t.jobRow(e, named{jobPaid, wording.LabelPaid}, named{jobUnpaid, wording.LabelUnpaid})
		}
		t.tell(c.ID, wording.OwnerPast, wording.Facts{Name: e.Name, Car: carName(e), Items: []string{t.word(wording.LineVisit, t.pastFacts(e))}},
			slices.Concat([][]bot.Choice{money}, t.afterRows(e), [][]bot.Choice{{t.own(e, pressWrite)}})...)
		if s := t.unmended(e); s != nil && s.Words != "" {
			t.showSnag(e, s)
		}
	default:
		t.tell(c.ID, wording.OwnerStale, wording.Facts{Text: t.ownerStanding(e)})
	}
}

// dayFacts are a day's jobs, gaps, driving and light.
func (t *turn) dayFacts(date string) wording.Facts {
	at, _ := time.ParseInLocation(time.DateOnly, date, t.Zone)
	f := wording.Facts{Day: t.Words.Date(at)}
	rules := t.diaryRules()
	free := rules.Open(date, at.Weekday(), *t.day(date))
	var likely int64
	prev, first := rules.Base, true
	for _, en := range t.day(date).Entries {
		line := wording.Facts{When: en.Start.In(t.Zone).Format("15:04"), Until: en.End.In(t.Zone).Format("15:04")}
		e := t.enquiry(strings.TrimSuffix(en.ID, "~"))
		k := wording.LineTimeOff
		if en.Kind != diary.Off && e != nil && e.Quote != nil {
			k = wording.LineJob
			line.Name, line.Car, line.Text = e.Name, carName(e), t.scoped(e)
			line.Items = []string{t.whereTo(e)}
			line.Likely, line.Most = t.pounds(e.Quote.Likely), t.pounds(e.Quote.High)
			done := e.Stage == Done && e.Work != nil
			switch {
			case en.Kind != diary.Booked:
				k = wording.LineAsked
			case done:
				k = wording.LineJobDone
				likely += e.Work.Price
				line.Price, line.Money = t.pounds(e.Work.Price), ""
				if e.Work.Paid.IsZero() && e.toPay() > 0 {
					line.Money = t.pounds(e.toPay())
				}
			default:
				likely += e.Quote.Likely
				line.Until = t.endsAt(en).In(t.Zone).Format("15:04")
			}
			if way := rules.Travel.Between(prev, en.Point); prev.Known() && en.Point.Known() && prev != en.Point && way > 0 {
				line.Minutes = int(way.Minutes())
			} else if first && !en.Point.Known() && atTheirs(t, e) {
				line.Minutes = t.minutesFor(e)
			}
			if first && line.Minutes > 0 && !done {
				f.Hours = en.Start.Add(-time.Duration(line.Minutes) * time.Minute).In(t.Zone).Format("15:04")
			}
			prev, first = en.Point, false
		}
		f.Items = append(f.Items, t.word(k, line))
	}
	f.Out = t.gaps(date, free)
	if likely > 0 {
		f.Likely = t.pounds(likely)
	}
	f.Count = len(f.Items)
	if _, set, light := diary.Sun(at.Add(12*time.Hour), rules.Base); light == diary.Ordinary {
		f.Until = set.In(t.Zone).Format("15:04")
	}
	return f
}

// endsAt is when what stands in the diary ends as it looks now: later than it stands
// there if the owner has said so, or the steps that are left take longer.
func (t *turn) endsAt(en diary.Entry) time.Time {
	e := t.enquiry(en.ID)
	if e == nil || e.Slot == nil || e.Stage != Booked || !e.Slot.End.Equal(en.End) {
		return en.End
	}
	end := e.plannedEnd()
	if !e.working() || t.overDays(e) {
		return end
	}
	if c, ok := t.course(e); ok && c.end.After(end) {
		const even = 5 * time.Minute
		return c.end.Add(even - 1).Truncate(even)
	}
	return end
}

// minutesFor is how long the way to a customer takes who has only said how far it
// is, 0 if they have not.
func (t *turn) minutesFor(e *Enquiry) int {
	miles, err := strconv.Atoi(e.answer(askMiles))
	if err != nil || t.Rules.Diary.MilesAnHour <= 0 {
		return 0
	}
	return int(math.Ceil(60 * float64(miles) / t.Rules.Diary.MilesAnHour))
}

// gaps are the stretches of a day's working hours that nothing takes, of half an
// hour and more, and not over yet.
func (t *turn) gaps(date string, hours []diary.Span) []string {
	at, _ := time.ParseInLocation(time.DateOnly, date, t.Zone)
	clock := func(minutes int) time.Time {
		y, m, d := at.Date()
		return time.Date(y, m, d, 0, minutes, 0, 0, t.Zone)
	}
	var out []string
	for _, h := range hours {
		from, to := clock(h.From), clock(h.To)
		if now := t.now.Add(diary.Step - 1).Truncate(diary.Step); from.Before(now) {
			from = now
		}
		add := func(until time.Time) {
			if until.Sub(from) >= diary.Step {
				out = append(out, from.Format("15:04")+"–"+until.Format("15:04"))
			}
		}
		for _, en := range t.day(date).Entries {
			if !en.Start.Before(to) || !t.endsAt(en).After(from) {
				continue
			}
			add(en.Start.In(t.Zone))
			if end := t.endsAt(en).In(t.Zone); end.After(from) {
				from = end
			}
		}
		add(to)
	}
	return out
}

// showWeek puts seven days before the owner, a line each.
func (t *turn) showWeek(c *Chat, from time.Time) {
	var f wording.Facts
	for i := range 7 {
		date := diary.Key(from.AddDate(0, 0, i), t.Zone)
		d := t.dayFacts(date)
		line := wording.Facts{Day: d.Day, Likely: d.Likely, Out: d.Out}
		for _, en := range t.day(date).Entries {
			if en.Kind == diary.Booked {
				line.Count++
			} else if en.Kind == diary.Asked && en.For == "" {
				line.Minutes++
			} else if en.Kind == diary.Off && len(d.Out) == 0 {
				line.Text = t.label(wording.LabelOffDay)
			}
		}
		f.Items = append(f.Items, t.word(wording.LineDay, line))
	}
	t.tell(c.ID, wording.OwnerWeek, f, t.deskWays()...)
}

// evening puts tomorrow before the owner, if there is anything on it.
func (t *turn) evening(date string) {
	if t.Owner == 0 || len(t.jobsOn(date)) == 0 && !t.snagsOn(date) {
		return
	}
	f := t.dayFacts(date)
	f.In = t.toLoad(date)
	row := []named{{deskBring + date, wording.LabelBringAlong}}
	if len(t.wet(date)) > 0 {
		row = append(row, named{deskRain + date, wording.LabelRain})
	}
	f.Stays = t.snagLines()
	t.tell(t.Owner, wording.OwnerEvening, f, append(t.snagRows(), t.deskRow(row...))...)
}
