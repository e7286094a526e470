package photos_test

import (
	"bytes"
	"encoding/csv"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/bits"
	"strconv"
	"testing"

	"example.org/dryhand/conversations/photos"
)

// rowsOf reads a table from testdata, each row by its column names.
func rowsOf(t *testing.T, name string) []map[string]string {
	t.Helper()
	all, err := csv.NewReader(bytes.NewReader(file(t, name))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, record := range all[1:] {
		row := map[string]string{}
		for i, v := range record {
			row[all[0][i]] = v
		}
		rows = append(rows, row)
	}
	return rows
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The mean and the variance of the Laplacian of four public pictures are those
// OpenCV and SciPy compute (testdata/photos/blur_reference.csv).
func TestAgainstOpenCV(t *testing.T) {
	names := map[string]string{"camera": "camera.png", "coins": "coins.png", "moon": "moon.png", "chelsea": "chelsea.webp"}
	checked, last := 0, photos.Report{}
	for _, row := range rowsOf(t, "blur_reference.csv") {
		sigma := number(t, row["gaussian_sigma"])
		data := file(t, names[row["image"]])
		tolerance := 1e-6
		switch {
		case row["image"] == "chelsea" && sigma > 0:
			continue // our Gaussian below is for grey pictures
		case row["image"] == "chelsea":
			tolerance = 0.005 // another rounding of colour to grey
		case sigma > 0:
			data = gaussian(t, data, sigma)
			// The blurred picture is rounded to whole greys, and OpenCV's fixed
			// point sum may round a few of them the other way.
			tolerance = 0.02
		}
		r := measure(t, data)
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"variance of the Laplacian", r.VarLap, number(t, row["lap3_var_opencv_reflect101"])},
			{"mean", r.Mean, number(t, row["mean_grey"])},
		} {
			if math.Abs(c.got-c.want) > tolerance*c.want {
				t.Errorf("%s, sigma %v: %s is %v, want %v", row["image"], sigma, c.what, c.got, c.want)
			}
		}
		// More blur is more blur, by both measures.
		if sigma > 0 && (r.Reblur <= last.Reblur || r.VarLap >= last.VarLap) {
			t.Errorf("%s, sigma %v: reblur %v after %v, variance %v after %v", row["image"], sigma, r.Reblur, last.Reblur, r.VarLap, last.VarLap)
		}
		checked, last = checked+1, r
	}
	if checked != 13 {
		t.Errorf("%d rows checked, want 13", checked)
	}
}

// The blur metric as Crété and others write it in 2007, with a
// blurred copy and one sum after another, over the part of the picture in which
// the box of nine pixels and its neighbour lie inside.
func TestReblurAsWritten(t *testing.T) {
	img, err := png.Decode(bytes.NewReader(file(t, "camera.png")))
	if err != nil {
		t.Fatal(err)
	}
	grey := img.(*image.Gray)
	along := func(pixel func(i, line int) float64, n, lines int) float64 {
		var sharp, lost float64
		for line := range lines {
			blurred := func(i int) (sum float64) {
				for k := -4; k <= 4; k++ {
					sum += pixel(i+k, line) / 9
				}
				return sum
			}
			for i := 5; i < n-4; i++ {
				d := math.Abs(pixel(i, line) - pixel(i-1, line))
				sharp += d
				lost += max(0, d-math.Abs(blurred(i)-blurred(i-1)))
			}
		}
		return (sharp - lost) / sharp
	}
	w, h := grey.Rect.Dx(), grey.Rect.Dy()
	want := max(
		along(func(i, line int) float64 { return float64(grey.GrayAt(i, line).Y) }, w, h),
		along(func(i, line int) float64 { return float64(grey.GrayAt(line, i).Y) }, h, w))
	if got := measure(t, file(t, "camera.png")).Reblur; math.Abs(got-want) > 1e-9 {
		t.Errorf("%v, want %v", got, want)
	}
}

// The nine files of github.com/recurser/exif-orientation-examples show one
// photograph, stored in every way, under the tags 0 (not valid) to 8. Turned
// upright by PIL they differ from the first by at most 0.7 grey levels.
func TestUpright(t *testing.T) {
	first := measure(t, file(t, "orientation_1.jpg"))
	for _, n := range "02345678" {
		name := "orientation_" + string(n) + ".jpg"
		r := measure(t, file(t, name))
		if r.Width != 600 || r.Height != 400 {
			t.Errorf("%s is %dx%d upright, want 600x400", name, r.Width, r.Height)
		}
		if d := bits.OnesCount64(r.DHash ^ first.DHash); d > 2 {
			t.Errorf("%s is %d bits from upright", name, d)
		}
		if d := math.Abs(r.Mean - first.Mean); d > 0.7 {
			t.Errorf("%s: mean differs by %v", name, d)
		}
	}
}

