package pictures_test

import (
	"bytes"
	"flag"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"testing"

	"example.org/dryhand/conversations/pictures"
)

var update = flag.Bool("update", false, "draw the pictures anew")

// The picture that is shown is the one drawn here. After a change:
// go test ./conversations/pictures -run AsDrawn -update
func TestBeadsAreAsDrawn(t *testing.T) {
	drawn := drawBeads()
	if *update {
		var out bytes.Buffer
		if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, drawn); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile("beads.png", out.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	shown, err := png.Decode(bytes.NewReader(pictures.Get(pictures.Beads)))
	if err != nil {
		t.Fatal(err)
	}
	for y := range height {
		for x := range width {
			if want := color.RGBAModel.Convert(drawn.At(x, y)); color.RGBAModel.Convert(shown.At(x, y)) != want {
				t.Fatalf("at %d, %d it shows %v, and %v was drawn", x, y, shown.At(x, y), want)
			}
		}
	}
}

// The picture's size in pixels: two panels, a gap, and a band below for the marks.
const (
	width, height = 800, 460
	panel         = 392
	band          = 68
)

// shades is how many steps of each colour there are, so that the file stays small.
const shades = 85

func drawBeads() image.Image {
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	drops := scatter()
	var near []drop // those of which there is anything in the row
	for y := range height {
		near = near[:0]
		for _, d := range drops {
			if math.Abs(float64(y)+.5-d.y) <= 2*d.r {
				near = append(near, d)
			}
		}
		for x := range width {
			img.SetRGBA(x, y, pixel(float64(x)+.5, float64(y)+.5, near))
		}
	}
	return img
}

// pixel is the colour at a point.
func pixel(x, y float64, drops []drop) color.RGBA {
	white := rgb{1, 1, 1}
	switch {
	case y > height-band && x < panel:
		return white.mix(rgb{.13, .55, .25}, tick(x-panel/2, y-(height-band/2))).colour()
	case y > height-band && x > width-panel:
		return white.mix(rgb{.75, .16, .14}, cross(x-(width-panel/2), y-(height-band/2))).colour()
	case y > height-band || x > panel && x < width-panel:
		return white.colour()
	case x <= panel:
		return paint(x, y).under(x, y, drops).colour()
	}
	return sheet(x-(width-panel), y).colour()
}

// rgb is a colour, each part from 0 to 1.
type rgb [3]float64

// mix is the colour with so much of another in it.
func (a rgb) mix(b rgb, share float64) rgb {
	share = min(1, max(0, share))
	for i := range a {
		a[i] += (b[i] - a[i]) * share
	}
	return a
}

func (a rgb) colour() color.RGBA {
	step := func(v float64) uint8 {
		return uint8(math.Round(math.Round(min(1, max(0, v))*shades) / shades * 255))
	}
	return color.RGBA{step(a[0]), step(a[1]), step(a[2]), 255}
}

// paint is a dark blue panel, lighter towards the top, where the sky is in it.
func paint(_, y float64) rgb {
	return rgb{.07, .14, .33}.mix(rgb{.30, .45, .70}, .55*(1-y/(height-band)))
}

// drop is a bead of water.
type drop struct{ x, y, r float64 }

// scatter places beads of many sizes so that none touches another, the large ones
// first. The places come from a fixed sequence: the picture is always the same.
func scatter() []drop {
	var all []drop
	seed := uint32(20270412)
	next := func() float64 {
		seed = seed*1664525 + 1013904223
		return float64(seed>>8) / (1 << 24)
	}
	for _, size := range []struct {
		n int
		r float64
	}{{14, 30}, {40, 19}, {140, 10}, {420, 5}} {
		for range size.n {
			d := drop{8 + next()*(panel-16), 8 + next()*(height-band-16), size.r * (.75 + .4*next())}
			if d.free(all) {
				all = append(all, d)
			}
		}
	}
	return all
}

// free tells whether a bead lies inside the panel and touches no other.
func (d drop) free(all []drop) bool {
	if d.x < d.r+2 || d.x > panel-d.r-2 || d.y < d.r+2 || d.y > height-band-d.r-2 {
		return false
	}
	for _, o := range all {
		if math.Hypot(d.x-o.x, d.y-o.y) < d.r+o.r+3 {
			return false
		}
	}
	return true
}

// under is the paint as seen through the beads, lit from the upper left.
func (a rgb) under(x, y float64, drops []drop) rgb {
	for _, d := range drops {
		dx, dy := (x-d.x)/d.r, (y-d.y)/d.r
		if max(math.Abs(dx), math.Abs(dy)) > 2 {
			continue // nothing of it here
		}
		// Its shadow falls to the lower right.
		if s := math.Hypot(dx-.25, dy-.3); s < 1.15 {
			a = a.mix(rgb{.02, .04, .12}, .6*(1.15-s)*3)
		}
	}
	for _, d := range drops {
		dx, dy := (x-d.x)/d.r, (y-d.y)/d.r
		if max(math.Abs(dx), math.Abs(dy)) > 1 {
			continue
		}
		r := math.Hypot(dx, dy)
		edge := (1 - r) * d.r // pixels inside the rim
		if edge <= 0 {
			continue
		}
		// Light gathers at the far side of a bead, and the near side is dark.
		light := .5 + .5*(dx+dy)/math.Sqrt2
		inside := rgb{.10, .20, .42}.mix(rgb{.62, .78, .95}, light*light)
		inside = inside.mix(rgb{.03, .07, .2}, .55*math.Pow(r, 6))
		if shine := math.Hypot(dx+.38, dy+.42); shine < .3 {
			inside = inside.mix(rgb{1, 1, 1}, (.3-shine)*6)
		}
		a = a.mix(inside, edge)
	}
	return a
}

// sheet is paint with water lying flat on it: one wide film with a ragged rim that
// runs off the panel, dull all over, and a few dry islands.
func sheet(x, y float64) rgb {
	dry := paint(x, y).mix(rgb{.36, .40, .47}, .35)
	ragged := 14*math.Sin(x/47+1) + 9*math.Sin(x/19+y/31) + 6*math.Sin(y/13-x/29)
	// How far inside the film a point lies, in pixels.
	depth := min(y-52-ragged, panel-34-x+ragged*.7)
	for _, island := range []drop{{120, 150, 34}, {265, 235, 46}, {180, 315, 26}, {310, 110, 24}} {
		gap := math.Hypot((x-island.x)*.8, y-island.y) - island.r - ragged*.6
		depth = min(depth, gap)
	}
	if depth <= 0 {
		return dry
	}
	film := paint(x, y).mix(rgb{.55, .66, .78}, .45+.08*math.Sin(x/60+y/40))
	rim := math.Exp(-(depth - 4) * (depth - 4) / 10)
	film = film.mix(rgb{.85, .92, .98}, .7*rim)
	return dry.mix(film, depth/2)
}

// tick and cross are how much of a mark lies on a point, from its middle.
func tick(x, y float64) float64 {
	d := min(toLine(x, y, -20, 0, -6, 15), toLine(x, y, -6, 15, 22, -17))
	return 5.5 - d
}

func cross(x, y float64) float64 {
	d := min(toLine(x, y, -16, -16, 16, 16), toLine(x, y, -16, 16, 16, -16))
	return 5.5 - d
}

// toLine is how far a point is from a stretch of a line.
func toLine(x, y, x1, y1, x2, y2 float64) float64 {
	dx, dy := x2-x1, y2-y1
	at := min(1, max(0, ((x-x1)*dx+(y-y1)*dy)/(dx*dx+dy*dy)))
	return math.Hypot(x-x1-at*dx, y-y1-at*dy)
}
