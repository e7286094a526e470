package page

import (
	"fmt"
	"math"
	"strings"
)

// A hill is drawn by so many parts at most and at least. A part of the car is in one of
// four states, and each makes a little hill of its own; drawn finely they show as spikes,
// and what is likely, the average, may stand between two of them.
const mostBins, fewestBins = 14, 5

// gathered puts the steps of a spread together into as many as still make one hill, or
// the fewest.
func gathered(s Spread) (out []Step) {
	fewest := math.MaxInt
	for most := mostBins; most >= fewestBins && fewest > 1; most-- {
		bins := inParts(s, most)
		if n := humps(bins); n < fewest {
			fewest, out = n, bins
		}
	}
	return out
}

// inParts puts the steps of a spread together into fewer, all of one width, and one of
// them ending at the most that is asked, so that what lies beyond is drawn beyond.
func inParts(s Spread, most int) []Step {
	if len(s.Steps) == 0 {
		return nil
	}
	from, to := s.Steps[0].From, s.Steps[len(s.Steps)-1].To
	step := s.Steps[0].To - from
	width := step * math.Max(1, math.Ceil((to-from)/step/float64(most)))
	at := s.High - width*math.Ceil((s.High-from)/width)
	var out []Step
	for was := 0.0; at < to; at += width {
		now := below(s.Steps, at+width)
		out = append(out, Step{at, at + width, now - was})
		was = now
	}
	return out
}

// below is how much of a spread lies below an amount.
func below(steps []Step, at float64) (sum float64) {
	for _, s := range steps {
		sum += s.P * min(1, max(0, (at-s.From)/(s.To-s.From)))
	}
	return sum
}

// hill draws a smooth outline under which every step has exactly its own area: a
// parabola over each, whose ends meet. From a height to a height by way of a control
// point, a parabola holds the third part of the sum of the three; no end is higher than
// three times the lower of its neighbours, so that none dips below the ground
// (F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17 (1980), 238–246, from memory).
func hill(steps []Step, x func(float64) float64) string {
	n := len(steps)
	ends, middle := make([]float64, n+1), make([]float64, n)
	for i := 1; i < n; i++ {
		a, b := steps[i-1].P, steps[i].P
		ends[i] = min((a+b)/2, 3*min(a, b))
	}
	top := 0.0
	for i, s := range steps {
		middle[i] = 3*s.P - ends[i] - ends[i+1]
		top = max(top, ends[i+1], (ends[i]+2*middle[i]+ends[i+1])/4)
	}
	if top == 0 {
		return ""
	}
	y := func(height float64) float64 { return hillGround - (hillGround-hillTop)*height/top }
	var d strings.Builder
	fmt.Fprintf(&d, "M%.1f %d", x(steps[0].From), hillGround)
	for i, s := range steps {
		fmt.Fprintf(&d, "Q%.1f %.1f %.1f %.1f", x((s.From+s.To)/2), y(middle[i]), x(s.To), y(ends[i+1]))
	}
	return d.String() + "Z"
}

// humps counts the tops of a hill between which it falls to less than 85 in 100 of
// the lower of two. What is not a seventh as high as the highest is no top.
func humps(steps []Step) (n int) {
	const dip, least = .85, 1. / 7
	highest := 0.0
	for _, s := range steps {
		highest = max(highest, s.P)
	}
	var top, valley float64 // the last top, and the lowest since
	for _, s := range steps {
		valley = min(valley, s.P)
		if s.P < least*highest {
			continue
		}
		apart := n == 0 || valley < dip*min(top, s.P)
		if apart {
			n++
		}
		if apart || s.P > top {
			top, valley = s.P, s.P
		}
	}
	return n
}
