package conversations

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What is added to a job on its day.

// mostExtras is how many extras are offered at once.
const mostExtras = 8

// extrasFrom stands before the place in the list of extras from which it is shown.
const extrasFrom = "from:"

// extraFree stands before an extra that costs nothing.
const extraFree = "free:"

// extraPressed adds work on the day, with the customer's yes.
func (t *turn) extraPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Stage != Booked || p.rev != e.Rev {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	task, free := strings.CutPrefix(p.choice, extraFree)
	if _, ok := t.Rules.Task(task); !ok {
		from, _ := strconv.Atoi(strings.TrimPrefix(p.choice, extrasFrom)) // anything else is the beginning
		t.offerExtras(e, from)
		return
	}
	e.Extra = append(slices.DeleteFunc(e.Extra, func(x string) bool { return x == task }), task)
	e.Rev++
	q := t.withExtra(e, task)
	if q == nil && t.isFiner([]string{string(t.areaOf(task))}) {
		e.seesSome(t.areaOf(task))
		q = t.withExtra(e, task)
	}
	if q != nil {
		if was := e.Seen; free {
			if was == nil {
				was = e.Quote
			}
			q.Low, q.Likely, q.High, q.Budget = was.Low, was.Likely, was.High, was.Budget
		}
		e.Seen = q
		t.askAgain(e)
	}
}

// offerExtras shows the owner what could be added and what it would add, from a place in
// the list on.
func (t *turn) offerExtras(e *Enquiry, from int) {
	all, ok := t.extraRows(e, nil, false)
	if !ok {
		return
	}
	if from < 0 || from >= len(all) {
		from = 0
	}
	rows := slices.Clone(all[from:min(from+mostExtras, len(all))])
	if next := from + mostExtras; len(all) > mostExtras {
		if next >= len(all) {
			next = 0 // round again
		}
		rows = append(rows, t.presses(e, pressExtra, named{extrasFrom + strconv.Itoa(next), wording.LabelTheRest})...)
	}
	t.tell(t.Owner, wording.OwnerExtras, t.agreed(e), append(rows, t.backToJob(e)...)...)
}

// extraRows are the buttons of what could be added, of some parts and pieces of work if any
// are named, at no charge if that is said.
func (t *turn) extraRows(e *Enquiry, of []string, free bool) (rows [][]bot.Choice, ok bool) {
	all, err := t.extras(e)
	if err != nil {
		t.fail(fmt.Errorf("conversations: extras for enquiry %s: %w", e.ID, err))
		return nil, false
	}
	for _, x := range all {
		if len(of) > 0 && !slices.Contains(of, x.task) && !slices.Contains(of, string(t.areaOf(x.task))) {
			continue
		}
		label := short([]string{x.words})[0]
		task := x.task
		if free {
			label, task = t.word(wording.FreeButton, wording.Facts{Text: label}), extraFree+task
		} else if x.adds > 0 {
			label += " +" + t.pounds(x.adds)
		}
		rows = append(rows, []bot.Choice{{Label: label, Data: press{e.ID, e.Rev, pressExtra, task}.data()}})
	}
	return rows, true
}

// extra is a piece of work that can be added, and what it would add in pence.
type extra struct {
	task, words string
	adds        int64
}

// extras is every piece of work that could be added to a job: first what he took out
// himself, then what the customer's price leaves out, the nearest first, then whatever
// else the rules have for this car, the dearest first.
func (t *turn) extras(e *Enquiry) ([]extra, error) {
	theirs := *e
	theirs.ByHand = nil // what they came close to, whatever he has chosen since
	q, err := t.quoted(t.priced(&theirs))
	if err != nil {
		return nil, err
	}
	now := e.Quote
	if e.Seen != nil {
		now = e.Seen
	}
	ids := slices.Clone(e.Dropped)
	for _, id := range t.dearestFirst(q) { // what was asked for, and a figure has left out
		if t.isWork(id) && !slices.Contains(now.Tasks, id) {
			ids = append(ids, id)
		}
	}
	for _, l := range t.nearest(q.Out) {
		ids = append(ids, l.Task)
	}
	near := len(ids)
	ids = append(ids, t.Rules.Order()...)
	var all, further []extra
	seen := map[string]bool{}
	for i, id := range ids {
		task, ok := t.Rules.Task(id)
		unseen := task.Value == [4]float64{} // nobody has it done for its own sake
		if !ok || task.Always || unseen || seen[id] || slices.Contains(now.Tasks, id) || t.deeperIn(now.Tasks, task) {
			continue
		}
		seen[id] = true
		with := t.withExtra(e, id)
		if with == nil || with.Likely < now.Likely {
			continue
		}
		x := extra{id, task.Words, with.Likely - now.Likely}
		if i < near {
			all = append(all, x)
		} else {
			further = append(further, x)
		}
	}
	slices.SortStableFunc(further, func(a, b extra) int { return cmp.Compare(b.adds, a.adds) })
	all = slices.Concat(all, further)
	slices.SortStableFunc(all, func(a, b extra) int { // what adds nothing comes last
		return cmp.Compare(min(b.adds, 1), min(a.adds, 1))
	})
	return all, nil
}

// dearestFirst are the tasks of a price, the dearest first.
func (t *turn) dearestFirst(q pricing.Quote) []string {
	in := slices.Clone(q.In)
	slices.SortStableFunc(in, func(a, b pricing.Line) int { return cmp.Compare(b.Price, a.Price) })
	return tasksOf(pricing.Quote{In: in})
}

// deeperIn tells whether some work has a thorougher level of a task already.
func (t *turn) deeperIn(tasks []string, of pricing.Task) bool {
	return of.Family != "" && slices.ContainsFunc(tasks, func(id string) bool {
		task, ok := t.Rules.Task(id)
		return ok && task.Family == of.Family && task.Level > of.Level
	})
}

// What is added to a job on its day.

// backToJob leads the owner back to where he was: the walk round the car or the job in hand.
func (t *turn) backToJob(e *Enquiry) [][]bot.Choice {
	if e.working() {
		return [][]bot.Choice{t.jobRow(e, named{jobStep, wording.LabelBack})}
	}
	return t.presses(e, pressGrade, named{gradePanel, wording.LabelBack})
}
