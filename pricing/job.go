package pricing

import (
	"slices"

	"example.org/dryhand/pricing/minutes"
)

// job is an enquiry being worked out.
type job struct {
	r     *Rules
	e     *Enquiry
	know  belief
	flags []Flag
	best  []Grade      // by area
	odds  [][4]float64 // by area: the probabilities of the grades
	// units of each task: as many as the car has, and times what flags make of it.
	pieces, units []float64
	// in are the tasks chosen, by their index in the order of work.
	in      []bool
	stopped []bool // by a flag
	dry     bool   // no water may run here
	refused string
	// squeezed: a budget has taken things out that were asked for.
	squeezed bool
	notes    []string
}

func (r *Rules) newJob(e *Enquiry) *job {
	j := &job{r: r, e: e, know: r.believe(e), stopped: make([]bool, len(r.tasks))}
	j.best, j.odds = make([]Grade, len(r.book.Areas)), make([][4]float64, len(r.book.Areas))
	for a, rule := range r.book.Areas {
		j.odds[a] = j.know.marginal(a)
		j.best[a] = likeliest(j.odds[a])
		if rule.OnlyIfTold && !j.know.told[a] {
			j.best[a] = Light
		}
	}
	j.raise()
	j.measure()
	j.dry = !e.Site.Own && (e.Site.Surface == "street" || e.Site.Drain == "surface" || !e.Site.Tap && !r.Place.CarriesWater)
	return j
}

// measure counts the units of every task.
func (j *job) measure() {
	per := map[string]float64{}
	for _, u := range units() {
		per[u] = j.e.Vehicle.units(u)
	}
	j.pieces, j.units = make([]float64, len(j.r.tasks)), make([]float64, len(j.r.tasks))
	for i := range j.r.tasks {
		j.pieces[i] = per[j.r.tasks[i].Per]
		j.units[i] = j.pieces[i] * j.times(j.r.tasks[i].ID)
	}
}

// raise collects the flags: those named, and those answers raise.
func (j *job) raise() {
	ids := slices.Clone(j.e.Flags)
	for _, a := range j.r.book.Areas {
		if id, ok := a.Raises[int(j.e.Said[a.ID])]; ok && j.e.Graded[a.ID] == Unknown {
			ids = append(ids, id)
		}
	}
	for _, f := range j.r.book.Flags {
		if !slices.Contains(ids, f.ID) {
			continue
		}
		j.flags = append(j.flags, f)
		for _, id := range f.Stops {
			j.stopped[j.r.index(id)] = true
		}
	}
}

// times is what the flags make of a task's minutes.
func (j *job) times(id string) float64 {
	f := 1.0
	for _, x := range j.flags {
		if slices.Contains(x.On, id) {
			f *= x.Times
		}
	}
	return f
}

// grade is the most probable grade of a task's area.
func (j *job) grade(i int) Grade {
	if a := j.r.tasks[i].area; a >= 0 {
		return j.best[a]
	}
	return Light
}

// possible tells whether a task can be done on this car at all.
func (j *job) possible(i int) bool { return !j.stopped[i] && j.units[i] > 0 }

// asked tells whether the wants bring a task in at a grade. Somebody who asks for
// a task by name gets it at any.
func (j *job) asked(i int, g Grade) bool {
	t := &j.r.tasks[i]
	if t.Always {
		return true
	}
	for _, w := range j.e.Wants {
		if w == t.ID || t.brought(w, g) {
			return true
		}
	}
	return false
}

// choose decides what is in the job.
func (j *job) choose() {
	in := make([]bool, len(j.r.tasks))
	for i := range in {
		in[i] = j.possible(i) && j.asked(i, j.grade(i)) && j.r.tasks[i].present[j.grade(i)-1]
	}
	j.in = j.settle(in)
	j.settlePlace()
}

// settle adds what the chosen need and leaves one level of each family.
func (j *job) settle(in []bool) []bool {
	in = slices.Clone(in)
	for again := true; again; {
		again = false
		j.levels(in)
		for i := range in {
			for _, group := range j.r.tasks[i].needs {
				if !in[i] || j.any(in, group) {
					continue
				}
				if n := j.first(in, group); n >= 0 {
					in[n], again = true, true
				} else {
					in[i], again = false, true
				}
			}
		}
	}
	return in
}

