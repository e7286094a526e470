package pricing

import "example.org/dryhand/pricing/minutes"

// OpenEVNames are the cars whose figures are said to come from Open EV Data.
func OpenEVNames() []string {
	var out []string
	for _, c := range newGarage().cars {
		if c.source == "openev" {
			out = append(out, c.Name)
		}
	}
	return out
}

// BestByTrying is the most value any choice of the candidates has that stays
// within the budget by the convolution, by trying them all, and the value of the
// choice that was made.
func (r *Rules) BestByTrying(e Enquiry) (best, got float64, candidates int) {
	j := r.newJob(&e)
	j.choose()
	c := j.candidates()
	got = r.FitValue(e)
	for mask := range 1 << len(c.tasks) {
		chosen := make([]bool, len(c.tasks))
		for k := range chosen {
			chosen[k] = mask>>k&1 == 1
		}
		with := *j
		with.in = c.spread(chosen)
		v := c.value(with.in)
		if v <= best || !c.allowed(chosen) || !with.anyWork() {
			continue
		}
		if with.sure() >= r.Quotes.BudgetConfidence {
			best = v
		}
	}
	return best, got, len(c.tasks)
}

func (c *choice) allowed(chosen []bool) bool {
	family := map[int]bool{}
	for k, it := range c.problem.Items {
		if it.Must && !chosen[k] {
			return false
		}
		if !chosen[k] {
			continue
		}
		if it.Family != 0 && family[it.Family] {
			return false
		}
		family[it.Family] = true
		for _, group := range it.Needs {
			met := false
			for _, n := range group {
				met = met || chosen[n]
			}
			if !met {
				return false
			}
		}
	}
	return true
}

// FitValue is the value of the choice made for a budget, 0 if nothing fits.
func (r *Rules) FitValue(e Enquiry) float64 {
	j := r.newJob(&e)
	j.choose()
	c := j.candidates()
	in, _ := c.within(e.Budget)
	return c.value(in)
}

func (c *choice) value(in []bool) (v float64) {
	for k, i := range c.tasks {
		if in != nil && in[i] {
			v += c.problem.Items[k].Value
		}
	}
	return v
}

// States are the overall states with their shares, and Usual the shares of the
// grades of an area in a state.
func (r *Rules) States() []float64 {
	var out []float64
	for _, s := range r.book.States {
		out = append(out, s.Share)
	}
	return out
}

func (r *Rules) Usual(a Area, s int) [4]float64 {
	state := r.book.States[s]
	for _, rule := range r.book.Areas {
		if u, ok := rule.Usual[state.ID]; ok && rule.ID == a {
			return u
		}
	}
	return state.Grades
}

// Chosen are the shares of answers for what is really there.
func (r *Rules) Chosen(g Grade) [4]float64 { return r.answers[g-1] }

// Draw plays the job of an enquiry once on a car that really is like truth, and
// returns its minutes. draw returns a draw from a beta distribution.
func (r *Rules) Draw(e Enquiry, truth map[Area]Grade, draw func(alpha, beta float64) float64) float64 {
	return r.DrawMany(e, []map[Area]Grade{truth}, draw)[0]
}

// DrawMany is [Rules.Draw] on many cars; the job is worked out once.
func (r *Rules) DrawMany(e Enquiry, truths []map[Area]Grade, draw func(alpha, beta float64) float64) []float64 {
	j := r.newJob(&e)
	j.choose()
	out := make([]float64, len(truths))
	for k, truth := range truths {
		out[k] = once(j.setUp().Estimate(), draw)
		for i, on := range j.in {
			t := &r.tasks[i]
			g := Light
			if t.area >= 0 {
				g = truth[t.Area]
			}
			if on && t.present[g-1] {
				out[k] += j.units[i] * once(t.shapes[g-1].Estimate(), draw)
			}
		}
	}
	return out
}

func once(m minutes.Estimate, draw func(alpha, beta float64) float64) float64 {
	a, b, ok := m.Shape()
	if !ok {
		return m.Low
	}
	return m.Low + (m.High-m.Low)*draw(a, b)
}
