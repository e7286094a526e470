package page

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// drawnBeyond is what share of a drawn hill lies beyond a place, from its path alone.
func drawnBeyond(t require, path string, at float64) float64 {
	var n []float64
	for _, m := range regexp.MustCompile(`[-0-9.]+`).FindAllString(path, -1) {
		f, err := strconv.ParseFloat(m, 64)
		if err != nil {
			t.Fatal(err)
		}
		n = append(n, f)
	}
	all, beyond := 0.0, 0.0
	x, y := n[0], n[1]
	for n = n[2:]; len(n) >= 4; n = n[4:] {
		area := (n[2] - x) * (3*hillGround - y - n[1] - n[3]) / 3
		all += area
		if (x+n[2])/2 > at {
			beyond += area
		}
		x, y = n[2], n[3]
	}
	return beyond / all
}

type require interface{ Fatal(...any) }

// As much of a hill is drawn beyond the most that is asked as lies there, however the
// price is spread; it stays above the ground and in the picture.
func TestHillHoldsWhatIsSpread(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Spread{Low: 100}
		sum := 0.0
		for i := range rapid.IntRange(1, 40).Draw(t, "steps") {
			p := rapid.Float64Range(0, 1).Draw(t, "p")
			s.Steps = append(s.Steps, Step{float64(100 + 5*i), float64(105 + 5*i), p})
			sum += p
		}
		s.High = s.Steps[rapid.IntRange(0, len(s.Steps)-1).Draw(t, "high")].To
		if sum == 0 {
			return
		}
		bins := gathered(s)
		if len(bins) > mostBins+1 {
			t.Fatalf("%d bins", len(bins))
		}
		c := drawn(s)
		from, to := min(s.Low, bins[0].From), max(s.High, bins[len(bins)-1].To)
		at := hillLeft + (hillRight-hillLeft)*(s.High-from)/(to-from)
		want := 1 - below(s.Steps, s.High)/sum
		if got := drawnBeyond(t, c.Hill, at); math.Abs(got-want) > .01 {
			t.Fatalf("%.3f is drawn beyond, %.3f lies there: %s", got, want, c.Hill)
		}
		for i := range bins {
			q := strings.Split(c.Hill, "Q")
			var cx, cy, x, y float64
			fmt.Sscanf(strings.TrimSuffix(q[i+1], "Z"), "%f %f %f %f", &cx, &cy, &x, &y)
			var y0 float64 = hillGround
			if i > 0 {
				var a, b, d float64
				fmt.Sscanf(q[i], "%f %f %f %f", &a, &b, &d, &y0)
			}
			for _, u := range []float64{.1, .3, .5, .7, .9, 1} {
				if at := (1-u)*(1-u)*y0 + 2*u*(1-u)*cy + u*u*y; at > hillGround+.2 || at < hillTop-8 {
					t.Fatalf("drawn at %.1f: %s", at, c.Hill)
				}
			}
		}
	})
}

func TestHumps(t *testing.T) {
	for _, c := range []struct {
		p    []float64
		want int
	}{
		{[]float64{1, 2, 3, 2, 1}, 1},
		{[]float64{1, 3, 1, 3, 1}, 2},
		{[]float64{1, 3, 2.6, 3, 1}, 1}, // hardly a dip
		{[]float64{1, 3, 2.5, 3, 1}, 2},
		{[]float64{.2, 0, 1, 3, 1, .3, .4}, 1}, // too low
		{[]float64{3, 1, 2, 4, 2, 3}, 3},
		{[]float64{5}, 1},
	} {
		var steps []Step
		for _, p := range c.p {
			steps = append(steps, Step{P: p})
		}
		if got := humps(steps); got != c.want {
			t.Errorf("%v: %d humps, want %d", c.p, got, c.want)
		}
	}
}

// Small hills that stand for the states of one part of the car are drawn as one, with
// what is likely, their average, on it: not down between two of them.
func TestOneHill(t *testing.T) {
	// A fully cleaned estate of which nothing has been said, as package pricing spreads it.
	p := []float64{.027, .216, .14, .282, .012, .101, .125, .023, .001, .009, .019, .021, .015, .005}
	s := Spread{Low: 80, Likely: 125, High: 170}
	mean := 0.0
	for i, p := range p {
		s.Steps = append(s.Steps, Step{float64(65 + 15*i), float64(80 + 15*i), p})
		mean += p * (72.5 + 15*float64(i))
	}
	if n := humps(inParts(s, mostBins)); n < 2 {
		t.Fatalf("finely drawn it has %d humps: it shows nothing", n)
	}
	bins := gathered(s)
	if n := humps(bins); n != 1 || len(bins) < fewestBins {
		t.Errorf("%d humps in %d parts: %+v", n, len(bins), bins)
	}
	highest := 0.0
	for _, b := range bins {
		highest = max(highest, b.P)
	}
	for _, b := range bins {
		if b.From <= mean && mean < b.To && b.P < highest/3 {
			t.Errorf("the average, %.0f, stands where the hill is %.3f high of %.3f", mean, b.P, highest)
		}
	}
	if got := tail(Spread{Low: 80, Likely: 125, High: 170}); strings.Contains(got, "in ten") {
		t.Errorf("of what is not known is said: %q", got)
	}
}

// What is said of the tail is what is so.
func TestTailInWords(t *testing.T) {
	for above, want := range map[float64]string{0: "Nine times", .1: "Nine times", .12: "About one time", .16: "About 2 times", .31: "About 3 times"} {
		if got := tail(Spread{Above: above, Steps: []Step{{0, 1, 1}}}); !strings.HasPrefix(got, want) {
			t.Errorf("%v: %q", above, got)
		}
	}
}
