package pricing

import (
	"slices"

	"example.org/dryhand/pricing/minutes"
)

// settlePlace changes the method, or refuses, where the place asks for it.
func (j *job) settlePlace() {
	p, site := &j.r.Place, &j.e.Site
	if site.Own {
		return
	}
	if p.MostMiles > 0 && site.Miles > p.MostMiles {
		j.refuse(p.TooFar)
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
	if told := site.Drain != "" && site.Drain != "unknown"; !told && !j.dry && j.wet() {
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
	case j.wet() && !j.sparing && !s.Tap, !s.Socket:
		return j.r.setUps[selfContained]
	}
	return j.r.setUps[customer]
}
