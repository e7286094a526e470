package page

import (
	"fmt"
	"strings"
)

// curve is a spread as it is drawn: a hill whose height is how probable a price is,
// dark between the lowest and the highest that are named.
type curve struct {
	// Hill is the outline, as the d of an SVG path; empty if only the range is known.
	Hill string
	// Low, Mark and High are where the three prices stand, Width is between the outer
	// two, and the anchors keep their words inside the picture.
	Low, Mark, High, Width int
	LowAnchor, MarkAnchor  string
	HighAnchor             string
}

// The picture's measures, in its own units: from left to right, and from the ground
// to the top of the hill.
const (
	hillLeft, hillRight = 10, 310
	hillGround, hillTop = 84, 24
)

func drawn(s Spread) curve {
	from, to := s.Low, s.High
	if n := len(s.Steps); n > 0 {
		from, to = min(from, s.Steps[0].From), max(to, s.Steps[n-1].To)
	}
	x := func(at float64) int {
		if to <= from {
			return (hillLeft + hillRight) / 2
		}
		return hillLeft + int((hillRight-hillLeft)*(at-from)/(to-from)+.5)
	}
	c := curve{Low: x(s.Low), Mark: x(s.Likely), High: x(s.High)}
	c.Width = max(2, c.High-c.Low)
	c.LowAnchor, c.MarkAnchor, c.HighAnchor = anchor(c.Low), anchor(c.Mark), anchor(c.High)
	if c.High-c.Low < 120 && len(s.Steps) > 0 { // or their words would meet
		c.LowAnchor, c.HighAnchor = "end", "start"
		if c.Low < 60 {
			c.LowAnchor = "start"
		}
		if c.High > 230 {
			c.HighAnchor = "end"
		}
	}
	highest := 0.0
	for _, step := range s.Steps {
		highest = max(highest, step.P/(step.To-step.From))
	}
	if highest == 0 {
		return c
	}
	var d strings.Builder
	fmt.Fprintf(&d, "M%d %d", x(s.Steps[0].From), hillGround)
	for _, step := range s.Steps {
		y := hillGround - int((hillGround-hillTop)*step.P/(step.To-step.From)/highest+.5)
		fmt.Fprintf(&d, "L%d %d", x((step.From+step.To)/2), y)
	}
	fmt.Fprintf(&d, "L%d %dZ", x(s.Steps[len(s.Steps)-1].To), hillGround)
	c.Hill = d.String()
	return c
}

// anchor is the side on which words at a place have room.
func anchor(x int) string {
	switch {
	case x < 70:
		return "start"
	case x > 240:
		return "end"
	}
	return "middle"
}
