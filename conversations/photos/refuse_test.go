package photos_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"runtime"
	"strings"
	"testing"

	"example.org/dryhand/conversations/photos"
)

func TestRefused(t *testing.T) {
	red := file(t, "red_car.jpg")
	small := asPNG(t, image.NewGray(image.Rect(0, 0, 8, 8)))
	for _, tt := range []struct {
		name string
		data []byte
		want error
	}{
		{"nothing", nil, photos.ErrNotPicture},
		{"text", []byte("how much for a full clean?"), photos.ErrNotPicture},
		{"GIF", []byte("GIF89a\x01\x00\x01\x00\x00\x00\x00;"), photos.ErrNotPicture},
		{"PDF", []byte("%PDF-1.7\n"), photos.ErrNotPicture},
		{"MP4", []byte("\x00\x00\x00\x20ftypisom\x00\x00\x02\x00"), photos.ErrNotPicture},
		{"HEIC", file(t, "head.heic"), photos.ErrHEIC},
		{"AVIF", []byte("\x00\x00\x00\x20ftypavif\x00\x00\x00\x00"), photos.ErrHEIC},
		{"JPEG signature only", red[:3], photos.ErrDamaged},
		{"JPEG cut off at 60 %", file(t, "truncated.jpg"), photos.ErrDamaged},
		{"PNG cut off", file(t, "moon.png")[:20_000], photos.ErrDamaged},
		{"WebP cut off", file(t, "car_boot.webp")[:20_000], photos.ErrDamaged},
		{"21 MB", append(bytes.Clone(red), make([]byte, 21<<20)...), photos.ErrTooLarge},
		{"JPEG that claims 65500 by 65500", sizedJPEG(t, red, 65500, 65500), photos.ErrTooLarge},
		{"JPEG of 30001 by 1", sizedJPEG(t, red, 30001, 1), photos.ErrTooLarge},
		{"JPEG of 51 megapixels", sizedJPEG(t, red, 8500, 6000), photos.ErrTooLarge},
		{"progressive JPEG of 26 megapixels", progressive(t, sizedJPEG(t, red, 5200, 5000)), photos.ErrTooLarge},
		{"progressive JPEG of 101 scans", append(progressive(t, red), bytes.Repeat([]byte("\xff\xda"), 100)...), photos.ErrTooLarge},
		{"PNG that claims 40000 by 40000", sizedPNG(small, 40000, 40000), photos.ErrTooLarge},
		{"PNG of 26 megapixels", sizedPNG(small, 5200, 5000), photos.ErrTooLarge},
		{"PNG without pixels", sizedPNG(small, 0, 5), photos.ErrDamaged},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, err := photos.Measure(context.Background(), tt.data)
			runtime.ReadMemStats(&after)
			if !errors.Is(err, tt.want) {
				t.Fatalf("got %v, want %v", err, tt.want)
			}
			// Decoded in earnest, the first bomb takes 4 GB.
			if used := after.TotalAlloc - before.TotalAlloc; used > 8<<20 {
				t.Errorf("%d bytes allocated", used)
			}
		})
	}
}

func TestLargestBaselineIsWithinBounds(t *testing.T) {
	// Not refused for its size: the header says more pixels than follow.
	_, err := photos.Measure(context.Background(), sizedPNG(asPNG(t, image.NewGray(image.Rect(0, 0, 8, 8))), 5000, 5000))
	if !errors.Is(err, photos.ErrDamaged) {
		t.Errorf("got %v, want %v", err, photos.ErrDamaged)
	}
}

func TestContextEnds(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := photos.Measure(ctx, file(t, "red_car.jpg")); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want %v", err, context.Canceled)
	}
}

// sizedJPEG rewrites the size in a JPEG's frame header.
func sizedJPEG(t *testing.T, data []byte, w, h int) []byte {
	t.Helper()
	out := bytes.Clone(data)
	at := frame(t, out)
	binary.BigEndian.PutUint16(out[at+5:], uint16(h))
	binary.BigEndian.PutUint16(out[at+7:], uint16(w))
	return out
}

// progressive makes a JPEG's header say so.
func progressive(t *testing.T, data []byte) []byte {
	t.Helper()
	out := bytes.Clone(data)
	out[frame(t, out)+1] = 0xc2
	return out
}

func frame(t *testing.T, data []byte) int {
	t.Helper()
	at := bytes.Index(data, []byte{0xff, 0xc0})
	if at < 0 {
		t.Fatal("no baseline frame header")
	}
	return at
}

// sizedPNG rewrites the size in a PNG's header, and its checksum.
func sizedPNG(data []byte, w, h uint32) []byte {
	out := bytes.Clone(data)
	binary.BigEndian.PutUint32(out[16:], w)
	binary.BigEndian.PutUint32(out[20:], h)
	binary.BigEndian.PutUint32(out[29:], crc32.ChecksumIEEE(out[12:29]))
	return out
}

