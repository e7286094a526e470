package minutes

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
)

// Space is memory for the many small distributions of one reckoning, cut from a
// few large pieces, as asking for each of them would take as long as filling it.
// The zero Space is ready; a nil one asks for each. What is made in a Space stays
// as it is until [Space.Reset]. It is not for use by two at once.
type Space struct {
	numbers room[float64]
	fours   room[[4]Distribution]
	steps   []float64 // see products
}

// room is memory for many small things of a kind, cut from pieces.
type room[T any] struct {
	pieces [][]T
	used   int // pieces cut into so far
	free   []T
}

// take is room for n things, all zero. A new piece is for so many.
func (r *room[T]) take(n, piece int) []T {
	if n > piece {
		return make([]T, n)
	}
	if n > len(r.free) {
		if r.used == len(r.pieces) {
			r.pieces = append(r.pieces, make([]T, piece))
		}
		r.free = r.pieces[r.used]
		r.used++
	}
	p := r.free[:n:n]
	r.free = r.free[n:]
	clear(p)
	return p
}

// reset makes all of it free again.
func (r *room[T]) reset() { r.used, r.free = 0, nil }

// Reset makes all of the space free for other distributions.
func (s *Space) Reset() {
	s.numbers.reset()
	s.fours.reset()
}

// take is room for n numbers, all 0.
func (s *Space) take(n int) []float64 {
	if s == nil {
		return make([]float64, n)
	}
	return s.numbers.take(n, 4096) // what a small job needs
}

// Fours is room for n times four distributions, none of which is any time yet: those
// of some work at four grades.
func (s *Space) Fours(n int) [][4]Distribution { return s.fours.take(n, 64) }

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
	n := 0
	if len(a.P) >= worthSteps {
		n = s.products(p, a.P, b.P)
	}
	for i, w := range a.P[n:] {
		floats.AddScaled(p[n+i:n+i+len(b.P)], w, b.P)
	}
	return Distribution{a.First + b.First, p}.trimmed()
}

// atOnce is how many rows gonum's product of a matrix and a vector takes at once,
// and worthSteps how many there have to be for it to be quicker than row by row.
const atOnce, worthSteps = 4, 32

// products adds the products of the numbers of two rows where they belong in their
// sum, and returns how many of the first row it has done: all but the last few. As a
// matrix of the second row, each time one place further to the right, times some
// numbers of the first, the sum is read and written only every so many rows, which
// is what takes the time.
func (s *Space) products(sum, first, second []float64) (done int) {
	width := len(second) + atOnce - 1
	var steps []float64
	if s != nil {
		s.steps = slices.Grow(s.steps[:0], atOnce*width)
		steps = s.steps
	}
	for i := range atOnce {
		steps = append(steps, make([]float64, i)...)
		steps = append(steps, second...)
		steps = append(steps, make([]float64, atOnce-1-i)...)
	}
	m := blas64.General{Rows: atOnce, Cols: width, Stride: width, Data: steps}
	for ; done+atOnce <= len(first); done += atOnce {
		some := blas64.Vector{N: atOnce, Data: first[done : done+atOnce], Inc: 1}
		blas64.Gemv(blas.Trans, 1, m, some, 1, blas64.Vector{N: width, Data: sum[done : done+width], Inc: 1})
	}
	return done
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
	if sh.curve == nil || w < 1e-9 {
		return Exactly(sh.e.Mean() * n)
	}
	c, first, part := sh.ready(), int(math.Floor(low)), 1/w
	p := s.take(int(math.Ceil(low+w)) - first + 1)
	sum, before, here := 0.0, 0.0, 0.0
	for i := range p {
		next := w * c.integral((float64(first+i+1)-low)*part)
		if d := next - 2*here + before; d > 0 {
			p[i] = d
			sum += d
		}
		before, here = here, next
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
