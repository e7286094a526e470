package pricing

// Gradings count how often an area was really in a state (first index, light
// first) when its customer had chosen a description (second).
type Gradings [4][4]int

// Count adds a car: what the owner found, and what the customer had said, as the
// grade it stands for ([AreaRule.Counted]). Without both it counts for nothing.
func (g *Gradings) Count(seen, said Grade) {
	if seen >= Light && seen <= Severe && said >= Light && said <= Severe {
		g[seen-1][said-1]++
	}
}

// Jobs is how many cars were counted.
func (g Gradings) Jobs() (n int) {
	for _, row := range g {
		for _, k := range row {
			n += k
		}
	}
	return n
}

// Off is how many of them were worse than said, and how many better.
func (g Gradings) Off() (worse, better int) {
	for seen, row := range g {
		for said, k := range row {
			switch {
			case seen > said:
				worse += k
			case seen < said:
				better += k
			}
		}
	}
	return worse, better
}

// TooClean is by how many grades customers call the area cleaner than it is, on
// average over the cars counted; below 0 they are too hard on it.
func (g Gradings) TooClean() float64 {
	sum := 0
	for seen, row := range g {
		for said, k := range row {
			sum += k * (seen - said)
		}
	}
	if sum == 0 {
		return 0
	}
	return float64(sum) / float64(g.Jobs())
}

// moved is a table of answers after the counts: row by row the mean of a
// Dirichlet distribution whose prior is the table. worth is how many cars the
// whole table counts for, split over its rows as cars usually are (usual).
func (t table) moved(g Gradings, usual [4]float64, worth float64) table {
	for seen := range t {
		prior := worth * usual[seen]
		total := prior
		for _, k := range g[seen] {
			total += float64(k)
		}
		if total <= 0 {
			continue
		}
		for said := range t[seen] {
			t[seen][said] = (prior*t[seen][said] + float64(g[seen][said])) / total
		}
	}
	return t
}

// usually are the shares of an area's four grades over all cars.
func (r *Rules) usually(a AreaRule) (p [4]float64) {
	for _, s := range r.book.States {
		usual, ok := a.Usual[s.ID]
		if !ok {
			usual = s.Grades
		}
		for g := range p {
			p[g] += s.Share * usual[g]
		}
	}
	return p
}

// Counted is the grade an answer stands for.
func (a AreaRule) Counted(answer Grade) Grade { return a.counted(answer) }
