package page

import "fmt"

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

func whole(at float64) int { return int(at + .5) }

func drawn(s Spread) curve {
	from, to := s.Low, s.High
	bins := gathered(s)
	if n := len(bins); n > 0 {
		from, to = min(from, bins[0].From), max(to, bins[n-1].To)
	}
	x := func(at float64) float64 {
		if to <= from {
			return (hillLeft + hillRight) / 2
		}
		return hillLeft + (hillRight-hillLeft)*(at-from)/(to-from)
	}
	c := curve{Low: whole(x(s.Low)), Mark: whole(x(s.Likely)), High: whole(x(s.High))}
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
	if len(bins) > 0 {
		c.Hill = hill(bins, x)
	}
	return c
}

// tail says how often a price comes to more than the most that is asked, as far as that
// is known.
func tail(s Spread) string {
	if len(s.Steps) == 0 {
		return "Something has changed since this was worked out, or the owner has set it: how often it stays below is not known."
	}
	if tenths := int(s.Above*10 + .5); s.Above > .1 && tenths > 1 {
		return fmt.Sprintf("About %d times in ten the work would come to more.", tenths)
	}
	if s.Above > .1 {
		return "About one time in ten the work would come to more."
	}
	return "Nine times in ten, or more often, it stays below the dashed line."
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
