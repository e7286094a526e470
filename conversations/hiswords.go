package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// What the owner writes to a customer by himself is a promise. It is kept, and stands where
// the work is read: on the card, in the summary they say yes to, on the job sheet. Where it
// names work the price has not got, or has and is not to have, he is asked right then.

// The owner's presses about work he has written of; each carries a sum of the line.
const (
	pressPutSame  = "put-same:"
	pressPutMore  = "put-more:"
	pressPutLeave = "put-leave:"
)

// keepsHisWords keeps what the owner has written to a customer while there is work to come.
func (t *turn) keepsHisWords(e *Enquiry, text string) {
	if isGuest(e.Chat) || e.Stage == Done || e.Stage == Closed || slices.Contains(e.Wrote, text) {
		return
	}
	if !slices.ContainsFunc(sentences(text), func(s string) bool { return s != "" && !strings.Contains(s, "?") }) {
		return // he only asks
	}
	if r := []rune(text); len(r) > longestNote {
		text = string(r[:longestNote]) + "…"
	}
	e.Wrote = append(slices.Clone(e.Wrote), text)
	e.Wrote = e.Wrote[max(0, len(e.Wrote)-mostNoted):]
}

// notesWish keeps with a request what a customer asks that names work, as the answer comes
// from the owner and they count on it.
func (t *turn) notesWish(e *Enquiry, text string) {
	if (e.open() || e.Stage == Waits) && text != e.First && len(t.workIn(text)) > 0 {
		t.notes(e, text)
	}
}

// workIn is the work a text names, sentence by sentence.
func (t *turn) workIn(text string) (named []string) {
	return t.workNamed(strings.Fields(wording.Plain(text)))
}

// hisWords are what he has written to them, a line each.
func (t *turn) hisWords(e *Enquiry, k wording.Key) (lines []string) {
	for _, w := range e.Wrote {
		lines = append(lines, t.word(k, wording.Facts{Text: w}))
	}
	return lines
}

// offerPromised asks the owner, where what he has just written names other work than the
// price has, whether that is to be put into it.
func (t *turn) offerPromised(e *Enquiry, line string) {
	q := t.promised(e, line)
	if q == nil {
		return
	}
	now := e.Quote
	f := t.swapFacts(now, q)
	f.Name = e.Name
	button := func(label, choice string) []bot.Choice {
		return []bot.Choice{{Label: label, Data: press{e.ID, e.Rev, pressOwner, choice + lineSum(line)}.data()}}
	}
	rows := [][]bot.Choice{button(t.label(wording.LabelPutSame), pressPutSame)}
	if more := q.Likely - now.Likely; more != 0 {
		f.Money = "+" + t.pounds(more)
		if more < 0 {
			f.Money = "–" + t.pounds(-more)
		}
		rows = append(rows, button(t.word(wording.PutMoreButton, f), pressPutMore))
	}
	rows = append(rows, button(t.label(wording.LabelLeaveIt), pressPutLeave))
	t.tell(t.Owner, wording.OwnerPromised, f, rows...)
}

// promised is the price with the work a line of the owner's names, nil if it names no other
// than there is, or there is no price yet.
func (t *turn) promised(e *Enquiry, line string) *Quoted {
	if t.Reader == nil || isGuest(e.Chat) || e.Quote == nil || e.Quote.NeedSee != "" || e.Quote.Refused != "" ||
		e.Seen != nil || e.Stage != Asking && e.Stage != Held && e.Stage != Waits && e.Stage != Booked {
		return nil
	}
	m := t.workMeant(e, e.Quote.Tasks, line, t.partsCalled)
	if len(m.in) == 0 { // "never mind the smell" alone takes nothing away from anybody
		return nil
	}
	return t.swapped(e, e.Quote, m.in, m.out)
}

// swapFacts are the work that one price has and another has not.
func (t *turn) swapFacts(was, q *Quoted) (f wording.Facts) {
	for _, id := range q.Tasks {
		if task, ok := t.Rules.Task(id); ok && !slices.Contains(was.Tasks, id) {
			f.In = append(f.In, task.Words)
		}
	}
	for _, id := range was.Tasks {
		if task, ok := t.Rules.Task(id); ok && !slices.Contains(q.Tasks, id) {
			f.Out = append(f.Out, task.Words)
		}
	}
	return f
}

// putsIn takes the owner's word on it.
func putsIn(choice string) func(*turn, *Chat, *Enquiry, bot.Tap, string) {
	return func(t *turn, c *Chat, e *Enquiry, w bot.Tap, sum string) {
		at := slices.IndexFunc(e.Wrote, func(line string) bool { return lineSum(line) == sum })
		if at < 0 {
			t.staleVisit(c, e)
			return
		}
		q := t.promised(e, e.Wrote[at])
		switch {
		case choice == pressPutLeave:
			t.takeOff(w)
			t.tell(c.ID, wording.OwnerPutLeft, wording.Facts{Name: e.Name})
		case q == nil:
			t.staleVisit(c, e)
		default:
			t.takeOff(w)
			if choice == pressPutSame {
				same := *q
				same.Low, same.Likely, same.High, same.Budget = e.Quote.Low, e.Quote.Likely, e.Quote.High, e.Quote.Budget
				q = &same
			}
			t.putIn(c, e, q)
		}
	}
}

// putIn makes other work the work of an enquiry. Whoever has asked for nothing yet has it in
// their price at once; whoever has is asked for their yes.
func (t *turn) putIn(c *Chat, e *Enquiry, q *Quoted) {
	f := t.swapFacts(e.Quote, q)
	f.Name, f.Price = e.Name, t.brief(q)
	if e.Stage == Waits || e.Stage == Booked {
		t.handTasks(e, q)
		e.Seen = q
		t.askAgain(e)
		return
	}
	e.Before = append(e.Before, *e.Quote)
	e.Quote = q
	e.Rev++
	if e.Slot != nil && !t.roomFor(e) {
		f.Day = t.Words.Moment(e.Slot.Start.In(t.Zone))
		t.reopen(e)
	}
	t.tell(c.ID, wording.OwnerPutIn, f)
	their := t.chat(e.Chat)
	if their.Blocked || their.Stopped {
		return
	}
	if their.Person {
		t.tell(e.Chat, wording.PutIn, f)
		return
	}
	t.lead(their, t.word(wording.PutIn, f))
}

// roomFor tells whether the time somebody has is long enough for their price.
func (t *turn) roomFor(e *Enquiry) bool {
	end, ok := t.doneBy(e)
	return ok && !end.After(e.Slot.End)
}

// handTasks notes that the owner has chosen the work of a price himself.
func (t *turn) handTasks(e *Enquiry, q *Quoted) {
	h := ByHand{}
	if e.ByHand != nil {
		h = *e.ByHand
	}
	h.Tasks = slices.DeleteFunc(slices.Clone(q.Tasks), func(id string) bool { return !t.isWork(id) })
	h.Dropped = slices.DeleteFunc(slices.Clone(h.Dropped), func(id string) bool { return slices.Contains(q.Tasks, id) })
	for _, id := range e.Quote.Tasks {
		if !slices.Contains(q.Tasks, id) && !slices.Contains(h.Dropped, id) {
			h.Dropped = append(h.Dropped, id)
		}
	}
	e.ByHand = &h
	e.Rev++
}
