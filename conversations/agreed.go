package conversations

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What was agreed is a list of tasks. A customer who keeps the money, spends what
// one part saves on another or adds an extra has agreed to other tasks than their
// first answers bring, so whatever comes after starts from that list.

// agreedLines are the agreed tasks with the minutes the rules give them as things
// are seen now, beside what is no task: setting up, the way, what a flag takes.
func (t *turn) agreedLines(e *Enquiry, wanted pricing.Quote) []pricing.Line {
	if len(e.Quote.Tasks) == 0 {
		return wanted.In // an older release did not keep the list
	}
	asked := t.priced(e)
	asked.Wants, asked.Budget = slices.Clone(e.Quote.Tasks), pricing.Pence(e.Quote.Budget)
	found := map[string]pricing.Line{}
	var frame []pricing.Line
	// First with the time a figure leaves for open-ended work, then without a
	// figure, then as if nothing had been graded: a grade the customer did not
	// agree to may leave nothing to do of a task.
	for _, try := range []func(){func() {}, func() { asked.Budget = 0 }, func() { asked.Graded = nil }} {
		if len(found) == len(e.Quote.Tasks) {
			break
		}
		try()
		fitted, err := t.fit(asked)
		if err != nil {
			t.fail(fmt.Errorf("conversations: agreed work of %s: %w", e.ID, err))
			return nil
		}
		for _, l := range fitted.Quote.In {
			if _, ok := t.Rules.Task(l.Task); !ok {
				if len(found) == 0 {
					frame = append(frame, l)
				}
			}
		}
		for _, l := range fitted.Quote.In {
			if _, ok := found[l.Task]; !ok && slices.Contains(e.Quote.Tasks, l.Task) {
				found[l.Task] = l
			}
		}
	}
	out := frame
	for _, id := range e.Quote.Tasks {
		if l, ok := found[id]; ok {
			if stop, told := e.Quote.Stops[id]; told { // the sheet has no other figure than they read
				l.Minutes, l.AtMost = min(l.Minutes, float64(stop)), float64(stop)
			}
			out = append(out, l)
		}
	}
	return out
}

// notAgreed is what the sheet says is not in the job: what was left out at first,
// and what the customer has done without since.
func (t *turn) notAgreed(e *Enquiry, wanted pricing.Quote) []pricing.Left {
	out := slices.DeleteFunc(slices.Clone(wanted.Out), func(l pricing.Left) bool { return slices.Contains(e.Quote.Tasks, l.Task) })
	for _, l := range wanted.In {
		if task, ok := t.Rules.Task(l.Task); ok && !slices.Contains(e.Quote.Tasks, task.ID) {
			out = append(out, pricing.Left{Task: l.Task, Words: l.Words})
		}
	}
	return out
}

// asAgreed puts back what was agreed and would fall out only because another part
// of the car turned out better or worse than was said: what the owner has seen of
// the wheels says nothing about the dog. What he has chosen himself is left alone.
func (t *turn) asAgreed(e *Enquiry, q *Quoted) *Quoted {
	if e.Quote.Budget > 0 || q.NeedSee != "" || q.Refused != "" || e.ByHand != nil && len(e.ByHand.Tasks) > 0 {
		return q
	}
	asked := t.priced(e)
	asked.Graded = nil
	for _, id := range e.Quote.Tasks {
		x, ok := t.Rules.Task(id)
		instead := slices.ContainsFunc(q.Tasks, func(k string) bool {
			y, _ := t.Rules.Task(k)
			return k == id || x.Family != "" && x.Family == y.Family && y.Level >= x.Level
		})
		if ok && !instead && x.Area != "" && e.Graded[x.Area] == pricing.Unknown {
			if with := t.added(e, q, asked, id); with != nil {
				q = with
			}
		}
	}
	return q
}

