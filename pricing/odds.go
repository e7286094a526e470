package pricing

// Odds is how likely it is that a price comes out between two amounts, before it is
// rounded.
type Odds struct {
	From, To Pence
	P        float64
}

// What lies outside these shares of the cases is not drawn, and nobody sees more
// steps than that.
const (
	rarest    = .005
	mostSteps = 40
)

// Odds are how the price of what [Rules.Fit] chooses is spread, by steps of the size
// prices are rounded to, or of twice that and so on where there would be too many.
// They leave out one case in two hundred at either end. There are none where no price
// is named. The error is that of Fit.
func (r *Rules) Odds(e Enquiry) ([]Odds, error) {
	var odds []Odds
	fitted, err := r.fit(e, func(j *job) { odds = j.spread() })
	if err != nil || fitted.Quote.Refused != "" {
		return nil, err
	}
	return odds, nil
}

// spread spreads the price of a quoted job.
func (j *job) spread() []Odds {
	if len(j.bill.Pairs) == 0 {
		return nil
	}
	price := func(m float64) Pence { return pence(j.r.gross(m*j.perMinute() + j.fixed())) }
	below := func(p Pence) float64 {
		if p <= pence(j.r.gross(0)) {
			return 0 // whatever would cost less is charged the minimum
		}
		return j.bill.CDF((float64(p)/j.r.vat() - j.fixed()) / j.perMinute())
	}
	ends := j.bill.Quantiles(rarest, 1-rarest)
	step := j.r.Money.RoundTo
	from, to := price(ends[0]).down(step), price(ends[1]).Up(step)
	for (to-from)/step > mostSteps {
		step *= 2
	}
	var out []Odds
	for at, was := from, below(from); at < to || at == from; at += step {
		now := below(at + step)
		out = append(out, Odds{From: at, To: at + step, P: now - was})
		was = now
	}
	return out
}