// levels drops all but the highest level of each family, and all but one asked
// for by name.
func (j *job) levels(in []bool) {
	top := map[string]int{}
	for i := range in {
		f := j.r.tasks[i].Family
		if !in[i] || f == "" {
			continue
		}
		k, ok := top[f]
		if !ok {
			top[f] = i
			continue
		}
		if j.rank(i) > j.rank(k) {
			top[f] = i
			in[k] = false
		} else {
			in[i] = false
		}
	}
}

func (j *job) rank(i int) int {
	t := &j.r.tasks[i]
	const named = 1000
	if slices.Contains(j.e.Wants, t.ID) {
		return t.Level + named
	}
	return t.Level
}

func (j *job) any(in []bool, group []int) bool {
	return slices.ContainsFunc(group, func(n int) bool { return in[n] })
}

// first is the first of a group that can be done, -1 if none can. A lower level
// of a family that is in already is not one of them.
func (j *job) first(in []bool, group []int) int {
	for _, n := range group {
		if !j.possible(n) || j.outranked(in, n) {
			continue
		}
		return n
	}
	return -1
}

func (j *job) outranked(in []bool, n int) bool {
	f := j.r.tasks[n].Family
	if f == "" {
		return false
	}
	for i := range in {
		if in[i] && j.r.tasks[i].Family == f && j.rank(i) > j.rank(n) {
			return true
		}
	}
	return false
}

// settlePlace changes the method, or refuses, where the place asks for it.
func (j *job) settlePlace() {
	p, site := &j.r.Place, &j.e.Site
	if site.Own {
		return
	}
	if j.dry {
		j.withoutWater()
	}
	power, cover := false, false
	for i, on := range j.in {
		power = power || on && j.r.tasks[i].Power
		cover = cover || on && j.r.tasks[i].UnderCover
	}
	if power && !site.Socket && !p.CarriesPower {
		j.refuse(p.NoPower)
	}
	if cover && site.Surface != "garage" {
		j.note(p.NoCover)
	}
	if site.Surface == "shared" {
		j.note(p.AskPermission)
	}
	if !j.dry && j.wet() && site.Drain != "foul" {
		j.note(p.AskDrain)
	}
}

func (j *job) wet() bool {
	for i, on := range j.in {
		if on && j.r.tasks[i].Wet {
			return true
		}
	}
	return false
}

// withoutWater replaces wet tasks by what can be done instead. If the heart of
// the job needs water and there is nothing instead, the job is refused here.
func (j *job) withoutWater() {
	if !j.wet() {
		return
	}
	reason := j.whyDry()
	if j.e.Site.Surface == "street" {
		// Hoses, buckets and a person kneeling in the road: not even low water.
		j.refuse(reason)
		return
	}
	for i, on := range j.in {
		if !on || !j.r.tasks[i].Wet {
			continue
		}
		j.in[i] = false
		n := j.r.tasks[i].without
		if n < 0 {
			continue
		}
		if only := j.r.tasks[n].OnlyAt; len(only) > 0 && !slices.Contains(only, j.grade(n)) {
			j.refuse(reason + " " + j.r.Place.NoWater)
			return
		}
		j.in[n] = true
		j.note(j.r.Place.LowWater)
	}
	j.dropUnmet()
	if !j.anyWork() {
		j.refuse(reason)
	}
}

func (j *job) whyDry() string {
	switch {
	case j.e.Site.Surface == "street":
		return j.r.Place.NoStreet
	case j.e.Site.Drain == "surface":
		return j.r.Place.NoDrain
	}
	return j.r.Place.NoWater
}

// dropUnmet takes out whatever needs something that is not in.
func (j *job) dropUnmet() {
	for again := true; again; {
		again = false
		for i, on := range j.in {
			for _, group := range j.r.tasks[i].needs {
				if on && j.in[i] && !j.any(j.in, group) {
					j.in[i], again = false, true
				}
			}
		}
	}
}

// anyWork tells whether anything but the frame of a job is left.
func (j *job) anyWork() bool {
	for i, on := range j.in {
		if on && !j.r.tasks[i].Always {
			return true
		}
	}
	return false
}

func (j *job) refuse(why string) {
	if j.refused == "" {
		j.refused = why
	}
}

func (j *job) note(words string) {
	if !slices.Contains(j.notes, words) {
		j.notes = append(j.notes, words)
	}
}

// setUp is the time for getting ready.
func (j *job) setUp() minutes.Shape {
	const unit, customer, selfContained = 0, 1, 2
	switch s := j.e.Site; {
	case s.Own:
		return j.r.setUps[unit]
	case j.wet() && !s.Tap, !s.Socket:
		return j.r.setUps[selfContained]
	}
	return j.r.setUps[customer]
}
