package conversations

import (
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/reminders"
)

// keepInMind sets what a booking brings with it: the end of the job, and the
// evening before.
func (t *turn) keepInMind(e *Enquiry) {
	t.set(e.Slot.Start, Came{Kind: CameBegin, Enquiry: e.ID})
	t.set(e.Slot.End, Came{Kind: CameJob, Enquiry: e.ID})
	for _, kind := range []reminders.Kind{reminders.DayBefore, reminders.Morning} {
		t.unsetVisit(e, kind)
	}
	for _, m := range t.setting().Appointment(e.Slot.Start, t.now) {
		t.set(m.At, Came{Kind: CameVisit, Enquiry: e.ID, Say: m.Kind})
	}
	start := e.Slot.Start.In(t.Zone)
	y, m, d := start.Date()
	if eve := time.Date(y, m, d-1, t.Rules.Diary.EveningHour, 0, 0, 0, t.Zone); eve.After(t.now) {
		t.set(eve, Came{Kind: CameEvening, Day: diary.Key(start, t.Zone)})
	}
}

func (t *turn) unsetVisit(e *Enquiry, kind reminders.Kind) {
	t.out.Unset = append(t.out.Unset, dueID(Came{Kind: CameVisit, Enquiry: e.ID, Say: kind}))
}

// visitSoon tells a customer of their visit: the day before what to prepare, on
// the morning that it is today. A visit that was moved or called off says nothing.
func (t *turn) visitSoon(e *Enquiry, kind reminders.Kind) {
	if t.snagSoon(e, kind) {
		return
	}
	if e.Stage != Booked || e.Slot == nil || t.chat(e.Chat).Blocked || e.Move != nil && e.Move.Wet {
		return
	}
	for _, m := range t.setting().Appointment(e.Slot.Start, e.Slot.Start.AddDate(0, 0, -30)) {
		if m.Kind != kind || !m.Sensible(t.now) {
			continue
		}
		f := t.visitFacts(e)
		f.When = e.Slot.Start.In(t.Zone).Format("15:04")
		f.Text = t.toPrepare(e, f)
		k := wording.VisitTomorrow
		if kind == reminders.Morning {
			k = wording.VisitToday
		}
		t.say(bot.Message{Chat: e.Chat, Text: t.askedStill(e, t.word(k, f)), Choices: [][]bot.Choice{t.visitRow(e)}, Kind: string(kind), NotAfter: m.NotAfter})
	}
}

// toPrepare is what is to be ready for a visit.
func (t *turn) toPrepare(e *Enquiry, f wording.Facts) string {
	if !atTheirs(t, e) {
		return t.word(wording.PrepareUnit, f)
	}
	f.Question = e.answer(askServices)
	return t.word(wording.PrepareTheirs, f)
}

// PriceOpen tells whether a customer whose enquiry it is will at a moment be asked once
// about their guide price: there is one that stands, it is the question on the table, and
// they may be written to.
func PriceOpen(e *Enquiry, c *Chat, at time.Time) bool {
	q := e.Quote
	return e.Stage == Asking && e.At == askQuote && q != nil && !q.lapsed(at) && q.Refused == "" && q.NeedSee == "" &&
		c.Enquiry == e.ID && !c.Stopped && !c.Blocked && !c.Person && !c.NoNudge
}

// quoteOpen asks once after a guide price that was not answered.
func (t *turn) quoteOpen(e *Enquiry) {
	if !PriceOpen(e, t.chat(e.Chat), t.now) {
		return
	}
	e.PriceAsked = true
	t.put(e, t.word(wording.QuoteOpen, wording.Facts{Name: e.Name, Until: t.Words.Date(e.Quote.Until.In(t.Zone))}))
	for i := range t.out.Say { // whoever is told "we won't ask again" is not asked again
		t.out.Say[i].Delivery, t.out.Say[i].NotAfter = bot.Once, e.Quote.Until
	}
}
