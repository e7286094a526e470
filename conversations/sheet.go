package conversations

import (
	"fmt"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/conversations/wording"
)

// sheet hands the owner the page that leads through a job: in the chat, and as a
// file to print.
func (t *turn) sheet(e *Enquiry) {
	if t.Sheet == nil {
		return
	}
	s, ok := t.workSheet(e)
	if !ok {
		return
	}
	page, err := t.Sheet.Page(s)
	if err != nil {
		t.fail(fmt.Errorf("conversations: page of %s: %w", e.ID, err))
		return
	}
	for _, m := range t.Sheet.Messages(s) {
		t.say(bot.Message{Chat: t.Owner, Text: m, Kind: "sheet"})
	}
	t.say(bot.Message{
		Chat: t.Owner, Text: t.word(wording.OwnerSheet, t.agreed(e)), Choices: t.ownerWays(e), Kind: "sheet",
		File: &bot.File{Name: slug(e.Name+" "+carName(e)) + ".html", Data: page},
	})
}

// workSheet is the agreed work as a job sheet. It reports false if there is none,
// and the turn has failed.
func (t *turn) workSheet(e *Enquiry) (jobsheet.Sheet, bool) {
	asked := t.priced(e)
	asked.Without = nil // the sheet says that it is left out
	fitted, err := t.Rules.Fit(asked)
	if err != nil {
		t.fail(fmt.Errorf("conversations: job sheet of %s: %w", e.ID, err))
		return jobsheet.Sheet{}, false
	}
	q := fitted.Quote
	q.Out = t.notAgreed(e, fitted.Quote)
	q.In = t.agreedLines(e, fitted.Quote)
	start := e.Slot.Start.In(t.Zone)
	if e.Job != nil && !e.Job.Started.IsZero() {
		start = e.Job.Started.In(t.Zone)
	}
	j := jobsheet.FromQuote(t.Rules, q, asked, start)
	j.Customer, j.Car, j.Place = e.Name, carName(e), t.where(e)
	j.Warm = e.Job != nil && e.Job.Warm
	if outdoor(e) {
		y, m, d := start.Date()
		if _, set, light := diary.Sun(time.Date(y, m, d, 12, 0, 0, 0, t.Zone), t.base()); light == diary.Ordinary {
			j.Sunset = set.In(t.Zone)
		}
	}
	s, err := jobsheet.New(t.Rules, j)
	if err != nil {
		t.fail(fmt.Errorf("conversations: job sheet of %s: %w", e.ID, err))
		return jobsheet.Sheet{}, false
	}
	return s, true
}
