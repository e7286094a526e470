package pricing

import (
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// usualBelief is how sure we are of somebody's pace before they have timed anything,
// and how much jobs differ that ought to take the same, as standard deviations of
// the logarithm of minutes: about 30 %, of which 10 are the same at all their work
// and the rest is of each kind of work by itself; and about 15 %. Common practice,
// no source; nothing was timed.
var usualBelief = paceBelief{shared: 0.1, own: math.Sqrt(0.08), spread: 0.15}

// paceBelief are the three standard deviations a pace is learnt with.
type paceBelief struct{ shared, own, spread float64 }

// Timing is how long a job took against what the file reckons for the same work on
// a car as it was found.
type Timing struct {
	// Parts are the minutes reckoned for the work in each area, the empty one for
	// work in none; Fixed those for setting up, which is no work on the car.
	Parts map[Area]float64
	Fixed float64
	// Taken is what it took, all in all.
	Taken float64
}

// Timed is a quote's work as a [Timing], if it took so long.
func (r *Rules) Timed(q Quote, taken float64) Timing {
	t := Timing{Parts: map[Area]float64{}, Taken: taken}
	for _, l := range q.In {
		if i := r.index(l.Task); i >= 0 {
			t.Parts[r.tasks[i].Area] += l.Minutes
		} else {
			t.Fixed += l.Minutes
		}
	}
	return t
}

// Pace is what timed jobs add up to: for each area in how many it took part, and
// the sums a normal update needs. The zero Pace has seen nothing.
type Pace struct {
	Jobs  map[Area]int              `json:"jobs,omitempty"`
	Cross map[Area]map[Area]float64 `json:"cross,omitempty"`
	With  map[Area]float64          `json:"with,omitempty"`
}

// leastPart is the share of a job from which on it tells something of an area.
const leastPart = 0.05

// Add adds a job. One without work, or that took next to nothing, tells nothing.
func (p *Pace) Add(t Timing) {
	var work float64
	for _, a := range slices.Sorted(maps.Keys(t.Parts)) { // in one order, so that the sum is the same to its last bit
		work += t.Parts[a]
	}
	taken := t.Taken - t.Fixed
	if work <= 0 || taken < paceLeast/2*work || taken > 2*paceMost*work {
		return
	}
	if p.Jobs == nil {
		p.Jobs, p.Cross, p.With = map[Area]int{}, map[Area]map[Area]float64{}, map[Area]float64{}
	}
	off := math.Log(taken / work)
	for a, m := range t.Parts {
		x := m / work
		if x >= leastPart {
			p.Jobs[a]++
		}
		if p.Cross[a] == nil {
			p.Cross[a] = map[Area]float64{}
		}
		for b, n := range t.Parts {
			p.Cross[a][b] += x * n / work
		}
		p.With[a] += x * off
	}
}

// Factor is how many times the file's minutes somebody takes for the work in an
// area: the median of what is believed, and the standard deviation of its
// logarithm. Jobs is how many it rests on.
type Factor struct {
	Times, SD float64
	Jobs      int
}

// Factors are what the jobs say, area by area. A job's time is known only as a
// whole: the logarithm of taken over reckoned is the areas' own, weighed by their
// share in the job, plus chance. With normal beliefs before, the beliefs after are
// normal, and with a single area they are those of the textbook.
func (p Pace) Factors() map[Area]Factor {
	areas, mean, after := p.after(usualBelief)
	out := map[Area]Factor{}
	for i, a := range areas {
		out[a] = Factor{Times: min(max(math.Exp(mean.AtVec(i)), paceLeast), paceMost), SD: math.Sqrt(after.At(i, i)), Jobs: p.Jobs[a]}
	}
	return out
}

// Overall is the factor of somebody of whom it is believed that they are as quick
// at everything as at anything: what few jobs tell.
func (p Pace) Overall() (Factor, bool) {
	_, mean, cov := p.after(paceBelief{shared: 0.3, own: 1e-3, spread: usualBelief.spread})
	if mean == nil {
		return Factor{}, false
	}
	f := Factor{Times: min(max(math.Exp(mean.AtVec(0)), paceLeast), paceMost), SD: math.Sqrt(cov.At(0, 0))}
	for _, n := range p.Jobs {
		f.Jobs = max(f.Jobs, n)
	}
	return f, true
}

// after are the mean and the covariance of what is believed after the jobs.
func (p Pace) after(b paceBelief) (areas []Area, mean *mat.VecDense, cov *mat.SymDense) {
	areas = slices.Sorted(maps.Keys(p.With))
	n := len(areas)
	if n == 0 {
		return nil, nil, nil
	}
	prior, seen, with := mat.NewSymDense(n, nil), mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for i, a := range areas {
		with.SetVec(i, p.With[a]/(b.spread*b.spread))
		for k := i; k < n; k++ {
			v := b.shared * b.shared
			if i == k {
				v += b.own * b.own
			}
			prior.SetSym(i, k, v)
			seen.SetSym(i, k, p.Cross[a][areas[k]]/(b.spread*b.spread))
		}
	}
	var c mat.Cholesky
	var precision mat.SymDense
	cov, mean = new(mat.SymDense), new(mat.VecDense)
	if !c.Factorize(prior) || c.InverseTo(&precision) != nil {
		return nil, nil, nil
	}
	precision.AddSym(&precision, seen)
	if !c.Factorize(&precision) || c.InverseTo(cov) != nil {
		return nil, nil, nil
	}
	mean.MulVec(cov, with)
	return areas, mean, cov
}

// Clone is the same, to go on counting in without touching p.
func (p Pace) Clone() Pace {
	c := Pace{Jobs: maps.Clone(p.Jobs), Cross: map[Area]map[Area]float64{}, With: maps.Clone(p.With)}
	if p.Jobs == nil {
		return Pace{}
	}
	for a, row := range p.Cross {
		c.Cross[a] = maps.Clone(row)
	}
	return c
}
