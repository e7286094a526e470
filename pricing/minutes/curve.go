package minutes

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// curve is the distribution function of a blend, made ready for many questions.
type curve struct {
	pairs []ready
	// known are the points worked out so far.
	known []point
}

// point is the probability of less than a whole number of minutes.
type point struct {
	minutes int
	below   float64
}

// ready is a pair of a blend with the shorter of its two distributions and the
// sums of the longer one, so that a probability is one inner product.
type ready struct {
	weight float64
	from   int // the least the sum can be
	short  []float64
	// down[k] is the probability that the longer one is one of its first len-k.
	down []float64
}

// curve makes a blend ready.
func (s *Space) curve(b Blend) *curve {
	c := &curve{pairs: make([]ready, 0, len(b.Pairs)), known: make([]point, 0, 32)}
	lo, hi := math.MaxInt, math.MinInt
	for i, p := range b.Pairs {
		if b.Weights[i] <= 0 {
			continue
		}
		short, long := p.A.P, p.B.P
		if len(short) > len(long) {
			short, long = long, short
		}
		if len(short) == 0 {
			short = nothing
		}
		if len(long) == 0 {
			long = nothing
		}
		r := ready{weight: b.Weights[i], from: p.A.First + p.B.First, short: short, down: s.take(len(long) + 1)}
		sum := 0.0
		for k, w := range long {
			sum += w
			r.down[len(long)-k-1] = sum
		}
		c.pairs = append(c.pairs, r)
		lo, hi = min(lo, r.from), max(hi, r.from+len(short)+len(long)-1)
	}
	c.known = append(c.known, point{lo, 0}, point{hi, 1})
	return c
}

// below is the probability of less than m minutes.
func (c *curve) below(m int) float64 {
	var sum float64
	for i := range c.pairs {
		r := &c.pairs[i]
		// The shorter one takes k minutes, the longer one less than n-k: with a small k
		// that is any, with a large one none.
		n, long := m-r.from, len(r.down)-1
		any, end := min(max(n-long, 0), len(r.short)), min(max(n, 0), len(r.short))
		sum += r.weight * r.down[0] * floats.Sum(r.short[:any])
		if any < end {
			at := long - n + any
			sum += r.weight * floats.Dot(r.short[any:end], r.down[at:at+end-any])
		}
	}
	c.known = append(c.known, point{m, sum})
	return sum
}

// quantile is the minutes not exceeded with probability p.
func (c *curve) quantile(p float64) float64 {
	lo, hi := c.known[0], c.known[1]
	for _, k := range c.known {
		switch {
		case k.below < p && k.minutes > lo.minutes:
			lo = k
		case k.below >= p && k.minutes < hi.minutes:
			hi = k
		}
	}
	// The minute looked for is lo or later, and before hi. The curve is smooth, so
	// the line between the two tells where to look, and halving that it ends.
	for halve := false; lo.minutes < hi.minutes-1; halve = !halve {
		m := (lo.minutes + hi.minutes) / 2
		if !halve && hi.below > lo.below {
			m = lo.minutes + int(float64(hi.minutes-lo.minutes)*(p-lo.below)/(hi.below-lo.below))
			m = min(max(m, lo.minutes+1), hi.minutes-1)
		}
		if below := c.below(m); below < p {
			lo = point{m, below}
		} else {
			hi = point{m, below}
		}
	}
	if hi.minutes == lo.minutes || hi.below <= lo.below {
		return float64(lo.minutes) - 0.5
	}
	return float64(lo.minutes) - 0.5 + math.Min(1, math.Max(0, p-lo.below)/(hi.below-lo.below))
}
