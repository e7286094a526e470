package chart_test

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"testing"

	"example.org/dryhand/conversations/chart"
)

func drawn(t *testing.T, c chart.Chart) image.Image {
	t.Helper()
	data, err := chart.PNG(c)
	if err != nil {
		t.Fatal(err)
	}
	if len(data) > 100_000 {
		t.Errorf("%d bytes; it waits in the outbox with its message", len(data))
	}
	if name := os.Getenv("DRYHAND_CHART"); name != "" {
		if err := os.WriteFile(name, data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// tall counts the pixels of a colour in the column x.
func tall(img image.Image, x int, r, g, b uint32) (n int) {
	for y := range img.Bounds().Dy() {
		if r1, g1, b1, _ := img.At(x, y).RGBA(); r1>>8 == r && g1>>8 == g && b1>>8 == b {
			n++
		}
	}
	return n
}

// The bars are as tall as their numbers, the dark part below the pale one.
func TestBarsAreAsTallAsTheirNumbers(t *testing.T) {
	img := drawn(t, chart.Chart{Title: "Apr 2027: £640 in 14 hours, £45 an hour", Dark: "earned", Pale: "booked, likely", Bars: []chart.Bar{
		{Dark: 200, Value: "£200", Label: "1–4", Note: "2 jobs"}, {Dark: 100, Pale: 300, Value: "£400", Label: "5–11", Note: "3 jobs"},
		{Label: "12–18", Note: "–"}, {Pale: 120, Value: "£120", Label: "19–25", Note: "1 job"}, {Label: "26–30", Note: "–"}}})
	if b := img.Bounds(); b.Dx() != 1080 || b.Dy() != 900 {
		t.Fatalf("%v", b)
	}
	const step = (1080 - 120) / 5
	for i, want := range []struct{ dark, pale int }{{255, 0}, {127, 383}, {0, 0}, {0, 153}, {0, 0}} {
		x := 60 + i*step + step/2 - 40
		dark, pale := tall(img, x, 32, 92, 148), tall(img, x, 164, 198, 230)
		if off := max(dark-want.dark, want.dark-dark); off > 2 {
			t.Errorf("bar %d: %d dark, want %d", i, dark, want.dark)
		}
		if off := max(pale-want.pale, want.pale-pale); off > 2 {
			t.Errorf("bar %d: %d pale, want %d", i, pale, want.pale)
		}
	}
}

// Nothing at all, and words far too long, are drawn as well.
func TestOddChartsAreDrawn(t *testing.T) {
	drawn(t, chart.Chart{})
	long := "a great deal more than anybody could ever read on the small picture that a phone shows"
	drawn(t, chart.Chart{Title: long, Dark: "x", Bars: []chart.Bar{{Dark: 1, Value: long, Label: long, Note: long}, {}}})
}
