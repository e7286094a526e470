package pricing

import (
	"fmt"
	"math"
	"slices"

	"example.org/dryhand/pricing/fit"
	"example.org/dryhand/pricing/minutes"
	"gonum.org/v1/gonum/stat/distuv"
)

// Fitted is the most worthwhile job for a figure.
type Fitted struct {
	// Fits is false if nothing sensible can be done for the figure. Quote then
	// is that of the smallest job that is one, and says what it costs.
	Fits  bool
	Quote Quote
	// Sure is the probability that the price stays within the figure.
	Sure float64
	// Further is what NextStep more would bring.
	Further []Left
	// Nodes is how much was searched, and Gap by how much a better choice might
	// exceed the value of this one: 0 unless the search met its limit.
	Nodes int
	Gap   float64
}

// NextStep is the further money [Fitted.Further] looks at.
const NextStep Pence = 2000

// searchLimit bounds the search for a scope. Real price lists need a few
// hundred nodes.
const searchLimit = 200_000

// Fit chooses from what is wanted the tasks worth most to the customer whose
// price stays within the budget, with the confidence the rules ask for. Value is
// how much there is to see of a task at the likely state of its area, and more
// for the areas the customer named first. Cheaper levels of what is wanted may
// take its place. Without a budget it is [Rules.Quote].
func (r *Rules) Fit(e Enquiry) (Fitted, error) {
	if err := r.Check(e); err != nil {
		return Fitted{}, fmt.Errorf("pricing: reading the enquiry: %w", err)
	}
	j := r.newJob(&e)
	j.choose()
	if e.Budget == 0 || j.refused != "" || !j.anyWork() {
		q := j.quote()
		return Fitted{Fits: q.Refused == "", Quote: q, Sure: 1}, nil
	}
	c := j.candidates()
	j.squeezed = true
	in, s := c.within(e.Budget)
	if in == nil {
		j.in = c.smallest()
		return Fitted{Quote: j.quote(), Nodes: s.Nodes}, nil
	}
	further, _ := c.within(e.Budget + NextStep)
	j.in = in
	f := Fitted{Fits: true, Quote: j.quote(), Sure: j.sure(), Nodes: s.Nodes, Gap: s.Gap}
	f.Quote.cap(e.Budget)
	for i := range further {
		if further[i] && !in[i] {
			f.Further = append(f.Further, Left{Task: r.tasks[i].ID, Words: r.tasks[i].Words, Why: r.Quotes.LeftBudget})
		}
	}
	return f, nil
}

// cap keeps prices within a figure: the open-ended work stops when it is used up.
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

// sure is the probability that the price of the job as chosen stays within the
// budget.
func (j *job) sure() float64 {
	d := j.total(plain)
	if j.skilled() {
		d = j.total(j.weight)
	}
	net := float64(j.e.Budget) / j.r.vat()
	if j.e.Budget < pence(j.r.gross(0)) {
		return 0
	}
	return d.CDF((net - j.fixed()) / j.perMinute())
}

// choice is a job with everything that might go into it.
type choice struct {
	j       *job
	tasks   []int // by index in the order of work
	problem fit.Problem
}

// candidates are the tasks of a job and the cheaper levels of each.
func (j *job) candidates() *choice {
	c := &choice{j: j}
	for i := range j.in {
		if j.in[i] || j.lower(i) && j.possible(i) && j.r.tasks[i].present[j.grade(i)-1] && !(j.dry && j.r.tasks[i].Wet) && len(j.r.tasks[i].OnlyAt) == 0 {
			c.tasks = append(c.tasks, i)
		}
	}
	families := map[string]int{}
	for _, i := range c.tasks {
		t := &j.r.tasks[i]
		it := fit.Item{Value: j.value(i), Effort: j.expected(i), Must: t.Always}
		if t.Family != "" {
			if families[t.Family] == 0 {
				families[t.Family] = len(families) + 1
			}
			it.Family = families[t.Family]
		}
		for _, group := range t.needs {
			it.Needs = append(it.Needs, c.among(group))
		}
		c.problem.Items = append(c.problem.Items, it)
	}
	c.costs()
	return c
}

// among are the candidates of a group, by their number in the problem.
func (c *choice) among(group []int) []int {
	var out []int
	for _, n := range group {
		if k := slices.Index(c.tasks, n); k >= 0 {
			out = append(out, k)
		}
	}
	return out
}

// value is what a customer gets to see of a task, weighed by what they said
// matters: the first area named counts half as much again, and so on down.
func (j *job) value(i int) float64 {
	t := &j.r.tasks[i]
	if t.area < 0 {
		return t.Value[0]
	}
	var v float64
	for g, p := range j.odds[t.area] {
		v += p * t.Value[g]
	}
	if at := slices.Index(j.e.Priorities, t.Area); at >= 0 {
		v *= 1 + 0.5/float64(1+at)
	}
	return v
}

