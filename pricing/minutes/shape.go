package minutes

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mathext"
)

// Shape is an estimate prepared for being laid on the grid again and again in
// different sizes: for a small car and a large one, the curve is the same and
// only its width differs.
type Shape struct {
	e Estimate // for one unit of work
	// below[i] is the integral of the CDF from 0 to i/cells on the unit
	// interval, cdf[i] the CDF there. Between the nodes a cubic through values
	// and slopes is exact to about 1e-8.
	below, cdf []float64
}

const cells = 128

// Prepare works an estimate's curve out once.
func Prepare(e Estimate) Shape {
	s := Shape{e: e}
	a, b, ok := e.Shape()
	if !ok {
		return s
	}
	s.below, s.cdf = make([]float64, cells+1), make([]float64, cells+1)
	logBeta := mathext.Lbeta(a, b)
	for i := 1; i <= cells; i++ {
		x := float64(i) / cells
		s.cdf[i] = mathext.RegIncBeta(a, b, x)
		// ∫F = xF(x) - ∫t f(t)dt, and the last is the mean times the CDF of the
		// beta distribution with alpha one higher, which is I(a, b) less
		// xᵃ(1-x)ᵇ / (a·B(a, b)); Abramowitz and Stegun 26.5.16, from memory.
		higher := s.cdf[i] - math.Exp(a*math.Log(x)+b*math.Log1p(-x)-logBeta)/a
		s.below[i] = x*s.cdf[i] - a/(a+b)*higher
	}
	return s
}

// Estimate is what the shape was prepared from.
func (s Shape) Estimate() Estimate { return s.e }

// integral is ∫₀ˣF on the unit interval, continued beyond it.
func (s Shape) integral(x float64) float64 {
	if x <= 0 {
		return 0
	}
	if x >= 1 {
		return s.below[cells] + x - 1
	}
	i := int(x * cells)
	const h = 1.0 / cells
	t := x*cells - float64(i)
	p0, p1, m0, m1 := s.below[i], s.below[i+1], s.cdf[i]*h, s.cdf[i+1]*h
	return p0 + t*(m0+t*(3*(p1-p0)-2*m0-m1+t*(2*(p0-p1)+m0+m1)))
}

// Grid lays n units of the work on the grid. The weight of minute k is the mean
// of the hat function around k, which keeps the mean exact; it is the second
// difference of the integral of the CDF.
func (s Shape) Grid(n float64) Distribution {
	low, w := s.e.Low*n, (s.e.High-s.e.Low)*n
	if s.below == nil || w < 1e-9 {
		return Exactly(s.e.Mean() * n)
	}
	first := int(math.Floor(low))
	p := make([]float64, int(math.Ceil(low+w))-first+1)
	before, here := 0.0, w*s.integral((float64(first)-low)/w)
	for i := range p {
		next := w * s.integral((float64(first+i+1)-low)/w)
		p[i] = math.Max(0, next-2*here+before)
		before, here = here, next
	}
	// What the interpolation leaves negative, about 1e-8, was set to nothing.
	floats.Scale(1/floats.Sum(p), p)
	return Distribution{first, p}.trimmed()
}
