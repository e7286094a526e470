package dwell

import "time"

// Work is something else to do that may be laid down at any moment.
type Work struct {
	Name   string
	Length time.Duration
}

// Filling is work done in a gap.
type Filling struct {
	Gap
	Name string
}

// Fill puts other work into the gaps of a plan, the first first. Gaps, and what
// would be left of one, shorter than least are not worth picking anything up for.
// It returns what is done when, and how much of each work is left.
func (p Plan) Fill(works []Work, least time.Duration) (done []Filling, left []Work) {
	left = append(left, works...)
	for _, g := range p.Gaps() {
		for i := range left {
			n := min(g.Length(), left[i].Length)
			if n <= 0 || n < least {
				continue
			}
			done = append(done, Filling{Gap{g.Start, g.Start + n}, left[i].Name})
			left[i].Length -= n
			g.Start += n
		}
	}
	return done, left
}