// costs fills in means and covariances, in exact pence before VAT. Tasks of an
// area share its grade, and all share the overall state of the car.
func (c *choice) costs() {
	j, n := c.j, len(c.tasks)
	c.problem.Base = j.travel() + j.setUp().Estimate().Mean()*j.perMinute()
	c.problem.BaseVar = j.setUp().Estimate().Variance() * j.perMinute() * j.perMinute()
	for _, f := range j.flags {
		e := minutes.Estimate{Low: f.Minutes[0], Likely: f.Minutes[1], High: f.Minutes[2]}
		c.problem.Base += float64(f.Charge) + e.Mean()*j.perMinute()
		c.problem.BaseVar += e.Variance() * j.perMinute() * j.perMinute()
	}
	m := make([]moments, n)
	for k, i := range c.tasks {
		m[k] = j.moments(i)
		c.problem.Items[k].Cost = m[k].mean + j.materials(i)
	}
	c.problem.Cov = make([][]float64, n)
	for k := range m {
		c.problem.Cov[k] = make([]float64, n)
		for l := range m {
			c.problem.Cov[k][l] = j.covariance(&m[k], &m[l], k == l)
		}
	}
}

// moments are what a task's minutes cost, on average, by grade, by state and
// over all.
type moments struct {
	area        int
	grade, varr [4]float64
	byState     []float64
	mean, own   float64
}

func (j *job) moments(i int) moments {
	t := &j.r.tasks[i]
	rate := j.units[i] * j.weight(i) * j.perMinute()
	m := moments{area: t.area, byState: make([]float64, len(j.know.state))}
	for g := range m.grade {
		if t.present[g] {
			e := t.shapes[g].Estimate()
			m.grade[g], m.varr[g] = e.Mean()*rate, e.Variance()*rate*rate
		}
	}
	for s, w := range j.know.state {
		p := [4]float64{1}
		if t.area >= 0 {
			p = j.know.grade[t.area][s]
		}
		for g := range p {
			m.byState[s] += p[g] * m.grade[g]
			m.own += w * p[g] * m.varr[g]
		}
		m.mean += w * m.byState[s]
	}
	return m
}

// covariance of two tasks' costs: through the shared grade if they are of one
// area, and through the state of the car in any case.
func (j *job) covariance(a, b *moments, same bool) float64 {
	v := -a.mean * b.mean
	for s, w := range j.know.state {
		if a.area < 0 || a.area != b.area {
			v += w * a.byState[s] * b.byState[s]
			continue
		}
		for g, p := range j.know.grade[a.area][s] {
			v += w * p * a.grade[g] * b.grade[g]
		}
	}
	if same {
		v += a.own
	}
	return v
}

// within is the best choice for a budget, nil if nothing sensible fits. The
// search reckons with mean and spread; the convolution has the last word, and
// where it is not convinced, more room is left and the search repeated.
func (c *choice) within(budget Pence) ([]bool, fit.Solution) {
	j, p := c.j, c.problem
	var total fit.Solution
	if budget < pence(j.r.gross(0)) {
		return nil, total
	}
	p.Budget = float64(budget) / j.r.vat()
	p.Limit = searchLimit
	const step, most = 0.1, 4
	for p.Z = distuv.UnitNormal.Quantile(j.r.Quotes.BudgetConfidence); p.Z < most; p.Z += step {
		s := fit.Solve(p)
		total.Nodes += s.Nodes
		if !s.OK {
			return nil, total
		}
		with := *j
		e := *j.e
		e.Budget = budget
		with.e, with.in = &e, c.spread(s.Chosen)
		if !with.anyWork() {
			return nil, total
		}
		if with.sure() >= j.r.Quotes.BudgetConfidence {
			total.Gap = s.Gap
			return with.in, total
		}
	}
	return nil, total
}

// spread turns a choice of candidates into one of all tasks.
func (c *choice) spread(chosen []bool) []bool {
	in := make([]bool, len(c.j.r.tasks))
	for k, on := range chosen {
		in[c.tasks[k]] = on
	}
	return in
}

// smallest is the cheapest choice that is a job at all: one thing that was
// wanted, with what it needs.
func (c *choice) smallest() []bool {
	var best []bool
	least := math.Inf(1)
	for k, it := range c.problem.Items {
		if it.Must || it.Value < 2 {
			continue // needed by others at most, not a job
		}
		p := c.problem
		p.Items = slices.Clone(p.Items)
		for l := range p.Items {
			// Least cost is least effort where nothing has a value.
			p.Items[l].Value, p.Items[l].Effort = 0, p.Items[l].Cost
		}
		p.Items[k].Must = true
		p.Budget, p.Limit = math.Inf(1), searchLimit
		s := fit.Solve(p)
		if s.OK && s.Mean < least {
			best, least = c.spread(s.Chosen), s.Mean
		}
	}
	if best == nil {
		return c.j.in
	}
	return best
}