// tiff is a TIFF structure of one directory with the orientation after another
// entry.
func tiff(order binary.AppendByteOrder, kind, value uint16) string {
	head := "II*\x00"
	if order.String() == "BigEndian" {
		head = "MM\x00*"
	}
	b := order.AppendUint32([]byte(head), 8)
	b = order.AppendUint16(b, 2)
	b = append(b, make([]byte, 12)...)
	b = order.AppendUint16(b, 274)
	b = order.AppendUint16(b, kind)
	b = order.AppendUint32(b, 1)
	b = order.AppendUint16(b, value)
	return string(order.AppendUint16(b, 0))
}

func TestOrientationAsWritten(t *testing.T) {
	little, big := tiff(binary.LittleEndian, 3, 6), tiff(binary.BigEndian, 3, 8)
	jpeg := func(segment string) string {
		return "\xff\xd8\xff\xe0\x00\x04xx\xff\xff\xe1\x00" + string(rune(len(segment)+2)) + segment + "\xff\xda"
	}
	for _, tt := range []struct {
		name, kind, data string
		want             int
	}{
		{"JPEG, little end first", "jpeg", jpeg("Exif\x00\x00" + little), 6},
		{"JPEG, big end first", "jpeg", jpeg("Exif\x00\x00" + big), 8},
		{"JPEG, other use of the segment", "jpeg", jpeg("http:\x00" + little), 1},
		{"JPEG, after the scan began", "jpeg", "\xff\xd8\xff\xda\x00\x02" + jpeg("Exif\x00\x00" + little)[2:], 1},
		{"JPEG, segment longer than the file", "jpeg", strings.TrimSuffix(jpeg("Exif\x00\x00"+little), "\x00\x00\xff\xda"), 1},
		{"PNG", "png", "\x89PNG\r\n\x1a\n\x00\x00\x00\x01xxxxY____\x00\x00\x00" + string(rune(len(big))) + "eXIf" + big, 8},
		{"WebP, odd chunk before", "webp", "RIFF____WEBPVP8 \x01\x00\x00\x00Y\x00EXIF" + string(rune(len(little))) + "\x00\x00\x00" + little, 6},
		{"WebP, as a JPEG would have it", "webp", "RIFF____WEBPEXIF" + string(rune(len(little)+6)) + "\x00\x00\x00Exif\x00\x00" + little, 6},
		{"nine", "jpeg", jpeg("Exif\x00\x00" + tiff(binary.LittleEndian, 3, 9)), 1},
		{"zero", "jpeg", jpeg("Exif\x00\x00" + tiff(binary.LittleEndian, 3, 0)), 1},
		{"not a short", "jpeg", jpeg("Exif\x00\x00" + tiff(binary.LittleEndian, 4, 6)), 1},
		{"neither end first", "jpeg", jpeg("Exif\x00\x00XX" + little[2:]), 1},
		{"directory outside", "jpeg", jpeg("Exif\x00\x00II*\x00\xff\xff\xff\xff"), 1},
	} {
		if got := photos.Orientation(tt.kind, []byte(tt.data)); got != tt.want {
			t.Errorf("%s: got %d, want %d", tt.name, got, tt.want)
		}
	}
}

func FuzzOrientation(f *testing.F) {
	for _, n := range "0135678" {
		f.Add("jpeg", file(f, "orientation_"+string(n)+".jpg")[:200])
	}
	f.Add("png", file(f, "moon.png")[:100])
	f.Add("webp", file(f, "car_boot.webp")[:100])
	f.Fuzz(func(t *testing.T, kind string, data []byte) {
		if got := photos.Orientation(kind, data); got < 1 || got > 8 {
			t.Errorf("orientation %d", got)
		}
	})
}

func FuzzMeasure(f *testing.F) {
	tiny := image.NewNRGBA(image.Rect(0, 0, 13, 11))
	for i := range tiny.Pix {
		tiny.Pix[i] = uint8(i * 37)
	}
	tiny.Set(3, 3, color.Transparent)
	f.Add(asPNG(f, tiny))
	f.Add(asJPEG(f, tiny, 50))
	f.Add(file(f, "head.heic"))
	f.Add(file(f, "car_boot.webp")[:2000])
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := photos.Measure(context.Background(), data)
		if err != nil {
			for _, known := range []error{photos.ErrNotPicture, photos.ErrHEIC, photos.ErrTooLarge, photos.ErrDamaged} {
				if errors.Is(err, known) {
					return
				}
			}
			t.Fatalf("an error callers do not know: %v", err)
		}
		inside := func(v, most float64) bool { return v >= 0 && v <= most }
		if r.Width < 1 || r.Height < 1 || len(r.SHA256) != 64 || !photos.Near(r, r) ||
			!inside(r.Mean, 255) || !inside(r.P95, 255) || !inside(r.BrightShare, 1) || !inside(r.Reblur, 1) || !(r.VarLap >= 0) {
			t.Errorf("%+v", r)
		}
	})
}