// more is what the money that was agreed to buys beyond the work as it is seen
// now, nil if that is nothing: the time one part needs less goes to what the
// customer wants most. Nothing that is wanted is given up or cut short for it.
func (t *turn) more(e *Enquiry) *Quoted {
	if e.Seen == nil || e.Seen.High >= e.Quote.High || e.Seen.NeedSee != "" || e.Seen.Refused != "" {
		return nil
	}
	asked := t.priced(e)
	wanted, err := t.quoted(asked)
	if err != nil {
		t.fail(fmt.Errorf("conversations: what more enquiry %s could have: %w", e.ID, err))
		return nil
	}
	// What is put back afterwards needs its money as well.
	most := pricing.Pence(e.Quote.High - max(0, e.Seen.High-int64(wanted.Price.High)))
	all := asked
	all.Wants, all.Budget = slices.Clone(asked.Wants), most
	var offers []pricing.Left
	for _, l := range t.nearest(wanted.Out) {
		if l.Adds > 0 && t.worthMore(e, l.Task) && !slices.Contains(e.Dropped, l.Task) {
			all.Wants, offers = append(all.Wants, l.Task), append(offers, l)
		}
	}
	if len(offers) == 0 || most <= 0 {
		return nil
	}
	fitted, err := t.fit(all)
	if err != nil || !fitted.Fits || !t.holdsAll(fitted.Quote, tasksOf(wanted)) {
		fitted = t.oneByOne(e, asked, offers, tasksOf(wanted), most)
	}
	if len(fitted.Quote.In) == 0 {
		return nil
	}
	q := t.asAgreed(e, t.remember(fitted, most, asked.Wants...))
	q.Budget = e.Quote.High
	if q.High > e.Quote.High || !slices.ContainsFunc(q.Tasks, func(id string) bool { return !slices.Contains(e.Seen.Tasks, id) }) {
		return nil
	}
	return q
}

// worthMore tells whether more work on the area of a task makes sense: not where
// the owner has just seen that there is next to nothing to do, save to protect it,
// and not for leather, of which nobody has asked whether there is any.
func (t *turn) worthMore(e *Enquiry, task string) bool {
	if x, _ := t.Rules.Task(task); x.Applies != "" {
		if p, _ := t.Rules.Protection(x.Applies); p.On == "leather" {
			return false
		}
	}
	protects := slices.ContainsFunc(t.Rules.Protections(), func(p pricing.Protection) bool { return p.ID == task })
	return protects || e.Graded[t.areaOf(task)] != pricing.Light
}

// oneByOne adds what still fits, what the customer complained of first: the way to
// spend money where the best choice would give up something that was asked for.
func (t *turn) oneByOne(e *Enquiry, asked pricing.Enquiry, offers []pricing.Left, wanted []string, most pricing.Pence) pricing.Fitted {
	minded := func(l pricing.Left) int {
		if at := slices.Index(e.Minds, t.areaOf(l.Task)); at >= 0 {
			return at
		}
		return len(e.Minds)
	}
	slices.SortStableFunc(offers, func(a, b pricing.Left) int { return minded(a) - minded(b) })
	var best pricing.Fitted
	for _, l := range offers {
		with := asked
		with.Wants = append(slices.Clone(asked.Wants), l.Task)
		q, err := t.quoted(with)
		if err == nil && q.Price.High <= most && t.holdsAll(q, wanted) {
			asked, best = with, pricing.Fitted{Fits: true, Quote: q}
		}
	}
	return best
}

// holdsAll tells whether a quote has all these tasks in it, or a level above, and
// as much time for them as they may need.
func (t *turn) holdsAll(q pricing.Quote, tasks []string) bool {
	return !slices.ContainsFunc(tasks, func(id string) bool {
		was, known := t.Rules.Task(id)
		return known && !slices.ContainsFunc(q.In, func(l pricing.Line) bool {
			is, ok := t.Rules.Task(l.Task)
			return ok && l.AtMost == 0 && (is.ID == id || is.Family != "" && is.Family == was.Family && is.Level >= was.Level)
		})
	})
}

// gained are the lines of a quote that another has not got.
func gained(q, other *Quoted) []string {
	return slices.DeleteFunc(slices.Clone(q.In), func(l string) bool { return slices.Contains(other.In, l) })
}

