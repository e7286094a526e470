package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// Where nobody can tell how it will come out, one spot or one lamp is done first
// and the customer chooses from what they see.

const (
	trialOn    = "on"
	trialLeave = "leave"
)

// tried takes how a trial came out: a photograph, words, or both. Words alone
// after a photograph, or the other way round, complete the same one.
func (t *turn) tried(c *Chat, e *Enquiry, file bot.FileID, words string) {
	words = brief(words)
	j := e.Job
	task := ""
	if e.working() {
		if at, ok := t.course(e); ok && at.at >= 0 {
			task = at.sheet.Steps[at.at].Task
		}
	}
	const most = 10
	n := len(j.Trials) - 1
	if n < 0 || j.Trials[n].Choice != "" || j.Trials[n].File != "" && j.Trials[n].Words != "" {
		if n+1 >= most {
			c.Noting = ""
			return
		}
		j.Trials = append(j.Trials, Trial{Task: task})
		n++
	}
	tr := &j.Trials[n]
	if file != "" {
		tr.File = file
	}
	if words != "" {
		tr.Words = words
	}
	switch {
	case tr.File == "":
		t.tell(t.Owner, wording.OwnerTryPhoto, wording.Facts{}, t.jobRow(e, named{jobStep, wording.LabelBack}))
		return
	case tr.Words == "":
		t.tell(t.Owner, wording.OwnerTryWords, wording.Facts{}, t.jobRow(e, named{jobStep, wording.LabelBack}))
		return
	}
	c.Noting = ""
	tr.At = t.now
	id := string(rune('0' + n))
	f := wording.Facts{Name: e.Name, Car: carName(e), Text: tr.Words, Question: t.taskWords(tr.Task)}
	t.say(bot.Message{Chat: e.Chat, Photo: tr.File, Text: t.word(wording.AskTrial, f), Kind: "trial",
		Choices: [][]bot.Choice{t.theirRow(e, named{theirTrial + ":" + id + trialOn, wording.LabelTrialOn}), t.theirRow(e, named{theirTrial + ":" + id + trialLeave, wording.LabelTrialLeave})}})
	lead := t.word(wording.OwnerTryAsked, f)
	if e.working() {
		t.showStep(e, 0, lead)
		return
	}
	t.tell(t.Owner, wording.OwnerTryAsked, f, t.jobRow(e, named{jobWalk, wording.LabelBack}))
}

// trialChosen takes the customer's choice. What they would rather leave is taken
// out of the work and the price, as the owner reads.
func (t *turn) trialChosen(c *Chat, e *Enquiry, rest string, w bot.Tap) {
	if e.Stage != Booked || e.Job == nil || len(rest) < 2 {
		t.staleVisit(c, e)
		return
	}
	n := int(rest[0] - '0')
	if n < 0 || n >= len(e.Job.Trials) || e.Job.Trials[n].Choice != "" {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	tr := &e.Job.Trials[n]
	tr.Choice = trialOn
	k, to := wording.TrialOn, wording.OwnerTrialOn
	if strings.HasSuffix(rest, trialLeave) {
		tr.Choice = trialLeave
		k, to = wording.TrialLeft, wording.OwnerTrialLeft
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), Question: t.taskWords(tr.Task)}
	if tr.Choice == trialLeave && t.without(e, tr.Task) {
		f.Price = t.brief(e.Quote)
	}
	t.tell(e.Chat, k, f, t.theirWays(e)...)
	t.tell(t.Owner, to, f, t.jobRow(e, named{jobStep, wording.LabelCarryOn}))
}

// without takes a task out of the agreed work, with what it would have cost. The
// price before stays beside it. What other agreed work needs stays in.
func (t *turn) without(e *Enquiry, task string) bool {
	if !slices.Contains(e.Quote.Tasks, task) {
		return false
	}
	asked := t.priced(e)
	asked.Budget = 0
	asked.Wants = slices.Clone(e.Quote.Tasks)
	with, err := t.quoted(asked)
	asked.Wants = slices.DeleteFunc(asked.Wants, func(x string) bool { return x == task })
	less, also := t.quoted(asked)
	if err != nil || also != nil || less.Refused != "" || slices.ContainsFunc(tasksOf(less), func(x string) bool { return x == task }) {
		return false
	}
	q := *e.Quote
	q.Other = nil // of the work as it was
	q.Low = max(0, q.Low-int64(with.Price.Low-less.Price.Low))
	q.Likely = max(0, q.Likely-int64(with.Price.Likely-less.Price.Likely))
	q.High = max(q.Likely, q.High-int64(with.Price.High-less.Price.High))
	q.P10, q.P50 = max(0, q.P10-with.Minutes.P10+less.Minutes.P10), max(0, q.P50-with.Minutes.P50+less.Minutes.P50)
	q.P80, q.P90 = max(0, q.P80-with.Minutes.P80+less.Minutes.P80), max(0, q.P90-with.Minutes.P90+less.Minutes.P90)
	q.Tasks = slices.DeleteFunc(slices.Clone(q.Tasks), func(x string) bool { return x == task })
	words := t.taskWords(task)
	q.In = slices.DeleteFunc(slices.Clone(q.In), func(l string) bool { return strings.HasPrefix(l, words) })
	q.Out = append([]string{words}, q.Out...)
	e.Before = append(e.Before, *e.Quote)
	e.Quote = &q
	e.Extra = slices.DeleteFunc(e.Extra, func(x string) bool { return x == task })
	e.Dropped = append(e.Dropped, task)
	e.Rev++
	return true
}
