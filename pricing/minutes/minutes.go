// Package minutes is the arithmetic of how long work takes: three-point
// estimates, and exact sums and mixtures of them on a grid of whole minutes.
//
// An estimate is a beta-PERT distribution. To be added up it is laid on the grid
// so that its mean stays exactly what it was; sums are plain convolutions and
// mixtures plain weighted sums, so the same question always has the same answer.
package minutes

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"
)

// Lambda is the weight of the likely value in the PERT mean, (low + λ·likely +
// high) / (λ + 2). Four is the customary value (Malcolm, Roseboom, Clark and
// Fazar, 1959; from memory).
const Lambda = 4

// Estimate is a three-point estimate in minutes: hardly ever less than Low, most
// often Likely, hardly ever more than High. It is valid if Low ≤ Likely ≤ High.
type Estimate struct{ Low, Likely, High float64 }

// Times is the estimate for n times the work, with the same relative spread.
func (e Estimate) Times(n float64) Estimate { return Estimate{e.Low * n, e.Likely * n, e.High * n} }

// Mean is the expected minutes, (low + 4·likely + high) / 6.
func (e Estimate) Mean() float64 { return (e.Low + Lambda*e.Likely + e.High) / (Lambda + 2) }

// Variance is that of the beta distribution, (mean - low)(high - mean) / 7. It
// is not the textbook ((high - low)/6)², which belongs to another approximation.
func (e Estimate) Variance() float64 {
	m := e.Mean()
	return (m - e.Low) * (e.High - m) / (Lambda + 3)
}

// Shape gives the two parameters of the beta distribution on 0..1 (Vose's
// "modified PERT"). An estimate without spread has none, and ok is false.
func (e Estimate) Shape() (alpha, beta float64, ok bool) {
	w := e.High - e.Low
	if w <= 0 {
		return 0, 0, false
	}
	return 1 + Lambda*(e.Likely-e.Low)/w, 1 + Lambda*(e.High-e.Likely)/w, true
}

// Quantile is the minutes not exceeded with probability p.
func (e Estimate) Quantile(p float64) float64 {
	a, b, ok := e.Shape()
	if !ok {
		return e.Low
	}
	return e.Low + (e.High-e.Low)*distuv.Beta{Alpha: a, Beta: b}.Quantile(p)
}

// CDF is the probability of taking at most x minutes.
func (e Estimate) CDF(x float64) float64 {
	a, b, ok := e.Shape()
	if !ok {
		return boolAs(x >= e.Low)
	}
	return distuv.Beta{Alpha: a, Beta: b}.CDF((x - e.Low) / (e.High - e.Low))
}

func boolAs(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// negligible is how much probability may be cut from each end of a
// distribution. Over all sums of the largest job it comes to some 1e-6, which
// moves no price by a penny.
const negligible = 1e-8

// Distribution is a probability for each whole minute from First on. The zero
// Distribution is no time at all: it adds nothing.
type Distribution struct {
	First int       `json:"first"`
	P     []float64 `json:"p"`
}

// Exactly is a certain number of minutes, split between its two neighbours on
// the grid so that the mean is exact.
func Exactly(m float64) Distribution {
	whole := math.Floor(m)
	part := m - whole
	if part == 0 {
		return Distribution{int(whole), []float64{1}}
	}
	return Distribution{int(whole), []float64{1 - part, part}}
}

// trimmed cuts off ends that hold next to nothing.
func (d Distribution) trimmed() Distribution {
	lo, hi := 0, len(d.P)
	for sum := 0.0; lo < hi-1; lo++ {
		if sum += d.P[lo]; sum > negligible {
			break
		}
	}
	for sum := 0.0; hi > lo+1; hi-- {
		if sum += d.P[hi-1]; sum > negligible {
			break
		}
	}
	return Distribution{d.First + lo, d.P[lo:hi]}
}

// AtMost is the distribution of work that is stopped after m minutes.
func (d Distribution) AtMost(m float64) Distribution {
	end := Exactly(m)
	n := min(max(int(math.Ceil(m))-d.First, 0), len(d.P))
	stopped := floats.Sum(d.P[n:])
	if stopped == 0 {
		return d
	}
	first := end.First
	if n > 0 {
		first = min(first, d.First)
	}
	p := make([]float64, end.First+len(end.P)-first)
	for i, w := range d.P[:n] {
		p[d.First+i-first] += w
	}
	floats.AddScaled(p[end.First-first:], stopped, end.P)
	return Distribution{first, p}
}

// Mean is the expected minutes.
func (d Distribution) Mean() float64 {
	var m float64
	for i, p := range d.P {
		m += p * float64(i)
	}
	return m + float64(d.First)*floats.Sum(d.P)
}

// Variance is in square minutes. It includes what the grid adds, at most a
// quarter for each estimate laid on it.
func (d Distribution) Variance() float64 {
	mean := d.Mean() - float64(d.First)
	var v float64
	for i, p := range d.P {
		v += p * (float64(i) - mean) * (float64(i) - mean)
	}
	return v
}

// CDF is the probability of at most x minutes. Each minute of the grid stands
// for the half minute around it, so the result has no steps.
func (d Distribution) CDF(x float64) float64 {
	at := x - float64(d.First) + 0.5
	var sum float64
	for i, p := range d.P {
		if float64(i) >= at {
			break
		}
		sum += p * math.Min(1, at-float64(i))
	}
	return sum
}

// Quantile is the minutes not exceeded with probability p, the inverse of CDF.
func (d Distribution) Quantile(p float64) float64 {
	var sum float64
	for i, q := range d.P {
		if q > 0 && sum+q >= p {
			return float64(d.First+i) - 0.5 + math.Max(0, p-sum)/q
		}
		sum += q
	}
	return float64(d.First+len(d.P)) - 0.5
}
