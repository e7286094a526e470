package pricing

import (
	"math"

	"example.org/dryhand/pricing/minutes"
)

// frame are the minutes that belong to no task and no grade: setting up, and
// what flags add.
func (j *job) frame() minutes.Distribution {
	d := j.setUp().Grid(1)
	for _, f := range j.flags {
		if f.Minutes != [3]float64{} {
			e := minutes.Estimate{Low: f.Minutes[0], Likely: f.Minutes[1], High: f.Minutes[2]}
			d = minutes.Sum(d, minutes.Prepare(e).Grid(1))
		}
	}
	return d
}

// weight is what a minute of a task costs, in minutes of ordinary work.
func (j *job) weight(i int) float64 {
	if j.r.tasks[i].Skilled {
		return float64(j.r.Money.SkilledRate) / float64(j.r.Money.Rate)
	}
	return 1
}

func plain(int) float64 { return 1 }

// total is the distribution of the whole job's minutes, each task's weighted:
// inside an area all tasks share the grade, given the overall state the areas
// are independent, and the states are mixed.
func (j *job) total(weight func(i int) float64) minutes.Distribution {
	fixed := j.frame()
	byGrade := make([]*[4]minutes.Distribution, len(j.r.book.Areas))
	for i := range j.r.tasks {
		if !j.in[i] {
			continue
		}
		t := &j.r.tasks[i]
		n := j.units[i] * weight(i)
		if t.area < 0 {
			fixed = minutes.Sum(fixed, t.shapes[0].Grid(n))
			continue
		}
		if byGrade[t.area] == nil {
			byGrade[t.area] = new([4]minutes.Distribution)
		}
		j.addGrades(byGrade[t.area], t, n)
	}
	states := make([]minutes.Distribution, len(j.know.state))
	for s := range states {
		states[s] = fixed
		for a, ds := range byGrade {
			if ds != nil {
				states[s] = minutes.Sum(states[s], minutes.Mix(j.know.grade[a][s][:], ds[:]))
			}
		}
	}
	return minutes.Mix(j.know.state, states)
}

// addGrades adds a task to the sums of its area, one for each grade that is
// possible at all.
func (j *job) addGrades(ds *[4]minutes.Distribution, t *task, n float64) {
	for g := range ds {
		if t.present[g] && j.reachable(t.area, g) {
			ds[g] = minutes.Sum(ds[g], t.shapes[g].Grid(n))
		}
	}
}

// reachable tells whether a grade has any probability worth reckoning with.
func (j *job) reachable(a, g int) bool {
	for s := range j.know.state {
		if j.know.state[s]*j.know.grade[a][s][g] > 0 {
			return true
		}
	}
	return false
}

// skilled tells whether any task in the job costs another rate.
func (j *job) skilled() bool {
	for i, on := range j.in {
		if on && j.r.tasks[i].Skilled {
			return true
		}
	}
	return false
}

// expected is a task's mean minutes over all grades.
func (j *job) expected(i int) float64 {
	t := &j.r.tasks[i]
	if t.area < 0 {
		return t.mean(0) * j.units[i]
	}
	var m float64
	for g, p := range j.odds[t.area] {
		m += p * t.mean(g)
	}
	return m * j.units[i]
}

// cost is what a task costs with mean minutes m, in exact pence before VAT and
// rounding.
func (j *job) cost(i int, m float64) float64 {
	return m*j.weight(i)*j.perMinute() + j.materials(i)
}

// materials are what a task puts on the car, marked up, in exact pence. Time
// modifiers do not use more of it.
func (j *job) materials(i int) float64 {
	t := &j.r.tasks[i]
	return float64(t.Materials) * j.r.Money.MaterialsMarkup * j.pieces[i]
}

func (j *job) perMinute() float64 { return float64(j.r.Money.Rate) / 60 }

// travel is what the way costs, in exact pence.
func (j *job) travel() float64 {
	if j.e.Site.Own {
		return 0
	}
	return math.Max(0, j.e.Site.Miles-j.r.Money.FreeMiles) * float64(j.r.Money.PerMile)
}

// fixed is everything that is money and not minutes, in exact pence.
func (j *job) fixed() float64 {
	sum := j.travel()
	for _, f := range j.flags {
		sum += float64(f.Charge)
	}
	for i, on := range j.in {
		if on {
			sum += j.materials(i)
		}
	}
	return sum
}

// gross is what is asked for an exact amount of work: at least the minimum, and
// VAT if there is any.
func (r *Rules) gross(exact float64) float64 {
	return math.Max(exact, float64(r.Money.Minimum)) * r.vat()
}

// vat is what VAT makes of a price.
func (r *Rules) vat() float64 {
	if !r.Money.VATRegistered {
		return 1
	}
	return 1 + r.Money.VATPercent/100
}