// Our difference hash is that of the Python package imagehash but for the
// resampling: it takes a Lanczos filter, we the mean. Unrelated pictures differ
// in 32 bits of 64, with a standard deviation of 4; the coins lie in rows about
// as close as the cells, which is where the two filters differ most.
func TestAgainstImagehash(t *testing.T) {
	files := map[string]string{"camera.png": "camera.png", "coins.png": "coins.png", "moon.png": "moon.png", "chelsea.png": "chelsea.webp"}
	rows := rowsOf(t, "difference_hashes.csv")
	for _, row := range rows {
		want, err := strconv.ParseUint(row["dhash8"], 16, 64)
		if err != nil {
			t.Fatal(err)
		}
		r := measure(t, file(t, files[row["file"]]))
		if d := bits.OnesCount64(r.DHash ^ want); d > 20 {
			t.Errorf("%s: %016x is %d bits from imagehash's %016x", row["file"], r.DHash, d, want)
		}
	}
	if len(rows) != 4 {
		t.Errorf("%d rows, want 4", len(rows))
	}
}

// gaussian blurs a grey picture as OpenCV's GaussianBlur does with eight bits:
// a kernel of 6σ+1 pixels, mirrored at the border, rounded to whole greys.
func gaussian(t *testing.T, data []byte, sigma float64) []byte {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	grey := img.(*image.Gray)
	w, h, radius := grey.Rect.Dx(), grey.Rect.Dy(), int(3*sigma)
	kernel, sum := make([]float64, 2*radius+1), 0.0
	for i := range kernel {
		kernel[i] = math.Exp(-float64((i-radius)*(i-radius)) / (2 * sigma * sigma))
		sum += kernel[i]
	}
	along, across := make([]float64, w*h), make([]float64, w*h)
	for k, v := range kernel {
		v /= sum
		for i := range along {
			along[i] += v * float64(grey.Pix[i/w*grey.Stride+mirror(i%w+k-radius, w)])
		}
	}
	for k, v := range kernel {
		v /= sum
		for i := range across {
			across[i] += v * along[mirror(i/w+k-radius, h)*w+i%w]
		}
	}
	out := image.NewGray(image.Rect(0, 0, w, h))
	for i, v := range across {
		out.Pix[i] = uint8(v + 0.5)
	}
	return asPNG(t, out)
}

// mirror reflects an index outside of n, without repeating the border.
func mirror(i, n int) int {
	if i < 0 {
		return -i
	}
	return min(i, 2*n-2-i)
}

func asPNG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A lossy WebP keeps its luma in the range of video. Opened by libwebp's dwebp
// 1.2.4, the picture has a mean luma of 90.171 (BT.601, rounded to 8 bits).
func TestAgainstLibwebp(t *testing.T) {
	if r := measure(t, file(t, "car_boot.webp")); math.Abs(r.Mean-90.171) > 0.25 {
		t.Errorf("mean is %v", r.Mean)
	}
}

// Every way to store the same grey picture measures the same.
func TestColourModels(t *testing.T) {
	const w, h = 200, 150
	grey := image.NewGray(image.Rect(0, 0, w, h))
	for i := range grey.Pix {
		grey.Pix[i] = uint8((i%w)*(i/w)/130 + i%7)
	}
	var palette color.Palette
	for v := range 256 {
		palette = append(palette, color.Gray{uint8(v)})
	}
	want := measure(t, asPNG(t, grey))
	for name, img := range map[string]interface {
		image.Image
		Set(x, y int, c color.Color)
	}{
		"NRGBA": image.NewNRGBA(grey.Rect), "RGBA64": image.NewRGBA64(grey.Rect), "NRGBA64": image.NewNRGBA64(grey.Rect),
		"Gray16": image.NewGray16(grey.Rect), "Paletted": image.NewPaletted(grey.Rect, palette),
	} {
		for y := range h {
			for x := range w {
				img.Set(x, y, grey.At(x, y))
			}
		}
		got := measure(t, asPNG(t, img))
		got.SHA256 = want.SHA256 // the bytes do differ
		if got.VarLap != want.VarLap || got.Mean != want.Mean || got.DHash != want.DHash || got.P95 != want.P95 {
			t.Errorf("%s: got %+v, want %+v", name, got, want)
		}
	}
}
