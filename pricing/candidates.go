package pricing

import (
	"slices"

	"example.org/dryhand/pricing/fit"
	"example.org/dryhand/pricing/minutes"
)

// choice is a job with everything that might go into it.
type choice struct {
	j       *job
	tasks   []int // by index in the order of work
	problem fit.Problem
	// frame are the minutes and money the money there is in any case, and
	// materials the pence of each candidate.
	frame     minutes.Distribution
	money     float64
	materials []float64
}

// candidates are the tasks of a job and the cheaper levels of each.
func (j *job) candidates() *choice {
	c := &choice{j: j}
	for i := range j.in {
		if j.sparing && j.r.tasks[i].Wet {
			continue
		}
		if j.in[i] || j.lower(i) && j.possible(i) && j.r.tasks[i].present[j.grade(i)-1] && !(j.dry && j.r.tasks[i].Wet) && len(j.r.tasks[i].OnlyAt) == 0 {
			c.tasks = append(c.tasks, i)
		}
	}
	for _, i := range c.tasks {
		t := &j.r.tasks[i]
		it := fit.Item{Value: j.value(i), Effort: j.expected(i), Must: t.Always, Family: t.family}
		for _, group := range t.needs {
			it.Needs = append(it.Needs, c.among(group))
		}
		c.problem.Items = append(c.problem.Items, it)
	}
	c.costs()
	return c
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

// onGrid is the most the grid adds to the variance of an estimate, in square
// minutes.
const onGrid = 0.25

// costs fills in means and covariances, in exact pence before VAT. Tasks of an
// area share its grade, and all share the overall state of the car.
func (c *choice) costs() {
	j, n := c.j, len(c.tasks)
	c.frame, c.money = c.everything().frame(), j.travel()
	for _, f := range j.flags {
		c.money += float64(f.Charge)
	}
	c.problem.Base = c.money + c.frame.Mean()*j.perMinute()
	c.problem.BaseVar = (c.frame.Variance() + onGrid) * j.perMinute() * j.perMinute()
	m := make([]moments, n)
	for k, i := range c.tasks {
		m[k] = j.moments(i)
		c.materials = append(c.materials, j.materials(i))
		c.problem.Items[k].Cost = m[k].mean + c.materials[k]
	}
	c.problem.Cov = make([][]float64, n)
	flat := make([]float64, n*n)
	for k := range m {
		c.problem.Cov[k], flat = flat[:n:n], flat[n:]
		for l := range k + 1 {
			v := j.covariance(&m[k], &m[l], k == l)
			c.problem.Cov[k][l], c.problem.Cov[l][k] = v, v
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
	rate := j.weight(i) * j.perMinute()
	m := moments{area: t.area, byState: make([]float64, len(j.know.state))}
	for g := range m.grade {
		if t.present[g] {
			m.grade[g], m.varr[g] = j.atGrade(i, g)*rate, j.spreadAt(i, g)*rate*rate
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

// spreadAt is the variance of a task's minutes at a grade index.
func (j *job) spreadAt(i, g int) float64 {
	if b := &j.boxes[i]; b.minutes > 0 {
		return b.variance[g]
	}
	return j.r.tasks[i].shapes[g].Estimate().Variance() * j.units[i] * j.units[i]
}

// covariance of two tasks' costs: through the shared grade if they are of one
// area, and through the state of the car in any case.
func (j *job) covariance(a, b *moments, same bool) float64 {
	var v float64
	for s, w := range j.know.state {
		if a.area < 0 || a.area != b.area {
			v += w * (a.byState[s] - a.mean) * (b.byState[s] - b.mean)
			continue
		}
		for g, p := range j.know.grade[a.area][s] {
			v += w * p * (a.grade[g] - a.mean) * (b.grade[g] - b.mean)
		}
	}
	if same {
		v += a.own + onGrid*j.perMinute()*j.perMinute()
	}
	return v
}
