package pictures_test

import (
	"bytes"
	"image"
	"image/png"
	"testing"

	"example.org/dryhand/conversations/pictures"
)

// The platform takes photos of up to 10 MB and 10000 pixels of width and height
// together (core.telegram.org/bots/api#sendphoto); a phone on the road is thankful
// for much less.
func TestBeadsCanBeSent(t *testing.T) {
	data := pictures.Get(pictures.Beads)
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if b := img.Bounds(); b.Dx() != 800 || b.Dy() != 460 || len(data) > 150_000 {
		t.Errorf("%v, %d bytes", b, len(data))
	}
	if got := pictures.Get("no such"); got != nil {
		t.Errorf("an unknown picture has %d bytes", len(got))
	}
}

// What tells the two apart: beads glint all over the left half, and nothing glints
// in the water on the right.
func TestBeadsGlintAndTheSheetDoesNot(t *testing.T) {
	img, err := png.Decode(bytes.NewReader(pictures.Get(pictures.Beads)))
	if err != nil {
		t.Fatal(err)
	}
	var quarters [4]int
	for y := range 390 {
		for x := range 390 {
			if glints(img, x, y) {
				quarters[y/195*2+x/195]++
			}
		}
	}
	for i, n := range quarters {
		if n < 20 {
			t.Errorf("quarter %d of the left half has %d glinting pixels", i, n)
		}
	}
	for y := range 390 {
		for x := 410; x < 800; x++ {
			if glints(img, x, y) {
				t.Fatalf("something glints in the sheet at %d, %d", x, y)
			}
		}
	}
}

func glints(img image.Image, x, y int) bool {
	r, g, b, _ := img.At(x, y).RGBA()
	return min(r, g, b) > 0xF800
}