// withExtra is the price with one task more, whatever of it the customer has yet
// to say yes to.
func (t *turn) withExtra(e *Enquiry, task string) *Quoted {
	base := e.Quote
	if e.Seen != nil {
		base = e.Seen
	}
	q := t.added(e, base, t.priced(e), task)
	if q == nil {
		return nil
	}
	// Each price is rounded by itself, so that the difference of two may be a step off the sum
	// that stood in the list of what is left out; where they have read a sum, it is that.
	if told, ok := base.Adds[task]; ok {
		q.Likely = base.Likely + told
		q.Low, q.High = min(q.Low, q.Likely), max(q.High, q.Likely)
		if q.Budget > 0 {
			q.Budget = q.High
		}
	}
	return q
}

// added is a price with one task more. The rest of the work must not be fitted
// anew for it, so what the task adds is the difference of two prices by the same
// rules. It is nil if the task brings nothing.
func (t *turn) added(e *Enquiry, base *Quoted, asked pricing.Enquiry, task string) *Quoted {
	asked.Budget = 0
	asked.Wants = slices.Clone(base.Tasks)
	without, err := t.quoted(asked)
	asked.Wants = append(asked.Wants, task)
	with, also := t.quoted(asked)
	if err = errors.Join(err, also); err != nil {
		t.fail(fmt.Errorf("conversations: one task more for enquiry %s: %w", e.ID, err))
		return nil
	}
	if !slices.Contains(tasksOf(with), task) {
		return nil
	}
	q := *base
	q.Other = nil // of the work as it was
	q.Low += int64(with.Price.Low - without.Price.Low)
	q.Likely += int64(with.Price.Likely - without.Price.Likely)
	q.High += int64(with.Price.High - without.Price.High)
	q.P10, q.P50 = q.P10+with.Minutes.P10-without.Minutes.P10, q.P50+with.Minutes.P50-without.Minutes.P50
	q.P80, q.P90 = q.P80+with.Minutes.P80-without.Minutes.P80, q.P90+with.Minutes.P90-without.Minutes.P90
	if base.Budget > 0 {
		q.Budget = q.High
	}
	t.addLines(&q, with, base.Tasks)
	return &q
}

// addLines takes the tasks of a quote into another, in the place of lower levels.
func (t *turn) addLines(q *Quoted, with pricing.Quote, had []string) {
	q.In, q.Tasks, q.Out = slices.Clone(q.In), slices.Clone(q.Tasks), slices.Clone(q.Out)
	for _, l := range with.In {
		x, ok := t.Rules.Task(l.Task)
		if !ok || slices.Contains(q.Tasks, l.Task) {
			continue
		}
		for _, id := range had {
			if low, _ := t.Rules.Task(id); low.Family != "" && low.Family == x.Family {
				q.Tasks = slices.DeleteFunc(q.Tasks, func(k string) bool { return k == id })
				q.In = slices.DeleteFunc(q.In, func(line string) bool { return strings.HasPrefix(line, low.Words) })
			}
		}
		q.In, q.Tasks, q.Dry = append(q.In, l.Words), append(q.Tasks, l.Task), max(q.Dry, x.DryMinutes)
		of := func(line string) bool { return strings.HasPrefix(line, l.Words) }
		q.Out = slices.DeleteFunc(q.Out, of)
		q.Over, q.Unreached = slices.DeleteFunc(slices.Clone(q.Over), of), slices.DeleteFunc(slices.Clone(q.Unreached), of)
	}
}

// spendSaved puts the saved money into more work, with the customer's yes.
func (t *turn) spendSaved(e *Enquiry) {
	q := t.more(e)
	if q == nil {
		t.settle(e, wording.AgreedSeen)
		return
	}
	e.Seen = q
	t.settle(e, wording.AgreedMore)
}

// tasksOf are the tasks in a quote, by their ids in the rules and beside them.
func tasksOf(q pricing.Quote) []string {
	var out []string
	for _, l := range q.In {
		out = append(out, l.Task)
	}
	return out
}
