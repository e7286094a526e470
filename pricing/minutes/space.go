package minutes

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// Space is memory for the many small distributions of one reckoning, cut from a
// few large pieces, as asking for each of them would take as long as filling it.
// The zero Space is ready; a nil one asks for each. What is made in a Space stays
// as it is for good. It is not for use by two at once.
type Space struct{ free []float64 }

// piece is how many numbers are asked for at once: what an everyday job needs.
const piece = 4096

// take is room for n numbers, all 0.
func (s *Space) take(n int) []float64 {
	if s == nil {
		return make([]float64, n)
	}
	if n > len(s.free) {
		s.free = make([]float64, max(n, piece))
	}
	p := s.free[:n:n]
	s.free = s.free[n:]
	return p
}

// Sum is the distribution of the sum of two independent ones.
func (s *Space) Sum(a, b Distribution) Distribution {
	if len(a.P) == 0 {
		return b
	}
	if len(b.P) == 0 {
		return a
	}
	if len(a.P) > len(b.P) {
		a, b = b, a
	}
	p := s.take(len(a.P) + len(b.P) - 1)
	for i, w := range a.P {
		floats.AddScaled(p[i:i+len(b.P)], w, b.P)
	}
	return Distribution{a.First + b.First, p}.trimmed()
}

// Sum is [Space.Sum] for a sum by itself.
func Sum(a, b Distribution) Distribution { return (*Space)(nil).Sum(a, b) }

// Mix is the distribution of one of several, chosen with the given weights,
// which should add up to one. A zero Distribution stands for no time at all.
func (s *Space) Mix(weights []float64, ds []Distribution) Distribution {
	lo, hi := math.MaxInt, math.MinInt
	for i, d := range ds {
		if weights[i] > 0 {
			lo, hi = min(lo, d.First), max(hi, d.First+max(len(d.P), 1))
		}
	}
	if lo > hi {
		return Distribution{}
	}
	p := s.take(hi - lo)
	for i, d := range ds {
		switch at := d.First - lo; {
		case weights[i] <= 0:
		case len(d.P) == 0:
			p[at] += weights[i]
		default:
			floats.AddScaled(p[at:at+len(d.P)], weights[i], d.P)
		}
	}
	return Distribution{lo, p}
}

// Mix is [Space.Mix] for a mixture by itself.
func Mix(weights []float64, ds []Distribution) Distribution {
	return (*Space)(nil).Mix(weights, ds)
}

// Grid lays n units of the work on the grid. The weight of minute k is the mean
// of the hat function around k, which keeps the mean exact; it is the second
// difference of the integral of the CDF.
func (s *Space) Grid(sh Shape, n float64) Distribution {
	low, w := sh.e.Low*n, (sh.e.High-sh.e.Low)*n
	if sh.below == nil || w < 1e-9 {
		return Exactly(sh.e.Mean() * n)
	}
	first := int(math.Floor(low))
	p := s.take(int(math.Ceil(low+w)) - first + 1)
	sum, before, here := 0.0, 0.0, w*sh.integral((float64(first)-low)/w)
	for i := range p {
		next := w * sh.integral((float64(first+i+1)-low)/w)
		p[i] = math.Max(0, next-2*here+before)
		before, here = here, next
		sum += p[i]
	}
	// What the interpolation leaves negative, about 1e-8, was set to nothing.
	floats.Scale(1/sum, p)
	return Distribution{first, p}.trimmed()
}

// Floor is a distribution in steps of several minutes, each rounded down: where d
// takes m minutes, it takes ⌊m/step⌋ steps. Sums of such are sums of minutes, less
// up to step-1 minutes for each, in a fraction of the time.
func (s *Space) Floor(d Distribution, step int) Distribution {
	if len(d.P) == 0 || step <= 1 {
		return d
	}
	first := floorDiv(d.First, step)
	p := s.take(floorDiv(d.First+len(d.P)-1, step) - first + 1)
	at, left := 0, first*step+step-d.First // how many minutes are left of the first step
	for _, w := range d.P {
		if left == 0 {
			at, left = at+1, step
		}
		p[at] += w
		left--
	}
	return Distribution{first, p}
}

func floorDiv(a, b int) int { return int(math.Floor(float64(a) / float64(b))) }
