package photos_test

import (
	"bytes"
	"context"
	"encoding/json"
	"image"
	"image/jpeg"
	"math"
	"math/bits"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"example.org/dryhand/conversations/photos"
	"github.com/google/go-cmp/cmp"
	"golang.org/x/image/draw"
)

// file is one of the photographs in testdata, whose README names their sources.
func file(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "photos", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func measure(t testing.TB, data []byte) photos.Report {
	t.Helper()
	r, err := photos.Measure(context.Background(), data)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestFaults(t *testing.T) {
	for _, tt := range []struct {
		file   string
		format string
		w, h   int
		want   []photos.Fault
	}{
		{"red_car.jpg", "jpeg", 1280, 853, nil},
		{"car_boot.jpg", "jpeg", 1280, 960, nil},
		{"car_boot.webp", "webp", 1280, 960, nil},
		{"parked_cars.jpg", "jpeg", 751, 563, nil},
		{"very_dark.jpg", "jpeg", 1280, 853, []photos.Fault{photos.TooDark}},
		{"red_car_dark.jpg", "jpeg", 1280, 853, []photos.Fault{photos.TooDark}},
		{"car_boot_bright.jpg", "jpeg", 1280, 960, []photos.Fault{photos.TooBright}},
		{"red_car_blurred.jpg", "jpeg", 1280, 853, []photos.Fault{photos.Blurred}},
		{"motion_blur.jpg", "jpeg", 600, 482, []photos.Fault{photos.Blurred}},
		{"camera.png", "png", 512, 512, []photos.Fault{photos.TooSmall}},
		{"chelsea.webp", "webp", 451, 300, []photos.Fault{photos.TooSmall}},
	} {
		t.Run(tt.file, func(t *testing.T) {
			r := measure(t, file(t, tt.file))
			if diff := cmp.Diff(tt.want, r.Faults); diff != "" {
				t.Errorf("faults (-want +got):\n%s%+v", diff, r)
			}
			if r.Usable() != (tt.want == nil) {
				t.Errorf("usable is %v", r.Usable())
			}
			if r.Format != tt.format || r.Width != tt.w || r.Height != tt.h {
				t.Errorf("got %s %dx%d, want %s %dx%d", r.Format, r.Width, r.Height, tt.format, tt.w, tt.h)
			}
		})
	}
}

func TestSmallPicturesAreNotCalledBlurred(t *testing.T) {
	small := scaled(picture(t, "red_car_blurred.jpg"), 599)
	r := measure(t, asJPEG(t, small, 90))
	if diff := cmp.Diff([]photos.Fault{photos.TooSmall}, r.Faults); diff != "" {
		t.Error(diff)
	}
}

// Noise in the dark passes for detail, so that a dark picture is not judged for
// sharpness either way.
func TestDarkPicturesAreNotCalledBlurred(t *testing.T) {
	blurred := picture(t, "red_car_blurred.jpg")
	dark := image.NewGray(blurred.Bounds())
	draw.Draw(dark, dark.Rect, blurred, image.Point{}, draw.Src)
	for i, v := range dark.Pix {
		dark.Pix[i] = v / 2
	}
	r := measure(t, asPNG(t, dark))
	if diff := cmp.Diff([]photos.Fault{photos.TooDark}, r.Faults); diff != "" {
		t.Error(diff)
	}
}

func TestExposure(t *testing.T) {
	const n = 1000 * 200
	for _, tt := range []struct {
		light        int // pixels of luma 251, the others have 10
		p95, mean    float64
		dark, bright bool
	}{
		{n / 20, 10, 22.05, true, false},
		{n/20 + 1, 251, 22.051205, false, false},
		{n * 3 / 20, 251, 46.15, false, false},
		{n*3/20 + 1, 251, 46.151205, false, true},
	} {
		img := image.NewGray(image.Rect(0, 0, 1000, 200))
		for i := range img.Pix {
			img.Pix[i] = 10
			if i < tt.light {
				img.Pix[i] = 251
			}
		}
		r := measure(t, asPNG(t, img))
		if r.P95 != tt.p95 || math.Abs(r.Mean-tt.mean) > 1e-9 || r.BrightShare != float64(tt.light)/n {
			t.Errorf("%d light: P95 %v, mean %v, bright %v", tt.light, r.P95, r.Mean, r.BrightShare)
		}
		if slices.Contains(r.Faults, photos.TooDark) != tt.dark || slices.Contains(r.Faults, photos.TooBright) != tt.bright {
			t.Errorf("%d light: %v", tt.light, r.Faults)
		}
	}
}

func TestSamePictureSentTwice(t *testing.T) {
	for _, name := range []string{"red_car.jpg", "car_boot.jpg", "parked_cars.jpg"} {
		first := measure(t, file(t, name))
		again := measure(t, asJPEG(t, scaled(picture(t, name), 700), 40))
		if !photos.Near(first, again) {
			t.Errorf("%s, reduced and compressed again: %d bits away", name, bits.OnesCount64(first.DHash^again.DHash))
		}
	}
	webp, jpeg := measure(t, file(t, "car_boot.webp")), measure(t, file(t, "car_boot.jpg"))
	if !photos.Near(webp, jpeg) {
		t.Error("the same picture as WebP and as JPEG is not near")
	}
}

func TestDifferentPicturesAreNotNear(t *testing.T) {
	names := []string{"red_car.jpg", "car_boot.jpg", "parked_cars.jpg", "motion_blur.jpg", "orientation_1.jpg", "camera.png", "coins.png", "moon.png", "chelsea.webp"}
	var reports []photos.Report
	for i, name := range names {
		reports = append(reports, measure(t, file(t, name)))
		for j, other := range reports[:i] {
			if photos.Near(reports[i], other) {
				t.Errorf("%s and %s are near", name, names[j])
			}
		}
	}
}

func TestReportSurvivesJSON(t *testing.T) {
	want := measure(t, file(t, "red_car_dark.jpg"))
	want.DHash |= 1<<63 | 1 // no float64 holds this
	data, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var got photos.Report
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if !bytes.Contains(data, []byte(`"dhash":"`)) {
		t.Errorf("the hash is a bare number in %s", data)
	}
}

func BenchmarkMeasure(b *testing.B) {
	for _, name := range []string{"red_car.jpg", "car_boot.webp"} {
		b.Run(name, func(b *testing.B) {
			data := file(b, name)
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				measure(b, data)
			}
		})
	}
}

func picture(t testing.TB, name string) image.Image {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(file(t, name)))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// scaled is an image with the longest side given.
func scaled(img image.Image, long int) image.Image {
	b := img.Bounds()
	out := image.NewRGBA(image.Rect(0, 0, b.Dx()*long/max(b.Dx(), b.Dy()), b.Dy()*long/max(b.Dx(), b.Dy())))
	draw.ApproxBiLinear.Scale(out, out.Bounds(), img, b, draw.Src, nil)
	return out
}

func asJPEG(t testing.TB, img image.Image, quality int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
