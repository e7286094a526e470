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

// Quantiles is [Space.Quantiles] for a blend by itself.
func (b Blend) Quantiles(ps ...float64) []float64 { return (*Space)(nil).Quantiles(b, ps...) }

// Quantiles are for each p what [Distribution.Quantile] is of the mixture of the
// sums.
func (s *Space) Quantiles(b Blend, ps ...float64) []float64 {
	c := s.curve(b)
	out := make([]float64, len(ps))
	for i, p := range ps {
		out[i] = c.quantile(p)
	}
	return out
}
