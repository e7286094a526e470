package pricing

import (
	"math"
	"slices"

	"example.org/dryhand/pricing/minutes"
)

// frame are the minutes that belong to no task and no grade: setting up, and
// what flags add.
func (j *job) frame() minutes.Distribution {
	d := j.space.Grid(j.setUp(), 1)
	for _, f := range j.flags {
		if f.Minutes != [3]float64{} {
			e := minutes.Estimate{Low: f.Minutes[0], Likely: f.Minutes[1], High: f.Minutes[2]}
			d = j.space.Sum(d, j.space.Grid(minutes.Prepare(e), 1))
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

// pile is the minutes of some work, kept apart by what they hang on: on nothing,
// or on the grade of an area.
type pile struct {
	fixed minutes.Distribution
	areas [][4]minutes.Distribution
	in    []bool // by area: whether there is anything
}

// pile sums up those of the chosen tasks that are asked for. Tasks of an area
// share its grade, so they are added grade by grade.
func (j *job) pile(of func(i int) bool, takes func(i int) *[4]minutes.Distribution) pile {
	p := pile{areas: j.space.Fours(len(j.r.book.Areas)), in: make([]bool, len(j.r.book.Areas))}
	for i, on := range j.in {
		if !on || !of(i) {
			continue
		}
		a := j.r.tasks[i].area
		if a < 0 {
			p.fixed = j.space.Sum(p.fixed, takes(i)[0])
			continue
		}
		p.in[a] = true
		for g, d := range takes(i) {
			p.areas[a][g] = j.space.Sum(p.areas[a][g], d)
		}
	}
	return p
}

// inState is the sum of a pile in one overall state, in which the areas are
// independent. Narrow ones come first: the work is the product of the widths.
func (j *job) inState(p *pile, s int) minutes.Distribution {
	var parts []minutes.Distribution
	for a, in := range p.in {
		if in {
			parts = append(parts, j.space.Mix(j.know.grade[a][s][:], p.areas[a][:]))
		}
	}
	slices.SortStableFunc(parts, func(a, b minutes.Distribution) int { return len(a.P) - len(b.P) })
	sum := p.fixed
	for _, d := range parts {
		sum = j.space.Sum(sum, d)
	}
	return sum
}

// total is the distribution of the whole job's minutes, and that of the minutes
// charged, in which skilled work counts for more. Only the areas with skilled
// work are summed up twice.
func (j *job) total() (taken, charged minutes.Blend) {
	apart := j.skilledAreas()
	skilled := func(i int) bool { return j.r.tasks[i].Skilled }
	beside := func(i int) bool { return j.r.tasks[i].area >= 0 && apart[j.r.tasks[i].area] }
	same := j.pile(func(i int) bool { return !skilled(i) && !beside(i) }, j.charged)
	same.fixed = j.space.Sum(same.fixed, j.frame())
	rest := j.pile(func(i int) bool { return !skilled(i) && beside(i) }, j.charged)
	asTaken, asCharged := rest.and(j.space, j.pile(skilled, j.taken)), rest.and(j.space, j.pile(skilled, j.charged))
	taken, charged = minutes.Blend{Weights: j.know.state}, minutes.Blend{Weights: j.know.state}
	for s := range j.know.state {
		d := j.inState(&same, s)
		taken.Pairs = append(taken.Pairs, minutes.Pair{A: d, B: j.inState(&asTaken, s)})
		charged.Pairs = append(charged.Pairs, minutes.Pair{A: d, B: j.inState(&asCharged, s)})
	}
	return taken, charged
}

// and is the sum of two piles.
func (p pile) and(in *minutes.Space, q pile) pile {
	out := pile{fixed: in.Sum(p.fixed, q.fixed), areas: in.Fours(len(p.areas)), in: make([]bool, len(p.in))}
	for a := range out.areas {
		out.in[a] = p.in[a] || q.in[a]
		for g := range out.areas[a] {
			out.areas[a][g] = in.Sum(p.areas[a][g], q.areas[a][g])
		}
	}
	return out
}

// skilledAreas are those in which some chosen task costs the skilled rate.
func (j *job) skilledAreas() []bool {
	out := make([]bool, len(j.r.book.Areas))
	for i, on := range j.in {
		if t := &j.r.tasks[i]; on && t.Skilled && t.area >= 0 {
			out[t.area] = true
		}
	}
	return out
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

// taken is what a task takes at each grade there is any chance of.
func (j *job) taken(i int) *[4]minutes.Distribution { return j.takes(i, 1) }

// charged is the same as it is charged, in minutes of ordinary work. It is asked
// for again and again, and so kept.
func (j *job) charged(i int) *[4]minutes.Distribution {
	if j.kept[i] == nil {
		j.kept[i] = j.takes(i, j.weight(i))
	}
	return j.kept[i]
}

// takes is what a task takes at each grade there is any chance of, each minute
// counted so many times.
func (j *job) takes(i int, weight float64) *[4]minutes.Distribution {
	t, ds := &j.r.tasks[i], &j.space.Fours(1)[0]
	for g := range ds {
		if t.present[g] && (t.area < 0 && g == 0 || t.area >= 0 && j.reachable(t.area, g)) {
			ds[g] = j.grid(i, g, weight)
		}
	}
	return ds
}

// grid is what a task takes at a grade index, weighted, where there is anything
// to do.
func (j *job) grid(i, g int, weight float64) minutes.Distribution {
	d := j.space.Grid(j.r.tasks[i].shapes[g], j.units[i]*weight)
	if b := j.boxes[i]; b.minutes > 0 {
		return d.AtMost(b.minutes * weight)
	}
	return d
}

// expected is a task's mean minutes over all grades.
func (j *job) expected(i int) float64 {
	t := &j.r.tasks[i]
	if t.area < 0 {
		return j.atGrade(i, 0)
	}
	var m float64
	for g, p := range j.odds[t.area] {
		m += p * j.atGrade(i, g)
	}
	return m
}

// atGrade is a task's mean minutes at a grade index.
func (j *job) atGrade(i, g int) float64 {
	if b := &j.boxes[i]; b.minutes > 0 {
		return b.mean[g]
	}
	return j.r.tasks[i].mean(g) * j.units[i]
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
