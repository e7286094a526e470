// Package chart draws a plain bar chart, to be read on a phone. It is pure: numbers
// in, the bytes of a PNG out.
package chart

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// Chart is what is to be drawn.
type Chart struct {
	// Title stands above the bars, Dark and Pale below them say what the two parts
	// of a bar are.
	Title, Dark, Pale string
	Bars              []Bar
}

// Bar is one bar of two parts, one upon the other. Neither is below nought.
type Bar struct {
	Dark, Pale float64
	// Value stands above it, Label and Note below; each may be empty.
	Value, Label, Note string
}

// The picture is square enough for a phone held upright; everything in pixels.
const (
	width, height = 1080, 900
	margin        = 60
	top, bottom   = 190, 700 // of the bars
	titleSize     = 50
	textSize      = 36
	smallSize     = 31
)

var (
	paper = color.RGBA{255, 255, 255, 255}
	ink   = color.RGBA{34, 40, 49, 255}
	soft  = color.RGBA{108, 117, 129, 255}
	rule  = color.RGBA{214, 219, 226, 255}
	dark  = color.RGBA{32, 92, 148, 255}
	pale  = color.RGBA{164, 198, 230, 255}
)

// PNG draws the chart.
func PNG(c Chart) ([]byte, error) {
	fonts, err := faces()
	if err != nil {
		return nil, fmt.Errorf("chart: fonts: %w", err)
	}
	p := &page{Image: image.NewPaletted(image.Rect(0, 0, width, height), shades()), fonts: fonts}
	draw.Draw(p.Image, p.Image.Bounds(), image.NewUniform(paper), image.Point{}, draw.Src)
	p.text(margin, 100, p.fit(c.Title, fonts.title, width-2*margin), fonts.title, ink)
	p.bars(c.Bars)
	p.legend(c)
	var out bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, p.Image); err != nil {
		return nil, fmt.Errorf("chart: encode: %w", err)
	}
	return out.Bytes(), nil
}

// page is the picture being drawn.
type page struct {
	Image *image.Paletted
	fonts *fontSet
}

func (p *page) bars(bars []Bar) {
	p.fill(margin, bottom, width-margin, bottom+3, rule)
	if len(bars) == 0 {
		return
	}
	most := 0.0
	for _, b := range bars {
		most = math.Max(most, b.Dark+b.Pale)
	}
	step := (width - 2*margin) / len(bars)
	wide := min(step*7/10, 150)
	for i, b := range bars {
		middle := margin + i*step + step/2
		full := 0
		if most > 0 {
			tall := func(x float64) int { return int(math.Round(x / most * (bottom - top))) }
			full = tall(b.Dark + b.Pale)
			p.fill(middle-wide/2, bottom-full, middle+wide/2, bottom, pale)
			p.fill(middle-wide/2, bottom-tall(b.Dark), middle+wide/2, bottom, dark)
		}
		p.centred(middle, bottom-full-14, p.fit(b.Value, p.fonts.text, step), p.fonts.text, ink)
		p.centred(middle, bottom+50, p.fit(b.Label, p.fonts.text, step), p.fonts.text, ink)
		p.centred(middle, bottom+94, p.fit(b.Note, p.fonts.small, step), p.fonts.small, soft)
	}
}

func (p *page) legend(c Chart) {
	const y, box = 855, 32
	x := margin
	for _, l := range []struct {
		text  string
		shade color.Color
	}{{c.Dark, dark}, {c.Pale, pale}} {
		if l.text == "" {
			continue
		}
		p.fill(x, y-box+4, x+box, y+4, l.shade)
		p.text(x+box+16, y, l.text, p.fonts.small, soft)
		x += box + 16 + font.MeasureString(p.fonts.small, l.text).Ceil() + 60
	}
}

func (p *page) fill(x0, y0, x1, y1 int, c color.Color) {
	draw.Draw(p.Image, image.Rect(x0, y0, x1, y1), image.NewUniform(c), image.Point{}, draw.Src)
}

func (p *page) text(x, y int, s string, face font.Face, c color.Color) {
	d := font.Drawer{Dst: p.Image, Src: image.NewUniform(c), Face: face, Dot: fixed.P(x, y)}
	d.DrawString(s)
}

func (p *page) centred(x, y int, s string, face font.Face, c color.Color) {
	p.text(x-font.MeasureString(face, s).Round()/2, y, s, face, c)
}

// fit cuts what is wider than its place.
func (p *page) fit(s string, face font.Face, most int) string {
	for r := []rune(s); len(r) > 1 && font.MeasureString(face, s).Ceil() > most; {
		r = r[:len(r)-1]
		s = string(r) + "…"
	}
	return s
}

// shades are the colours and what lies between them and the paper, for the edges of
// letters.
func shades() color.Palette {
	all := color.Palette{paper}
	const steps = 16
	for _, c := range []color.RGBA{ink, soft, rule, dark, pale} {
		for i := 1; i <= steps; i++ {
			mix := func(a, b uint8) uint8 { return uint8((int(a)*i + int(b)*(steps-i)) / steps) }
			all = append(all, color.RGBA{mix(c.R, paper.R), mix(c.G, paper.G), mix(c.B, paper.B), 255})
		}
	}
	return all
}

type fontSet struct{ title, text, small font.Face }

// faces are the fonts in the three sizes, made anew for each picture: a face is not
// for several at once.
func faces() (*fontSet, error) {
	f, err := parsed()
	if err != nil {
		return nil, err
	}
	var out fontSet
	for _, x := range []struct {
		of   *opentype.Font
		size float64
		into *font.Face
	}{{f[1], titleSize, &out.title}, {f[0], textSize, &out.text}, {f[0], smallSize, &out.small}} {
		if *x.into, err = opentype.NewFace(x.of, &opentype.FaceOptions{Size: x.size, DPI: 72, Hinting: font.HintingFull}); err != nil {
			return nil, err
		}
	}
	return &out, nil
}

var parsed = sync.OnceValues(func() (f [2]*opentype.Font, err error) {
	for i, ttf := range [][]byte{goregular.TTF, gobold.TTF} {
		if f[i], err = opentype.Parse(ttf); err != nil {
			return f, err
		}
	}
	return f, nil
})
