package pricing

// Longer is what it costs more if the work of a quote takes so many minutes longer
// than reckoned, or less if that is below zero: VAT included if there is any, to the
// penny. Nobody says which of the tasks the minutes fall to, so that they are shared
// among all of them as the reckoned ones are, each at its own rate.
func (r *Rules) Longer(q Quote, by float64) Pence {
	var all, charged float64
	for _, l := range q.In {
		rate := r.Money.Rate
		if t, ok := r.Task(l.Task); ok && t.Skilled {
			rate = r.Money.SkilledRate
		}
		all += l.Minutes
		charged += l.Minutes * float64(rate)
	}
	if all <= 0 {
		return 0
	}
	return pence(by / 60 * charged / all * r.vat())
}
