// Package dwell plans the work with a product that has to stay on for a while
// but not too long, by one pair of hands: when to put it on which piece, when to
// work it in and rinse it off, and how long the hands are free in between.
//
// A piece must wait at least the least time from the end of putting on to the
// beginning of working off, and must be rinsed at most the longest time after the
// end of putting on. Pieces are alike, so whichever is treated first may as well
// be rinsed first: of two plans that differ in that alone, this one keeps every
// limit the other keeps.
package dwell

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"
)

// Task is one product on N like pieces. On is what putting it on one piece
// takes, Off what working it in and rinsing it off takes, Min and Max are how
// long it must and may stay on.
type Task struct {
	N                 int
	On, Off, Min, Max time.Duration
}

// Piece is what happens to one piece, counted from the beginning of the plan.
type Piece struct {
	On, OnEnd, Off, OffEnd time.Duration
}

// Gap is a time in which the hands are free.
type Gap struct{ Start, End time.Duration }

// Length is how long the gap is.
func (g Gap) Length() time.Duration { return g.End - g.Start }

// Plan is who waits for what: pieces in the order they are treated.
type Plan struct {
	Pieces []Piece
	Length time.Duration
	// AtOnce is the most pieces that have the product on at the same time.
	AtOnce int
}

// Impossible says that no plan can keep the limits: the least wait and the
// working off of a single piece take longer than the product may stay on.
type Impossible struct{ Min, Off, Max time.Duration }

// Error tells the three times.
func (e *Impossible) Error() string {
	return fmt.Sprintf("dwell: at least %v on and %v to work off are longer than the %v it may stay on", e.Min, e.Off, e.Max)
}

// whole is up to how many pieces every order of work is tried. More are done in
// rounds of at most that many, or rolling, always so many pieces ahead.
const whole = 5

// Make is the shortest plan; of equally short ones, that with the fewest pieces
// under way at once. Up to five pieces no plan is shorter; beyond, it is the
// shortest made of rounds of up to five pieces, or of treating the next piece
// after each one rinsed. The error is an [*Impossible]; with no plan for one
// piece there is none for more.
func Make(t Task) (Plan, error) {
	if t.Min+t.Off > t.Max || t.Max < t.Min {
		return Plan{}, &Impossible{t.Min, t.Off, t.Max}
	}
	if t.N <= 0 {
		return Plan{}, nil
	}
	best := t.rounds()
	for ahead := 1; t.N > whole && ahead < t.N; ahead++ {
		if p, ok := t.along(rolling(t.N, ahead)); ok && shorter(p, best) {
			best = p
		}
	}
	return best, nil
}

func shorter(a, b Plan) bool {
	return cmp.Or(cmp.Compare(a.Length, b.Length), cmp.Compare(a.AtOnce, b.AtOnce)) < 0
}

// rounds is the shortest plan made of rounds, each ended before the next begins.
func (t Task) rounds() Plan {
	round := make([]Plan, min(t.N, whole)+1)
	for k := 1; k < len(round); k++ {
		round[k] = t.round(k)
	}
	best := make([]Plan, t.N+1)
	for n := 1; n <= t.N; n++ {
		best[n].Length = math.MaxInt64
		for k := 1; k < len(round) && k <= n; k++ {
			if p := best[n-k].then(round[k]); shorter(p, best[n]) {
				best[n] = p
			}
		}
	}
	return best[t.N]
}

// round is the shortest plan of k pieces, by trying every order.
func (t Task) round(k int) Plan {
	best := Plan{Length: math.MaxInt64}
	var try func(order []bool, on, off int)
	try = func(order []bool, on, off int) {
		if off == k {
			if p, ok := t.along(order); ok && shorter(p, best) {
				best = p
			}
			return
		}
		// The last of so many pieces under way waits for all the others.
		if on < k && t.Off*time.Duration(on-off+1) <= t.Max {
			try(append(slices.Clone(order), true), on+1, off)
		}
		if off < on {
			try(append(slices.Clone(order), false), on, off+1)
		}
	}
	try(nil, 0, 0)
	return best
}

func (p Plan) then(q Plan) Plan {
	out := Plan{Pieces: slices.Clone(p.Pieces), Length: p.Length + q.Length, AtOnce: max(p.AtOnce, q.AtOnce)}
	for _, x := range q.Pieces {
		out.Pieces = append(out.Pieces, Piece{x.On + p.Length, x.OnEnd + p.Length, x.Off + p.Length, x.OffEnd + p.Length})
	}
	return out
}

// rolling is the order that keeps so many pieces treated ahead: true puts on,
// false works off.
func rolling(n, ahead int) []bool {
	var order []bool
	on := 0
	for off := 0; off < n; {
		if on < n && on-off < ahead {
			order = append(order, true)
			on++
			continue
		}
		order = append(order, false)
		off++
	}
	return order
}

// along is the earliest schedule in a given order; ok is false if there is none.
//
// Every limit says that one beginning is at least so long after another, also the
// longest time, which pushes the putting on later. The least beginnings that
// fulfil all of them are found by pushing until nothing moves; if they exist they
// lie below the sum of everything that can push.
func (t Task) along(order []bool) (Plan, bool) {
	p := Plan{Pieces: make([]Piece, t.N)}
	most := time.Duration(len(order)) * (t.On + t.Off + t.Min)
	for moved, first := true, true; moved; first = false {
		moved = first
		var free time.Duration // from when the hands are free
		on, off := 0, 0
		for _, putOn := range order {
			at := free
			if putOn {
				x := &p.Pieces[on]
				at = max(at, x.On, x.OffEnd-t.Max-t.On)
				moved = moved || at != x.On
				x.On, x.OnEnd = at, at+t.On
				free = x.OnEnd
				on++
				p.AtOnce = max(p.AtOnce, on-off)
			} else {
				x := &p.Pieces[off]
				at = max(at, x.Off, x.OnEnd+t.Min)
				moved = moved || at != x.Off
				x.Off, x.OffEnd = at, at+t.Off
				free = x.OffEnd
				off++
			}
		}
		if p.Length = free; p.Length > most {
			return Plan{}, false
		}
	}
	p.Pieces = p.Pieces[:len(order)/2]
	return p, true
}

// Gaps are the times in which the hands are free, in order.
func (p Plan) Gaps() []Gap {
	var busy []Gap
	for _, x := range p.Pieces {
		busy = append(busy, Gap{x.On, x.OnEnd}, Gap{x.Off, x.OffEnd})
	}
	slices.SortFunc(busy, func(a, b Gap) int { return cmp.Compare(a.Start, b.Start) })
	var out []Gap
	var end time.Duration
	for _, b := range busy {
		if b.Start > end {
			out = append(out, Gap{end, b.Start})
		}
		end = max(end, b.End)
	}
	return out
}

// Longest is how long working off one piece may take at most, 0 if the limits
// leave no time at all: what to cut pieces down to where a plan is impossible.
func (t Task) Longest() time.Duration { return max(0, t.Max-t.Min) }
