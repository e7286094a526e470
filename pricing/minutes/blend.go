package minutes

import "math"

// Pair is the sum of two independent distributions, not carried out. Asked for a
// probability or two, that is far less work than [Sum]. A zero Distribution adds
// nothing.
type Pair struct{ A, B Distribution }

// CDF is what [Distribution.CDF] is of the sum.
func (p Pair) CDF(x float64) float64 {
	a, b := p.A.P, p.B.P
	if len(a) == 0 {
		a = nothing
	}
	if len(b) == 0 {
		b = nothing
	}
	at := x - float64(p.A.First+p.B.First) + 0.5
	if at < 0 {
		return 0
	}
	whole := math.Floor(at)
	n, part := int(whole), at-whole
	// below is the probability that b is less than n; as a grows, n falls.
	var sum, below float64
	for _, w := range b[:min(n, len(b))] {
		below += w
	}
	for _, w := range a {
		if n < len(b) {
			sum += w * (below + part*b[n])
		} else {
			sum += w * below
		}
		if n--; n < 0 {
			break
		}
		if n < len(b) {
			below -= b[n]
		}
	}
	return sum
}

var nothing = []float64{1}

// span is from which minute to which, exclusive, the sum can lie.
func (p Pair) span() (from, to int) {
	from = p.A.First + p.B.First
	return from, from + max(len(p.A.P), 1) + max(len(p.B.P), 1) - 1
}

// Blend is a mixture of pairs: with probability Weights[i] it is Pairs[i].
type Blend struct {
	Weights []float64
	Pairs   []Pair
}

// CDF is what [Distribution.CDF] is of the mixture of the sums.
func (b Blend) CDF(x float64) float64 {
	var sum float64
	for i, w := range b.Weights {
		if w > 0 {
			sum += w * b.Pairs[i].CDF(x)
		}
	}
	return sum
}

// Quantile is what [Distribution.Quantile] is of the mixture of the sums.
func (b Blend) Quantile(p float64) float64 {
	lo, hi := math.MaxInt, math.MinInt
	for i, q := range b.Pairs {
		if from, to := q.span(); b.Weights[i] > 0 {
			lo, hi = min(lo, from), max(hi, to)
		}
	}
	// The minute looked for is lo or later, and before hi. The curve is smooth, so
	// the line between the two tells where to look, and halving that it ends.
	below, above := 0.0, 1.0
	for halve := false; lo < hi-1; halve = !halve {
		m := (lo + hi) / 2
		if !halve && above > below {
			m = lo + int(float64(hi-lo)*(p-below)/(above-below))
			m = min(max(m, lo+1), hi-1)
		}
		if c := b.CDF(float64(m) - 0.5); c < p {
			lo, below = m, c
		} else {
			hi, above = m, c
		}
	}
	if hi == lo || above <= below {
		return float64(lo) - 0.5
	}
	return float64(lo) - 0.5 + math.Min(1, math.Max(0, p-below)/(above-below))
}
