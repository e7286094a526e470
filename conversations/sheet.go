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
	asked := t.priced(e)
	fitted, err := t.Rules.Fit(asked)
	if err != nil {
		t.fail(fmt.Errorf("conversations: job sheet of %s: %w", e.ID, err))
		return
	}
	start := e.Slot.Start.In(t.Zone)
	j := jobsheet.FromQuote(t.Rules, fitted.Quote, asked, start)
	j.Customer, j.Car, j.Place = e.Name, carName(e), t.where(e)
	if outdoor(e) {
		y, m, d := start.Date()
		if _, set, light := diary.Sun(time.Date(y, m, d, 12, 0, 0, 0, t.Zone), t.base()); light == diary.Ordinary {
			j.Sunset = set.In(t.Zone)
		}
	}
	s, err := jobsheet.New(t.Rules, j)
	if err != nil {
		t.fail(fmt.Errorf("conversations: job sheet of %s: %w", e.ID, err))
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
