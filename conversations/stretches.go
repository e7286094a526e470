package conversations

import (
	"fmt"
	"slices"
	"strconv"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// stretches says, to somebody who asks for work under a price that is fitted to a figure,
// whether the figure reaches it, and if not, which would: that one is then a tap away, and a
// yes means it. Empty where there is no figure, or no telling.
func (t *turn) stretches(e *Enquiry, wants []string) string {
	q := e.Quote
	// Of a side of the car a figure always reaches some, which the list says.
	wants = slices.DeleteFunc(slices.Clone(wants), func(w string) bool { return w == "interior" || w == "exterior" })
	if q == nil || q.Budget == 0 || q.Small || q.NeedSee != "" || q.Refused != "" || len(wants) == 0 {
		return ""
	}
	var works, missing []string
	for _, w := range wants {
		works = append(works, t.broughtBy(e, w))
	}
	for _, id := range works {
		if !t.holdsWant(q.Tasks, id) {
			missing = append(missing, id)
		}
	}
	f := wording.Facts{Budget: t.pounds(q.Budget)}
	if len(missing) == 0 {
		f.Items = short(t.labelled(e, works))
		return t.word(wording.FitsIn, f)
	}
	figure := t.reaches(e, missing)
	if figure == 0 {
		return ""
	}
	e.Sum = strconv.FormatInt(int64(figure)/100, 10)
	f.Items, f.Money = short(t.labelled(e, missing)), t.pounds(int64(figure))
	return t.word(wording.FitsNot, f)
}

// dropsAsked takes a change at the price back whose fit would drop work that was asked for
// before and was in it, and says which figure has room for all of it; a yes to that makes the
// change. Empty where nothing is dropped, or another figure was named with the change.
func (t *turn) dropsAsked(e *Enquiry, was Rested, stood *Quoted, in []string) string {
	q := e.Quote
	if q.Budget == 0 || q.Budget != stood.Budget || q.NeedSee != "" || q.Refused != "" || len(in) == 0 {
		return ""
	}
	lost := slices.DeleteFunc(slices.Clone(was.Answers[askWants]), func(w string) bool {
		return !e.has(askWants, w) || !t.holdsWant(stood.Tasks, w) || t.holdsWant(q.Tasks, w)
	})
	if len(lost) == 0 {
		return ""
	}
	var works []string
	for _, w := range in {
		works = append(works, t.broughtBy(e, w))
	}
	f := wording.Facts{Budget: t.pounds(q.Budget), Items: short(t.labelled(e, works)), Out: short(t.labelled(e, lost))}
	figure, meant := t.reaches(e, slices.Concat(works, lost)), rested(e)
	e.restore(was)
	if !t.quote(e) {
		return ""
	}
	if e.Sum, e.Meant = "", nil; figure > 0 {
		e.Sum = strconv.FormatInt(int64(figure)/100, 10)
		meant.Answers[askBudget] = []string{e.Sum}
		e.Meant, f.Money = &meant, t.pounds(int64(figure))
	}
	return t.word(wording.FitsNotBeside, f)
}

// broughtBy is the piece of work that a want alone brings into the whole price, the dearest
// where there are several: the polishing of a polish, not the wash before it. A piece of work
// is that itself, and so is a want that brings nothing of its own.
func (t *turn) broughtBy(e *Enquiry, want string) string {
	if _, task := t.Rules.Task(want); task {
		return want
	}
	with := t.priced(e)
	with.Budget = 0
	if !slices.Contains(with.Wants, want) {
		with.Wants = slices.Concat(with.Wants, []string{want})
	}
	without := with
	without.Wants = slices.DeleteFunc(slices.Clone(with.Wants), func(w string) bool { return w == want })
	all, err := t.quoted(with)
	if err != nil || len(without.Wants) == 0 {
		return want
	}
	less, err := t.quoted(without)
	if err != nil {
		return want
	}
	best := pricing.Line{Task: want}
	for _, l := range all.In {
		_, work := t.Rules.Task(l.Task)
		if l.Price > best.Price && work && !slices.ContainsFunc(less.In, func(o pricing.Line) bool { return o.Task == l.Task }) {
			best = l
		}
	}
	return best.Task
}

// reaches is the least figure, in steps that people name, which buys some work that the
// present one does not, 0 if none does.
func (t *turn) reaches(e *Enquiry, wants []string) pricing.Pence {
	const step = 5_00
	asked := t.priced(e)
	buys := func(n int) bool {
		asked.Budget = pricing.Pence(e.Quote.Budget) + pricing.Pence(n)*step
		f, err := t.fit(asked)
		if err != nil {
			t.fail(fmt.Errorf("conversations: what reaches further for enquiry %s: %w", e.ID, err))
			return false
		}
		tasks := make([]string, len(f.Quote.In))
		for i, l := range f.Quote.In {
			tasks[i] = l.Task
		}
		return f.Fits && !slices.ContainsFunc(wants, func(w string) bool { return !t.holdsWant(tasks, w) })
	}
	whole := asked
	all, err := t.quoted(whole)
	if err != nil || all.Price.High <= pricing.Pence(e.Quote.Budget) {
		return 0
	}
	no, yes := 0, int((all.Price.High-pricing.Pence(e.Quote.Budget)+step-1)/step)
	if !buys(yes) {
		return 0
	}
	for yes-no > 1 {
		if n := (no + yes) / 2; buys(n) {
			yes = n
		} else {
			no = n
		}
	}
	return pricing.Pence(e.Quote.Budget) + pricing.Pence(yes)*step
}
