package conversations

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What the owner sets by hand, beside the grades: the price, the minutes, and what
// is left out or added. The customer sees what has changed and says yes before it
// counts, as with grades.

// ByHand is what the owner has set over the rules for one enquiry.
type ByHand struct {
	// Pence is the price, 0 for the rules'; Minutes how long it takes, likewise.
	Pence   int64 `json:"pence,omitempty"`
	Minutes int   `json:"minutes,omitempty"`
	// Tasks, if there are any, are all that is to be done; Dropped are what he took out
	// for that.
	Tasks   []string `json:"tasks,omitempty"`
	Dropped []string `json:"dropped,omitempty"`
	// Of is the work a price was agreed for in the owner's own words, see handback.go.
	Of string `json:"of,omitempty"`
	// Most is the most it can come to, in pence, where he named that beside the price.
	Most int64 `json:"most,omitempty"`
	// Work is the same wherever it is done, where nobody had said that yet.
	Work string `json:"work,omitempty"`
	// Start is the time he has agreed for it himself, Site where it was to be done then, see
	// settled.go.
	Start time.Time `json:"start,omitzero"`
	Site  string    `json:"site,omitempty"`
}

// pressByHand is the question name of these buttons.
const pressByHand = "byhand"

// The presses; drop and add carry a task.
const (
	byHandPrice   = "price"
	byHandMinutes = "minutes"
	byHandTasks   = "tasks"
	byHandRules   = "rules"
	byHandSum     = "sum:" // with the price in pence
	byHandDrop    = "-"
	byHandAdd     = "+"
)

// byHandRow are the buttons for it under the grading panel.
func (t *turn) byHandRow(e *Enquiry) [][]bot.Choice {
	var row []bot.Choice
	for _, n := range []named{{byHandPrice, wording.LabelSetPrice}, {byHandMinutes, wording.LabelSetMinutes}, {byHandTasks, wording.LabelSetTasks}} {
		row = append(row, bot.Choice{Label: t.label(n.label), Data: press{e.ID, e.Rev, pressByHand, n.key}.data()})
	}
	rows := [][]bot.Choice{row}
	if e.ByHand != nil {
		rows = append(rows, t.presses(e, pressByHand, named{byHandRules, wording.LabelByTheRules})...)
	}
	return rows
}

// byHandPressed takes a press on them.
func (t *turn) byHandPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Stage != Waits && e.Stage != Booked || p.rev != e.Rev {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	task := strings.TrimLeft(p.choice, byHandDrop+byHandAdd)
	switch {
	case p.choice == byHandPrice:
		t.expect(c, typingPrice, e)
		t.tell(c.ID, wording.OwnerSetPrice, wording.Facts{Name: e.Name, Price: t.brief(e.Quote)})
	case p.choice == byHandMinutes:
		t.expect(c, typingMinutes, e)
		t.tell(c.ID, wording.OwnerSetMinutes, wording.Facts{Name: e.Name, Minutes: int(math.Round(e.Quote.P50))})
	case p.choice == byHandTasks:
		t.offerTasks(e)
	case strings.HasPrefix(p.choice, byHandSum):
		if n := atoi(strings.TrimPrefix(p.choice, byHandSum)); n > 0 {
			t.setByHand(e, func(h *ByHand) { h.Pence, h.Most = int64(n), 0 })
		}
		t.panel(e)
	case p.choice == byHandRules:
		e.ByHand, e.Seen = nil, nil
		e.Rev++
		if len(e.Graded) > 0 || len(e.Extra) > 0 {
			t.reckon(e)
		}
		t.panel(e)
	case strings.HasPrefix(p.choice, byHandDrop), strings.HasPrefix(p.choice, byHandAdd):
		if why := t.setTask(e, task, p.choice[:1] == byHandAdd); why != "" {
			t.offerTasks(e, why)
			return
		}
		t.offerTasks(e)
	default:
		t.panel(e)
	}
}

// byHandTyped takes the price or the minutes.
func (t *turn) byHandTyped(c *Chat, e *Enquiry, what, text string) {
	if e.Stage != Waits && e.Stage != Booked {
		t.staleVisit(c, e)
		return
	}
	var set func(*ByHand)
	if what == typingPrice {
		likely, most, ok := t.sumsSaid(text)
		if !ok {
			t.expect(c, what, e)
			t.tell(c.ID, wording.OwnerNotPrice, wording.Facts{})
			return
		}
		set = func(h *ByHand) { h.Pence, h.Most = likely, most }
	} else {
		const longest = 24 * 60
		n, byArea, ok := t.readMinutes(text)
		if !ok || byArea != nil || n > longest {
			t.expect(c, what, e)
			t.tell(c.ID, wording.OwnerNotNumber, wording.Facts{})
			return
		}
		set = func(h *ByHand) { h.Minutes = n }
	}
	t.setByHand(e, set)
	t.panel(e)
}

