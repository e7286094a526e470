package pricing

import (
	"slices"

	"example.org/dryhand/pricing/fit"
	"example.org/dryhand/pricing/minutes"
)

// choice is a job with everything that might go into it.
type choice struct {
	j     *job
	tasks []int // by index in the order of work
	// frame are the minutes and money the money there is in any case, and
	// materials the pence of each candidate.
	frame     minutes.Distribution
	money     float64
	materials []float64
	problem   fit.Problem // see weigh
}

// candidates are the tasks of a job and the cheaper levels of each.
func (j *job) candidates() *choice {
	c := &choice{j: j, tasks: make([]int, 0, len(j.in))}
	for i := range j.in {
		if j.sparing && j.r.tasks[i].Wet {
			continue
		}
		if j.in[i] || j.lower(i) && j.possible(i) && j.r.tasks[i].present[j.grade(i)-1] && !(j.dry && j.r.tasks[i].Wet) && len(j.r.tasks[i].OnlyAt) == 0 {
			c.tasks = append(c.tasks, i)
		}
	}
	c.frame, c.money, c.materials = c.everything().frame(), j.travel(), make([]float64, len(c.tasks))
	for _, f := range j.flags {
		c.money += float64(f.Charge)
	}
	for k, i := range c.tasks {
		c.materials[k] = j.materials(i)
	}
	return c
}

// weigh fills in the problem of what to choose.
func (c *choice) weigh() {
	number := make([]int, len(c.j.in)) // of each task in the problem, from 1
	for k, i := range c.tasks {
		number[i] = k + 1
	}
	c.problem.Items = make([]fit.Item, len(c.tasks))
	for k, i := range c.tasks {
		t := &c.j.r.tasks[i]
		it := fit.Item{Value: c.j.value(i), Effort: c.j.expected(i), Must: t.Always, Family: t.family}
		for _, group := range t.needs {
			it.Needs = append(it.Needs, among(group, number))
		}
		c.problem.Items[k] = it
	}
	c.costs()
}

// everything is the job with all candidates in it: what they might need is set up.
func (c *choice) everything() *job {
	with := *c.j
	with.in = make([]bool, len(c.j.in))
	for _, i := range c.tasks {
		with.in[i] = true
	}
	return &with
}

// among are the candidates of a group, by their number in the problem.
func among(group, number []int) []int {
	var out []int
	for _, n := range group {
		if k := number[n]; k > 0 {
			out = append(out, k-1)
		}
	}
	return out
}

// value is what a customer gets to see of a task, weighed by what they said
// matters: the first area complained of counts half as much again, and so on down, and
// what was named as many times as much as the rules say.
func (j *job) value(i int) float64 {
	t := &j.r.tasks[i]
	v := t.Value[0]
	if t.area >= 0 {
		v = 0
		for g, p := range j.odds[t.area] {
			v += p * t.Value[g]
		}
		if at := slices.Index(j.e.Priorities, t.Area); at >= 0 {
			v *= 1 + 0.5/float64(1+at)
		}
	}
	if j.byName(i) {
		v *= j.r.Quotes.NamedCounts()
	}
	return v
}

// byName tells whether the customer spoke of a task by name or of its area; what takes the
// place of a named one where there is no water counts as well.
func (j *job) byName(i int) bool {
	t := &j.r.tasks[i]
	return slices.ContainsFunc(j.e.Named, func(name string) bool {
		if name == t.ID || name == string(t.Area) {
			return true
		}
		other, ok := j.r.Task(name)
		return ok && other.WithoutWater == t.ID
	})
}

// onGrid is the most the grid adds to the variance of an estimate, in square
// minutes.
const onGrid = 0.25

// costs fills in means and covariances, in exact pence before VAT. Tasks of an
// area share its grade, and all share the overall state of the car.
func (c *choice) costs() {
	j, n := c.j, len(c.tasks)
	c.problem.Base = c.money + c.frame.Mean()*j.perMinute()
	c.problem.BaseVar = (c.frame.Variance() + onGrid) * j.perMinute() * j.perMinute()
	m, byState := make([]moments, n), make([]float64, n*len(j.know.state))
	for k, i := range c.tasks {
		m[k].byState, byState = byState[:len(j.know.state)], byState[len(j.know.state):]
		mean := j.moments(i, &m[k])
		c.problem.Items[k].Cost = mean + c.materials[k]
	}
	c.problem.Cov = make([][]float64, n)
	flat := make([]float64, n*n)
	for k := range m {
		c.problem.Cov[k], flat = flat[:n:n], flat[n:]
		for l := range k {
			v := j.covariance(&m[k], &m[l])
			c.problem.Cov[k][l], c.problem.Cov[l][k] = v, v
		}
		c.problem.Cov[k][k] = j.covariance(&m[k], &m[k]) + m[k].own + onGrid*j.perMinute()*j.perMinute()
	}
}

// moments are what a task's minutes cost more than on average, by grade and by state,
// and the variance that is left where both are known.
type moments struct {
	area    int
	grade   [4]float64
	byState []float64
	own     float64
}

// moments fills in those of a task, and returns the average.
func (j *job) moments(i int, m *moments) (mean float64) {
	t := &j.r.tasks[i]
	rate := j.weight(i) * j.perMinute()
	m.area = t.area
	var own [4]float64
	for g := range own {
		if t.present[g] {
			m.grade[g], own[g] = j.atGrade(i, g)*rate, j.spreadAt(i, g)*rate*rate
		}
	}
	for s, w := range j.know.state {
		p := &[4]float64{1}
		if t.area >= 0 {
			p = &j.know.grade[t.area][s]
		}
		for g := range p {
			m.byState[s] += p[g] * m.grade[g]
			m.own += w * p[g] * own[g]
		}
		mean += w * m.byState[s]
	}
	for g := range m.grade {
		m.grade[g] -= mean
	}
	for s := range m.byState {
		m.byState[s] -= mean
	}
	return mean
}

// spreadAt is the variance of a task's minutes at a grade index.
func (j *job) spreadAt(i, g int) float64 {
	if b := &j.boxes[i]; b.minutes > 0 {
		return b.variance[g]
	}
	return j.r.tasks[i].shapes[g].Estimate().Variance() * j.units[i] * j.units[i]
}

// covariance of two tasks' costs: through the shared grade if they are of one
// area, and otherwise through the state of the car.
func (j *job) covariance(a, b *moments) float64 {
	var v float64
	if a.area >= 0 && a.area == b.area {
		for g, p := range j.odds[a.area] {
			v += p * a.grade[g] * b.grade[g]
		}
		return v
	}
	for s, w := range j.know.state {
		v += w * a.byState[s] * b.byState[s]
	}
	return v
}
