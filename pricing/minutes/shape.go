package minutes

import (
	"math"

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

// Grid is [Space.Grid] for a grid by itself.
func (s Shape) Grid(n float64) Distribution { return (*Space)(nil).Grid(s, n) }