// setByHand sets something over the rules, and reckons anew.
func (t *turn) setByHand(e *Enquiry, set func(*ByHand)) {
	h := ByHand{}
	if e.ByHand != nil {
		h = *e.ByHand
	}
	set(&h)
	e.ByHand = &h
	e.Rev++
	t.reckon(e)
}

// planned are the tasks of an enquiry as they would be now.
func (t *turn) planned(e *Enquiry) []string {
	q := e.Quote
	if e.Seen != nil {
		q = e.Seen
	}
	return slices.DeleteFunc(slices.Clone(q.Tasks), func(id string) bool {
		task, ok := t.Rules.Task(id)
		return !ok || task.Always
	})
}

// setTask leaves a task out, with what is not done without it, or takes one in. It returns
// why it does not, if there is something to say.
func (t *turn) setTask(e *Enquiry, id string, in bool) string {
	if _, ok := t.Rules.Task(id); !ok {
		return ""
	}
	this := func(x string) bool { return x == id }
	tasks := slices.DeleteFunc(t.planned(e), this)
	if in {
		tasks = append(tasks, id)
	} else {
		also := t.hanging(tasks, []string{id})
		if len(t.hanging(tasks, append(also, id))) > 0 {
			return t.hangs(id, also)
		}
		tasks = slices.DeleteFunc(tasks, func(x string) bool { return slices.Contains(also, x) })
	}
	if len(tasks) == 0 {
		return "" // a job without work is no job
	}
	t.chooseTasks(e, tasks)
	return ""
}

// hangs says that some work stays in, as other work cannot be done without it.
func (t *turn) hangs(id string, on []string) string {
	task, _ := t.Rules.Task(id)
	f := wording.Facts{Text: forButton(task.Words)}
	for _, x := range on {
		other, _ := t.Rules.Task(x)
		f.Items = append(f.Items, short([]string{forButton(other.Words)})...)
	}
	return t.word(wording.TaskHangs, f)
}

// chooseTasks makes these the work, as the owner has chosen them.
func (t *turn) chooseTasks(e *Enquiry, tasks []string) {
	now := t.planned(e)
	h := ByHand{}
	if e.ByHand != nil {
		h = *e.ByHand
	}
	in := func(list []string) func(string) bool { return func(x string) bool { return slices.Contains(list, x) } }
	gone := slices.DeleteFunc(slices.Clone(now), in(tasks))
	h.Tasks = tasks
	h.Dropped = slices.DeleteFunc(slices.Clone(h.Dropped), in(slices.Concat(tasks, gone)))
	h.Dropped = append(h.Dropped, gone...)
	e.ByHand = &h
	e.Rev++
	t.reckon(e)
}

