package pricing

// Odds is how likely it is that a price comes out between two amounts, before it is
// rounded, and before it stops at a figure.
type Odds struct {
	From, To Pence
	P        float64
}

// Spread is how a price is spread.
type Spread struct {
	Steps []Odds
	// High is the most that is asked; one of the steps ends there if any reaches so far.
	// Above is the probability that the work comes to more: at most a tenth, unless the
	// price stops at a figure.
	High  Pence
	Above float64
	// On is the name of the area whose state moves the price most, empty if none does;
	// Told says whether anybody has said or seen anything of it.
	On   string
	Told bool
}

// What lies outside these shares of the cases is not drawn, and nobody sees more
// steps than that.
const (
	rarest    = .005
	mostSteps = 40
)

// Spread is how the price of what [Rules.Fit] chooses is spread, by steps of the size
// prices are rounded to, or of twice that and so on where there would be too many.
// They leave out one case in two hundred at either end. There are none where no price
// is named. The error is that of Fit.
func (r *Rules) Spread(e Enquiry) (Spread, error) {
	var s Spread
	fitted, err := r.fit(e, func(j *job, high Pence) { s = j.spread(high) })
	if err != nil || fitted.Quote.Refused != "" {
		return Spread{}, err
	}
	return s, nil
}

// spread spreads the price of a quoted job of which at most so much is asked.
func (j *job) spread(high Pence) Spread {
	s := Spread{High: high}
	if len(j.bill.Pairs) == 0 {
		return s
	}
	s.On, s.Told = j.hangsOn()
	price := func(m float64) Pence { return pence(j.r.gross(m*j.perMinute() + j.fixed())) }
	below := func(p Pence) float64 {
		if p <= pence(j.r.gross(0)) {
			return 0 // whatever would cost less is charged the minimum
		}
		return j.bill.CDF((float64(p)/j.r.vat() - j.fixed()) / j.perMinute())
	}
	// What costs exactly the minimum does not cost more than that.
	if high > pence(j.r.gross(0)) {
		s.Above = 1 - below(high)
	} else {
		s.Above = 1 - below(high+1)
	}
	ends := j.bill.Quantiles(rarest, 1-rarest)
	step := j.r.Money.RoundTo
	least, most := price(ends[0]), price(ends[1])
	for (most-least)/step+2 > mostSteps {
		step *= 2
	}
	// The steps are counted from the most that is asked, either way.
	at := high - ((high - least) / step * step)
	for at > least {
		at -= step
	}
	for was := below(at); at < most || len(s.Steps) == 0; at += step {
		now := below(at + step)
		s.Steps = append(s.Steps, Odds{From: at, To: at + step, P: now - was})
		was = now
	}
	return s
}

// hangsOn is the area over whose grades the price of the chosen tasks varies most.
func (j *job) hangsOn() (name string, told bool) {
	most := 0.0
	for a, odds := range j.odds {
		var mean, square float64
		for g, p := range odds {
			cost := 0.0
			for i, on := range j.in {
				if on && j.r.tasks[i].area == a {
					cost += j.cost(i, j.atGrade(i, g))
				}
			}
			mean += p * cost
			square += p * cost * cost
		}
		if v := square - mean*mean; v > most {
			most, name, told = v, j.r.book.Areas[a].Name, j.know.told[a]
		}
	}
	return name, told
}
