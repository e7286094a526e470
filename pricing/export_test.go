package pricing

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