// offerTasks shows the owner what is in the job, each to be left out with a tap,
// and what he left out, to be taken in again; before it what there is to say of his words.
func (t *turn) offerTasks(e *Enquiry, aside ...string) {
	now := t.planned(e)
	var rows [][]bot.Choice
	add := func(id, sign, mark string) {
		if task, ok := t.Rules.Task(id); ok && !task.Always && len(rows) < mostTasks {
			rows = append(rows, []bot.Choice{{Label: mark + forButton(task.Words), Data: press{e.ID, e.Rev, pressByHand, sign + id}.data()}})
		}
	}
	for _, id := range now {
		add(id, byHandDrop, "✓ ")
	}
	out := slices.DeleteFunc(slices.Clone(e.Quote.Tasks), func(id string) bool { return slices.Contains(now, id) })
	for _, id := range e.Dropped {
		if !slices.Contains(now, id) && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	for _, id := range out {
		add(id, byHandAdd, "")
	}
	rows = append(rows, t.leftOutRows(e, slices.Concat(now, out))...)
	f := wording.Facts{Name: e.Name, Price: t.brief(e.Quote), Items: aside}
	if e.Seen != nil {
		f.Text = t.brief(e.Seen)
	}
	t.expectFromOwner(typingTasks, e)
	t.tell(t.Owner, wording.OwnerTasks, f, append(rows, t.presses(e, pressGrade, named{gradePanel, wording.LabelBack})...)...)
}

// forButton is what a piece of work is called on a button: its words up to a comma, if
// that is more than a word, so that "Spray sealant, good for one to three months" is a
// spray sealant; else as many of its words as fit, so that "Seats, carpets, mats and boot
// vacuumed" is not the seats alone. It does not end with a short word that leads on to
// the next.
func forButton(words string) string {
	const most, leading = 34, 3
	if !strings.Contains(words, ",") || utf8.RuneCountInString(words) <= most {
		return words
	}
	cut := string([]rune(words)[:most+1])
	if at := strings.LastIndex(cut, ","); at > 0 && strings.ContainsAny(strings.SplitN(cut, ",", 2)[0], " -") {
		return cut[:at]
	}
	fields := strings.Fields(cut[:max(0, strings.LastIndex(cut, " "))])
	for len(fields) > 1 && utf8.RuneCountInString(fields[len(fields)-1]) <= leading {
		fields = fields[:len(fields)-1]
	}
	return strings.TrimRight(strings.Join(fields, " "), ",")
}

// leftOutRows are the buttons of what else could be in a job, the nearest first, beside
// what stands there already.
func (t *turn) leftOutRows(e *Enquiry, shown []string) (rows [][]bot.Choice) {
	all, err := t.extras(e)
	if err != nil {
		t.fail(fmt.Errorf("conversations: what enquiry %s leaves out: %w", e.ID, err))
		return nil
	}
	for _, x := range all {
		if slices.Contains(shown, x.task) || len(rows) == mostExtras {
			continue
		}
		label := firstUpper(forButton(x.words))
		if x.adds > 0 {
			label += " +" + t.pounds(x.adds)
		}
		rows = append(rows, []bot.Choice{{Label: label, Data: press{e.ID, e.Rev, pressByHand, byHandAdd + x.task}.data()}})
	}
	return rows
}

// tasksTyped takes what is to be in the job and what is not, as he types it: "add the
// stains", "stains in, smell out". It reports whether the text named any of it.
func (t *turn) tasksTyped(e *Enquiry, text string) bool {
	if e.Stage != Waits && e.Stage != Booked || e.Quote == nil || t.Reader == nil {
		return false
	}
	now := t.planned(e)
	m := t.workMeant(e, now, text, t.called)
	tasks := slices.DeleteFunc(slices.Clone(now), func(id string) bool { return slices.Contains(m.out, id) })
	tasks = append(tasks, m.in...)
	none := len(m.in)+len(m.out) == 0
	if none && (len(m.stays) == 0 || len(m.lost) > 0) || len(tasks) == 0 {
		return false
	}
	if !none {
		t.chooseTasks(e, tasks)
	}
	var aside []string // nothing he writes vanishes
	for _, w := range m.stays {
		aside = append(aside, t.word(wording.TaskStays, wording.Facts{Text: w}))
	}
	for _, w := range m.lost {
		aside = append(aside, t.word(wording.TaskLost, wording.Facts{Text: w}))
	}
	t.offerTasks(e, aside...)
	return true
}

// mostTasks is how many tasks are shown at once; a job has some twenty at most.
const mostTasks = 30

// keepDropped lets what the customer has agreed to leave out stay out, whatever is
// graded later, and what was taken in again come back.
func (e *Enquiry) keepDropped(h *ByHand) {
	if h == nil || len(h.Tasks) == 0 {
		return
	}
	e.Dropped = slices.DeleteFunc(append(slices.Clone(e.Dropped), h.Dropped...), func(id string) bool { return slices.Contains(h.Tasks, id) })
}

// leftOutFor is what no want may bring in: what the customer spares, what was
// dropped, and where nothing of its family is in the job the other levels of it.
func (t *turn) leftOutFor(e *Enquiry) []string {
	out := t.sparedBy(e)
	for _, id := range e.Dropped {
		x, ok := t.Rules.Task(id)
		if !ok {
			continue // of rules that have changed since
		}
		out = append(out, id)
		if x.Family == "" || e.Quote != nil && slices.ContainsFunc(e.Quote.Tasks, func(k string) bool { y, _ := t.Rules.Task(k); return y.Family == x.Family }) {
			continue
		}
		for _, k := range t.Rules.Order() {
			if y, _ := t.Rules.Task(k); y.Family == x.Family {
				out = append(out, k)
			}
		}
	}
	return out
}

// handled puts what the owner set over a price that was worked out for an enquiry.
func (t *turn) handled(asked pricing.Enquiry, q *Quoted, h *ByHand) {
	if h == nil {
		return
	}
	if h.Minutes > 0 {
		asked.Wants, asked.Budget = slices.Clone(q.Tasks), 0
		work, err := t.quoted(asked)
		if err != nil {
			t.fail(fmt.Errorf("conversations: what other minutes cost: %w", err))
			return
		}
		step := t.Rules.Money.RoundTo
		by := t.Rules.Longer(work, float64(h.Minutes)-q.P50)
		least := t.Rules.Money.Minimum
		likely := max(least, (pricing.Pence(q.Likely) + by).Near(step))
		q.High = int64(max(likely, (pricing.Pence(q.High) + by).Up(step)))
		q.Low, q.Likely = min(int64(likely), max(int64(least), q.Low+int64(by))), int64(likely)
		m := float64(h.Minutes)
		q.P10, q.P50, q.P80, q.P90 = m, m, m, m
	}
	if h.Pence > 0 {
		q.Low, q.Likely, q.High = h.Pence, h.Pence, max(h.Pence, h.Most)
		q.NeedSee = "" // he has seen enough to name it
	}
}
