package pricing

import (
	"fmt"
	"slices"
)

// Fitted is the most worthwhile job for a figure.
type Fitted struct {
	// Fits is false if nothing sensible can be done for the figure. Quote then is
	// that of the smallest job: the most worthwhile one that costs no more than the
	// cheapest does. Below the minimum charge much costs the same.
	Fits  bool
	Quote Quote
	// Sure is the probability that the price stays within the figure, 0 if Fits is
	// false.
	Sure float64
	// Further is what NextStep more would buy, all of it together and beside what is in.
	Further []Left
	// Step is the least further money that buys all of Further, in whole steps of rounding; no
	// more than NextStep, and 0 where Further is empty.
	Step Pence
	// Missed are the tasks the customer named that the figure does not reach; Named are
	// the prices of all they named with what that needs, nothing else, 0 if none is missed.
	Missed []Left
	Named  struct{ Likely, High Pence }
	// Nodes is how much was searched, and Gap by how much a better choice might
	// exceed the value of this one: 0 unless the search met its limit.
	Nodes int
	Gap   float64
}

// NextStep is the further money [Fitted.Further] looks at.
const NextStep Pence = 2000

// Fit chooses from what is wanted the tasks worth most to the customer whose
// price stays within the budget, with the confidence the rules ask for: by the
// convolution, and, as a floor under it, by mean and spread, so that no lottery is
// promised (see luck). Of all choices that do both it is the best. Value is
// how much there is to see of a task at the likely state of its area, more for the
// areas the customer complained of, and many times as much for the tasks they named
// (see [QuoteRules.NamedCounts]). Cheaper levels of what is wanted may
// take its place. Where the whole does not stay within the budget, open-ended work
// is given the time it usually takes and no more. Without a budget it is
// [Rules.Quote].
func (r *Rules) Fit(e Enquiry) (Fitted, error) { return r.fit(e, nil) }

// fit is Fit. look, if set, is shown the job whose quote it is, and the most it may cost.
func (r *Rules) fit(e Enquiry, look func(*job, Pence)) (Fitted, error) {
	if look == nil {
		look = func(*job, Pence) {}
	}
	if err := r.Check(e); err != nil {
		return Fitted{}, fmt.Errorf("pricing: reading the enquiry: %w", err)
	}
	j := r.newJob(&e)
	defer j.done()
	j.choose()
	if e.Budget == 0 || j.refused != "" || !j.anyWork() {
		q := j.quote()
		look(j, q.Price.High)
		return Fitted{Fits: q.Refused == "", Quote: q, Sure: 1}, nil
	}
	s := j.squeeze()
	whole := slices.Clone(j.in)
	in, best := s.within(e.Budget)
	if in == nil {
		j.in = s.cheapest()
		f := j.smallest(best.Nodes, look)
		return f, r.missed(&f, j, whole)
	}
	further := s.beyond(in, e.Budget+NextStep)
	j.in = in
	f := Fitted{Fits: true, Quote: j.quote(), Nodes: best.Nodes, Gap: best.Gap}
	f.Sure = j.sure()
	f.Quote.cap(e.Budget)
	look(j, f.Quote.Price.High)
	for i := range further {
		if further[i] && !in[i] {
			f.Further = append(f.Further, j.leftOver(i))
		}
	}
	if len(f.Further) > 0 {
		f.Step = s.stepTo(further)
	}
	return f, r.missed(&f, j, whole)
}

// stepTo is the least further money, up to NextStep, within which a choice stays.
func (s *search) stepTo(choice []bool) Pence {
	var chosen uint64
	for k, i := range s.tasks {
		if choice[i] {
			chosen |= 1 << k
		}
	}
	step := max(s.j.r.Money.RoundTo, 1)
	for more := step; more < NextStep; more += step {
		if s.holds(chosen, float64(s.j.e.Budget+more)/s.j.r.vat()) {
			return more
		}
	}
	return NextStep
}

// leftOver is a task that the figure does not reach.
func (j *job) leftOver(i int) Left {
	return Left{Task: j.r.tasks[i].ID, Words: j.r.tasks[i].Words, Why: j.r.Quotes.LeftBudget}
}

// missed fills in what of the named was in the whole job and is not in the fitted one, and
// what all of the named would cost.
func (r *Rules) missed(f *Fitted, j *job, whole []bool) error {
	var names []string
	for i, on := range whole {
		t := &r.tasks[i]
		if !on || !j.byName(i) {
			continue
		}
		names = append(names, t.ID)
		if !slices.ContainsFunc(f.Quote.In, func(l Line) bool { // it, or another level where the area was named
			k := slices.IndexFunc(r.tasks, func(o task) bool { return o.ID == l.Task })
			return l.Task == t.ID || k >= 0 && t.family != 0 && r.tasks[k].family == t.family && j.byName(k)
		}) {
			f.Missed = append(f.Missed, j.leftOver(i))
		}
	}
	if len(f.Missed) == 0 {
		return nil
	}
	alone := *j.e
	alone.Budget, alone.Wants = 0, names
	q, err := r.Quote(alone)
	f.Named.Likely, f.Named.High = q.Price.Likely, q.Price.High
	return err
}

// smallest is the most worthwhile job for what the cheapest one, which j is, can
// cost at most.
func (j *job) smallest(nodes int, look func(*job, Pence)) Fitted {
	cheapest := j.quote()
	e := *j.e
	e.Budget = cheapest.Price.High
	more := j.r.newJob(&e)
	defer more.done()
	more.choose()
	in, best := more.squeeze().within(e.Budget)
	nodes += best.Nodes
	if in == nil { // it may be a lottery, and is the cheapest all the same
		look(j, cheapest.Price.High)
		return Fitted{Quote: cheapest, Nodes: nodes}
	}
	more.in = in
	f := Fitted{Quote: more.quote(), Nodes: nodes, Gap: best.Gap}
	f.Quote.cap(e.Budget)
	look(more, f.Quote.Price.High)
	return f
}

// squeeze makes a job ready to be fitted to its budget.
func (j *job) squeeze() *search {
	j.squeezed = true
	var s *search
	if Pence(j.mean(j.in)) <= j.e.Budget {
		s = j.candidates().search()
	}
	if s == nil || !s.wholeHolds() {
		j.timeBox()
		// Where no candidate has got a box, what is known of their sums stays true.
		if s == nil || slices.ContainsFunc(s.tasks, func(i int) bool { return j.boxes[i].minutes > 0 }) {
			s = j.candidates().search()
		}
	}
	s.weigh()
	return s
}

// cap keeps prices within a figure: what is promised is promised.
func (q *Quote) cap(budget Pence) {
	q.Price.High = min(q.Price.High, budget)
	if q.Price.Likely > budget {
		q.Price.Likely = budget
		var weights []float64
		for _, l := range q.In {
			weights = append(weights, float64(l.Price))
		}
		for i, p := range budget.share(weights) {
			q.In[i].Price = p
		}
	}
	q.Price.Low = min(q.Price.Low, q.Price.Likely)
}

// sure is the probability that the price of a quoted job stays within the budget.
func (j *job) sure() float64 {
	if j.e.Budget < pence(j.r.gross(0)) {
		return 0
	}
	return j.bill.CDF((float64(j.e.Budget)/j.r.vat() - j.fixed()) / j.perMinute())
}
