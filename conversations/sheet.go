package conversations

import (
	"fmt"
	"slices"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
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
	t.besideSteps(e, &s)
	page, err := t.sheetWords().Page(s)
	if err != nil {
		t.fail(fmt.Errorf("conversations: page of %s: %w", e.ID, err))
		return
	}
	for _, m := range t.sheetWords().Messages(s) {
		t.say(bot.Message{Chat: t.Owner, Text: m, Kind: "sheet"})
	}
	f := t.agreed(e)
	if t.language != "" && t.sheetIn == nil {
		f.Now = t.word(wording.SheetAsWritten, wording.Facts{})
	}
	t.say(bot.Message{
		Chat: t.Owner, Text: t.word(wording.OwnerSheet, f), Choices: t.ownerWays(e), Kind: "sheet",
		File: &bot.File{Name: slug(e.Name+" "+carName(e)) + ".html", Data: page},
	})
}

// sheetWords are the words of the job sheet: those of whoever this turn is worded for,
// or the business's own.
func (t *turn) sheetWords() *jobsheet.Words {
	if t.sheetIn != nil {
		return t.sheetIn
	}
	return t.Sheet
}

// atWork is a text of the rules' job sheet as it is read in the language of the turn.
func (t *turn) atWork(text string) string {
	if w := t.sheetWords(); w != nil {
		return w.Text(text)
	}
	return text
}

// workSheet is the agreed work as a job sheet. It reports false if there is none,
// and the turn has failed. What no word of another language is known for is read by
// nobody in halves: then all of the sheet is in the words of the rules file.
func (t *turn) workSheet(e *Enquiry) (jobsheet.Sheet, bool) {
	defer t.asTheSheet()()
	asked := t.priced(e)
	asked.Without = nil // the sheet says that it is left out
	fitted, err := t.fit(asked)
	if err != nil {
		t.fail(fmt.Errorf("conversations: job sheet of %s: %w", e.ID, err))
		return jobsheet.Sheet{}, false
	}
	q := fitted.Quote
	q.Out = t.notAgreed(e, fitted.Quote)
	q.In = t.agreedLines(e, fitted.Quote)
	q.WontComeOut = t.ofWork(q.WontComeOut, q.In, func(w pricing.Task) string { return w.Wont })
	q.Notes = t.ofWork(q.Notes, q.In, func(w pricing.Task) string { return w.Dries })
	start := e.Slot.Start.In(t.Zone)
	if e.Job != nil && !e.Job.Started.IsZero() {
		start = e.Job.Started.In(t.Zone)
	}
	j := jobsheet.FromQuote(t.Rules, q, asked, start)
	j.Customer, j.Car, j.Place = e.reached(), carName(e), t.whereTo(e)
	j.Said = t.hisWords(e, wording.LineWrote)
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

// asTheSheet words what follows as the sheet is worded, until what it returns is called.
func (t *turn) asTheSheet() (back func()) {
	words, rules := t.Words, t.Rules
	if t.sheetIn == nil {
		t.Words, t.Rules = t.native, t.written
	}
	return func() { t.Words, t.Rules = words, rules }
}

// ofWork leaves of texts those that no piece of work has which is not in a job: what is
// said of the smell goes with the work on it. What belongs to no piece of work stays.
func (t *turn) ofWork(texts []string, in []pricing.Line, of func(pricing.Task) string) []string {
	said := map[string]bool{} // whether what has the text is in the job
	for _, id := range t.Rules.Order() {
		if task, ok := t.Rules.Task(id); ok && of(task) != "" {
			said[of(task)] = said[of(task)] || slices.ContainsFunc(in, func(l pricing.Line) bool { return l.Task == id })
		}
	}
	return slices.DeleteFunc(slices.Clone(texts), func(s string) bool { in, ok := said[s]; return ok && !in })
}
