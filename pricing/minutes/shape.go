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

// unitCurve is the integral of the CDF of an estimate on the unit interval, worked
// out when it is first needed.
type unitCurve struct {
	once sync.Once
	// cubics[i] is the integral from i/cells to (i+1)/cells, as a cubic in the part of
	// the cell: through values and slopes at its ends, and so exact to about 1e-8.
	cubics [cells][4]float64
	whole  float64 // the integral from 0 to 1
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
	const h = 1.0 / cells
	a, b, _ := e.Shape()
	logBeta := mathext.Lbeta(a, b)
	var below, slope float64 // at the start of a cell
	for i := range cells {
		x := float64(i+1) / cells
		cdf := mathext.RegIncBeta(a, b, x)
		// ∫F = xF(x) - ∫t f(t)dt, and the last is the mean times the CDF of the
		// beta distribution with alpha one higher, which is I(a, b) less
		// xᵃ(1-x)ᵇ / (a·B(a, b)); Abramowitz and Stegun 26.5.16, from memory.
		higher := cdf - math.Exp(a*math.Log(x)+b*math.Log1p(-x)-logBeta)/a
		end, slopeEnd := x*cdf-a/(a+b)*higher, cdf*h
		c.cubics[i] = [4]float64{below, slope, 3*(end-below) - 2*slope - slopeEnd, 2*(below-end) + slope + slopeEnd}
		below, slope = end, slopeEnd
	}
	c.whole = below
}

// Estimate is what the shape was prepared from.
func (s Shape) Estimate() Estimate { return s.e }

// integral is ∫₀ˣF on the unit interval, for an x above 0, continued beyond 1.
func (c *unitCurve) integral(x float64) float64 {
	if x >= 1 {
		return c.whole + x - 1
	}
	t := x * cells
	i := int(t)
	t -= float64(i)
	k := &c.cubics[i]
	return k[0] + t*(k[1]+t*(k[2]+t*k[3]))
}

// Grid is [Space.Grid] for a grid by itself.
func (s Shape) Grid(n float64) Distribution { return (*Space)(nil).Grid(s, n) }
