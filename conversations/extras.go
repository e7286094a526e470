package conversations

import (
	"fmt"
	"slices"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What is added to a job on its day.

// mostExtras is how many extras are offered at once.
const mostExtras = 8

// extraPressed adds work on the day, with the customer's yes.
func (t *turn) extraPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Stage != Booked || p.rev != e.Rev {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	if p.choice == gradePanel {
		t.offerExtras(e)
		return
	}
	if _, ok := t.Rules.Task(p.choice); !ok {
		t.offerExtras(e)
		return
	}
	e.Extra = append(slices.DeleteFunc(e.Extra, func(x string) bool { return x == p.choice }), p.choice)
	e.Rev++
	if q := t.withExtra(e, p.choice); q != nil {
		e.Seen = q
		t.askAgain(e)
	}
}

// offerExtras shows the owner what could be added and what it would add.
func (t *turn) offerExtras(e *Enquiry) {
	if rows, ok := t.extraRows(e, nil); ok {
		t.tell(t.Owner, wording.OwnerExtras, t.agreed(e), append(rows, t.backToJob(e)...)...)
	}
}

// extraRows are the buttons of what could be added, of some parts and pieces of work if any
// are named.
func (t *turn) extraRows(e *Enquiry, of []string) (rows [][]bot.Choice, ok bool) {
	q, err := t.quoted(t.priced(e))
	if err != nil {
		t.fail(fmt.Errorf("conversations: extras for enquiry %s: %w", e.ID, err))
		return nil, false
	}
	now := e.Quote
	if e.Seen != nil {
		now = e.Seen
	}
	out := t.nearest(q.Out)
	for _, id := range e.Dropped {
		if x, ok := t.Rules.Task(id); ok { // he may think better of it
			out = append([]pricing.Left{{Task: id, Words: x.Words, Adds: 1}}, slices.DeleteFunc(out, func(l pricing.Left) bool { return l.Task == id })...)
		}
	}
	for _, l := range out {
		if l.Adds <= 0 || len(rows) >= mostExtras || slices.Contains(now.Tasks, l.Task) {
			continue
		}
		if len(of) > 0 && !slices.Contains(of, l.Task) && !slices.Contains(of, string(t.areaOf(l.Task))) {
			continue
		}
		if with := t.withExtra(e, l.Task); with != nil && with.Likely > now.Likely {
			label := short([]string{l.Words})[0] + " +" + t.pounds(with.Likely-now.Likely)
			rows = append(rows, []bot.Choice{{Label: label, Data: press{e.ID, e.Rev, pressExtra, l.Task}.data()}})
		}
	}
	return rows, true
}

// backToJob is the way from the extras to where he was.
func (t *turn) backToJob(e *Enquiry) [][]bot.Choice {
	if e.working() {
		return [][]bot.Choice{t.jobRow(e, named{jobStep, wording.LabelBack})}
	}
	return t.presses(e, pressGrade, named{gradePanel, wording.LabelBack})
}
