package pricing

import "slices"

// mainPart is the share of the price from which on a single task is a reason of
// its own: polishing costs what it costs because it is polishing.
const mainPart = 0.3

// cause is one reason for the price in exact pence.
type cause struct {
	words  string
	effect float64
}

// drivers are the three things that move the price most: against a well-kept
// medium hatchback close by for which the same is wanted, and single tasks that
// make up a large part of it.
func (j *job) drivers() []Driver {
	causes := append(j.stateCauses(), j.sizeCause())
	causes = append(causes, cause{j.r.Place.Travel, j.travel()})
	further := j.setUp().Estimate().Mean() - j.r.setUps[0].Estimate().Mean()
	causes = append(causes, cause{j.r.Quotes.Place, further * j.perMinute()})
	for _, f := range j.flags {
		causes = append(causes, cause{f.Words, flagMinutes(f)*j.perMinute() + float64(f.Charge)})
	}
	slices.SortStableFunc(causes, func(a, b cause) int {
		switch {
		case a.effect > b.effect:
			return -1
		case a.effect < b.effect:
			return 1
		}
		return 0
	})
	const shown = 3
	var out []Driver
	for _, c := range causes {
		if p := j.shownEffect(c.effect); p > 0 && c.words != "" && len(out) < shown {
			out = append(out, Driver{c.words, p})
		}
	}
	return out
}

// shownEffect is an effect as a customer sees it: with VAT, to the pound.
func (j *job) shownEffect(exact float64) Pence { return pence(exact * j.r.vat()).Near(100) }

// wellKept is what a chosen task would cost if its area were light: nothing, if
// only the grade brought it in.
func (j *job) wellKept(i int) float64 {
	if j.asked(i, j.grade(i)) && !j.asked(i, Light) {
		return 0
	}
	return j.cost(i, j.atGrade(i, 0))
}

// stateCauses are what the state of each area adds, and the main parts.
func (j *job) stateCauses() []cause {
	var total float64
	for i, on := range j.in {
		if on {
			total += j.cost(i, j.expected(i))
		}
	}
	areas := make([]cause, len(j.r.book.Areas))
	var main []cause
	for i, on := range j.in {
		t := &j.r.tasks[i]
		if !on || t.area < 0 {
			continue
		}
		c := j.cost(i, j.expected(i))
		if c >= mainPart*total {
			main = append(main, cause{t.Words, c})
			continue
		}
		areas[t.area].effect += c - j.wellKept(i)
	}
	for a := range areas {
		if areas[a].effect > 0 {
			areas[a].words = j.seen(a)
		}
	}
	return append(areas, main...)
}

// seen is an area with what is known of it, in words a customer chose. What is as clean
// as can be is no reason for a price, though some minutes are reckoned in case it is not:
// nobody would see why a little dust should cost them anything.
func (j *job) seen(a int) string {
	rule := j.r.book.Areas[a]
	known := j.e.Graded[rule.ID]
	if known == Unknown {
		known = j.e.Said[rule.ID]
	}
	switch known {
	case Unknown:
		return rule.Name + ": " + j.r.Quotes.NotSeen
	case Light:
		return ""
	}
	return rule.Name + ": " + rule.Grades[known-1]
}

// sizeCause is what the car's size adds to work on a well-kept car.
func (j *job) sizeCause() cause {
	ref := reference()
	c := cause{words: j.r.Quotes.Size}
	for i, on := range j.in {
		if !on || j.pieces[i] == 0 {
			continue
		}
		if m := ref.units(j.r.tasks[i].Per); m > 0 {
			c.effect += j.wellKept(i) * (1 - m/j.pieces[i])
		}
	}
	return c
}
