package pricing

import (
	"slices"
	"sync"

	"example.org/dryhand/pricing/minutes"
)

// job is an enquiry being worked out.
type job struct {
	r     *Rules
	e     *Enquiry
	know  belief
	flags []Flag
	best  []Grade      // by area: what the work is chosen by
	odds  [][4]float64 // by area: the probabilities of the grades
	wants []grades     // by task: at which grades it is asked for
	named []bool       // by task: asked for by its own name
	// units of each task: as many as the car has, and times what flags make of it.
	pieces, units []float64
	boxes         []box
	kept          []*[4]minutes.Distribution // see charged
	// in are the tasks chosen, by their index in the order of work.
	in      []bool
	stopped []bool // by a flag
	dry     bool   // no water may run here
	sparing bool   // nothing is to be chosen that needs water
	refused string
	// squeezed: a budget has taken things out that were asked for.
	squeezed bool
	// bill are the minutes charged, once there is a price.
	bill  minutes.Blend
	space *minutes.Space // for the sums of minutes
	notes []string
}

func (r *Rules) newJob(e *Enquiry) *job {
	j := &job{r: r, e: e, space: spaces.Get().(*minutes.Space)}
	j.assess()
	j.want()
	j.raise()
	j.measure()
	j.dry = !e.Site.Own && (e.Site.Surface == "street" || e.Site.Drain == "surface" || !e.Site.Tap && !r.Place.CarriesWater)
	return j
}

// assess makes up our mind on the state of the car.
func (j *job) assess() {
	r, e := j.r, j.e
	j.know = r.believe(e)
	j.best, j.odds = make([]Grade, len(r.book.Areas)), make([][4]float64, len(r.book.Areas))
	for a := range r.book.Areas {
		j.odds[a] = j.know.marginal(a)
		// What somebody has looked at and described decides about the work there. What
		// the rest of the car, or experience with other people, makes of it only moves
		// minutes and price.
		rule := &r.book.Areas[a]
		j.best[a] = likeliest(j.odds[a])
		if said := rule.counted(e.Said[rule.ID]); said != Unknown && e.Graded[rule.ID] == Unknown {
			j.best[a] = said
		}
		if rule.OnlyIfTold && !j.know.told[a] {
			j.best[a] = Light
		}
	}
}

// spaces are kept from one job to the next: most of the time a job would spend on
// getting memory is saved.
var spaces = sync.Pool{New: func() any { return new(minutes.Space) }}

// done gives the space of a job back. No sum of minutes of it may be used after that.
func (j *job) done() {
	j.space.Reset()
	spaces.Put(j.space)
	j.space = nil
}

// want notes what is asked for.
func (j *job) want() {
	j.wants, j.named = make([]grades, len(j.r.tasks)), make([]bool, len(j.r.tasks))
	for i := range j.r.tasks {
		if j.r.tasks[i].Always {
			j.wants[i] = atAny
		}
	}
	for _, w := range j.e.Wants {
		for _, b := range j.r.wanted[w] {
			j.wants[b.task] |= b.at
			j.named[b.task] = j.named[b.task] || j.r.tasks[b.task].ID == w
		}
	}
	if len(j.e.Without) == 0 {
		return
	}
	for i := range j.r.tasks {
		if t := &j.r.tasks[i]; !t.Always && !j.named[i] && slices.Contains(j.e.Without, t.ID) {
			j.wants[i] = 0
		}
	}
}

// measure counts the units of every task.
func (j *job) measure() {
	var per [8]float64
	for u, name := range units() {
		per[u] = j.e.Vehicle.units(name)
	}
	n := len(j.r.tasks)
	j.boxes, j.kept = make([]box, n), make([]*[4]minutes.Distribution, n)
	j.pieces, j.units = make([]float64, n), make([]float64, n)
	for i := range j.r.tasks {
		j.pieces[i] = per[j.r.tasks[i].per]
		j.units[i] = j.pieces[i] * j.times(j.r.tasks[i].ID) * j.r.paceOf(&j.r.tasks[i])
	}
}

// raise collects the flags: those named, and those answers raise.
func (j *job) raise() {
	j.flags, j.stopped = nil, make([]bool, len(j.r.tasks))
	ids := slices.Clone(j.e.Flags)
	for k := range j.r.book.Areas {
		a := &j.r.book.Areas[k]
		if len(a.Raises) == 0 {
			continue
		}
		if id, ok := a.Raises[int(j.e.Said[a.ID])]; ok && j.e.Graded[a.ID] == Unknown {
			ids = append(ids, id)
		}
	}
	if len(ids) == 0 {
		return
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

// grade is the grade of a task's area that the work is chosen by: what was seen or
// said, or else the most probable.
func (j *job) grade(i int) Grade {
	if a := j.r.tasks[i].area; a >= 0 {
		return j.best[a]
	}
	return Light
}

// possible tells whether a task can be done on this car at all.
func (j *job) possible(i int) bool { return !j.stopped[i] && j.units[i] > 0 && !j.r.isUnused(i) }

// asked tells whether the wants bring a task in at a grade. Somebody who asks for
// a task by name gets it at any.
func (j *job) asked(i int, g Grade) bool { return j.wants[i].has(g) }

// choose decides what is in the job.
func (j *job) choose() {
	in := make([]bool, len(j.r.tasks))
	for i := range in {
		in[i] = j.possible(i) && (j.asked(i, j.grade(i)) || j.standsIn(i)) && j.r.tasks[i].present[j.grade(i)-1]
	}
	j.in = j.settle(in)
	j.settlePlace()
}

// standsIn tells whether a task takes the place of one that is asked for and not in
// use: the next lower of the family, or where there is none the lowest.
func (j *job) standsIn(i int) bool {
	f := j.r.tasks[i].Family
	if j.r.unused == nil || f == "" {
		return false
	}
	for k := range j.r.tasks {
		if o := &j.r.tasks[k]; o.Family == f && j.r.isUnused(k) && j.asked(k, j.grade(k)) && j.substitute(k) == i {
			return true
		}
	}
	return false
}

// substitute is what is done instead of a task not in use, -1 for nothing.
func (j *job) substitute(k int) int {
	below, lowest := -1, -1
	for i := range j.r.tasks {
		t := &j.r.tasks[i]
		if t.Family != j.r.tasks[k].Family || !j.possible(i) {
			continue
		}
		if t.Level < j.r.tasks[k].Level && (below < 0 || t.Level > j.r.tasks[below].Level) {
			below = i
		}
		if lowest < 0 || t.Level < j.r.tasks[lowest].Level {
			lowest = i
		}
	}
	if below >= 0 {
		return below
	}
	return lowest
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
	top := make([]int, len(in)+1) // by family: the highest so far, from 1
	for i := range in {
		f := j.r.tasks[i].family
		if !in[i] || f == 0 {
			continue
		}
		k := top[f] - 1
		switch {
		case k < 0:
			top[f] = i + 1
		case j.rank(i) > j.rank(k):
			top[f] = i + 1
			in[k] = false
		default:
			in[i] = false
		}
	}
}

func (j *job) rank(i int) int {
	const named = 1000
	if j.named[i] {
		return j.r.tasks[i].Level + named
	}
	return j.r.tasks[i].Level
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
	f := j.r.tasks[n].family
	if f == 0 {
		return false
	}
	for i := range in {
		if in[i] && j.r.tasks[i].family == f && j.rank(i) > j.rank(n) {
			return true
		}
	}
	return false
}
