package conversations

import (
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// asksElse tells whether a text is a question that names a time and does not ask for it,
// so that it is no wish: "will the seats be dry by the evening?"
func (t *turn) asksElse(text string) bool {
	if !t.isQuestion(text) {
		return false
	}
	if t.asksOfDrying(text) {
		return true
	}
	const most = 1 // word beside a time that is asked for
	return t.languageOf(t.event.Chat) == "" && !t.speaksOf(wording.Plain(text), wording.SayAsksFor) && len(when.Read(text, t.saidAt()).Unread) > most
}

// asksOfDrying tells whether a text asks when something is dry.
func (t *turn) asksOfDrying(text string) bool {
	return t.isQuestion(text) && t.speaksOf(wording.Plain(text), wording.SayDry)
}

// driesWhen are the facts of how long what is done to a car takes to dry, and when the work
// before it is over: at the time that is kept, else at the first on the table. False where
// the rules do not tell.
func (t *turn) driesWhen(e *Enquiry) (f wording.Facts, ok bool) {
	if e.Quote == nil || e.Quote.P80 == 0 {
		return f, false
	}
	for _, id := range e.Quote.Tasks {
		if task, ok := t.Rules.Task(id); ok && task.Dries != "" {
			f.Items = append(f.Items, task.Dries)
		}
	}
	if len(f.Items) == 0 && e.Quote.Dry > 0 {
		return f, false
	}
	if s := e.Slot; s != nil {
		f.When, f.Until = t.Words.Moment(s.Start.In(t.Zone)), t.until(s.Start, s.End)
	} else if e.At == askSlot {
		if table := t.few(e, t.free(e, e.From)); len(table) > 0 {
			f.When, f.Until = t.Words.Moment(table[0].Start.In(t.Zone)), t.until(table[0].Start, table[0].End)
		}
	}
	return f, true
}
