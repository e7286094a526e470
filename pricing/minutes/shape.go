package minutes

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/mathext"
)

// Shape is an estimate prepared for being laid on the grid again and again in
// different sizes: for a small car and a large one, the curve is the same and
// only its width differs.
type Shape struct {
	e     Estimate // for one unit of work
	curve *unitCurve
}

// unitCurve is the curve of an estimate on the unit interval, worked out when it
// is first needed.
type unitCurve struct {
	once sync.Once
	// below[i] is the integral of the CDF from 0 to i/cells, cdf[i] the CDF there.
	// Between the nodes a cubic through values and slopes is exact to about 1e-8.
	below, cdf [cells + 1]float64
}

const cells = 128

// Prepare makes an estimate ready. Its curve is worked out once, when it is first
// needed.
func Prepare(e Estimate) Shape {
	if _, _, ok := e.Shape(); !ok {
		return Shape{e: e}
	}
	return Shape{e, new(unitCurve)}
}

// ready is the curve, worked out.
func (s Shape) ready() *unitCurve {
	s.curve.once.Do(func() { s.curve.work(s.e) })
	return s.curve
}

func (c *unitCurve) work(e Estimate) {
	a, b, _ := e.Shape()
	logBeta := mathext.Lbeta(a, b)
	for i := 1; i <= cells; i++ {
		x := float64(i) / cells
		c.cdf[i] = mathext.RegIncBeta(a, b, x)
		// ∫F = xF(x) - ∫t f(t)dt, and the last is the mean times the CDF of the
		// beta distribution with alpha one higher, which is I(a, b) less
		// xᵃ(1-x)ᵇ / (a·B(a, b)); Abramowitz and Stegun 26.5.16, from memory.
		higher := c.cdf[i] - math.Exp(a*math.Log(x)+b*math.Log1p(-x)-logBeta)/a
		c.below[i] = x*c.cdf[i] - a/(a+b)*higher
	}
}

// Estimate is what the shape was prepared from.
func (s Shape) Estimate() Estimate { return s.e }

// integral is ∫₀ˣF on the unit interval, continued beyond it.
func (c *unitCurve) integral(x float64) float64 {
	if x <= 0 {
		return 0
	}
	if x >= 1 {
		return c.below[cells] + x - 1
	}
	i := int(x * cells)
	const h = 1.0 / cells
	t := x*cells - float64(i)
	p, m := c.below[i:i+2:i+2], c.cdf[i:i+2:i+2]
	p0, p1, m0, m1 := p[0], p[1], m[0]*h, m[1]*h
	return p0 + t*(m0+t*(3*(p1-p0)-2*m0-m1+t*(2*(p0-p1)+m0+m1)))
}

// Grid is [Space.Grid] for a grid by itself.
func (s Shape) Grid(n float64) Distribution { return (*Space)(nil).Grid(s, n) }
