package photos

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"

	"golang.org/x/image/webp"
)

// What we are willing to decode. A JPEG decodes to three bytes a pixel, four in
// print colours; a progressive one keeps twelve of coefficients besides; a PNG
// may take eight.
const (
	maxBytes       = 20 << 20 // what the platform lets a bot download
	maxSide        = 30_000
	maxPixels      = 50_000_000
	maxPNG         = 25_000_000
	maxProgressive = 25_000_000
	// maxScans bounds the passes over a progressive JPEG: each costs the time
	// for the whole picture and may be written in a few bytes. Encoders write
	// about ten.
	maxScans = 100
)

// format is a kind of file, by its first bytes.
type format string

const (
	isJPEG format = "jpeg"
	isPNG  format = "png"
	isWebP format = "webp"
)

// sniff tells the format. Names and types that came with the file are not
// asked: whoever sends a file chooses them.
func sniff(data []byte) (format, error) {
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		return isJPEG, nil
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		return isPNG, nil
	case len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		return isWebP, nil
	case len(data) >= 12 && string(data[4:8]) == "ftyp" && isHEIF(string(data[8:12])):
		return "", ErrHEIC
	}
	return "", ErrNotPicture
}

// isHEIF tells whether a file's major brand is one of those for still pictures
// and bursts in ISO/IEC 23008-12 (HEIF, HEIC) and in AVIF.
func isHEIF(brand string) bool {
	switch brand {
	case "heic", "heix", "heim", "heis", "hevc", "hevx", "hevm", "hevs", "mif1", "mif2", "msf1", "avif", "avis":
		return true
	}
	return false
}

// picture is a decoded picture: its upright size, and its luma, upright and
// reduced to at most normal pixels a side.
type picture struct {
	format        format
	width, height int
	grey          plane
}

// decode opens a picture within the limits. Decoders have been known to panic
// on damaged files, which is damage like any other.
func decode(ctx context.Context, data []byte) (p picture, err error) {
	defer func() {
		if v := recover(); v != nil {
			err = fmt.Errorf("%w: decoder: %v", ErrDamaged, v)
		}
	}()
	if len(data) > maxBytes {
		return picture{}, fmt.Errorf("%w: %d bytes", ErrTooLarge, len(data))
	}
	if p.format, err = sniff(data); err != nil {
		return picture{}, err
	}
	if err := p.format.bounds(data); err != nil {
		return picture{}, err
	}
	img, err := p.format.decode(reader{ctx, bytes.NewReader(data)})
	if err != nil {
		if ctx.Err() != nil {
			return picture{}, ctx.Err()
		}
		return picture{}, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	turn := orientation(p.format, data)
	p.width, p.height = img.Bounds().Dx(), img.Bounds().Dy()
	if turn >= 5 {
		p.width, p.height = p.height, p.width
	}
	p.grey = reduce(img, p.format).upright(turn)
	return p, nil
}

// bounds refuses what would take too much to decode, by the header alone.
func (f format) bounds(data []byte) error {
	c, err := f.config(data)
	if err != nil {
		return fmt.Errorf("%w: header: %w", ErrDamaged, err)
	}
	pixels, most := c.Width*c.Height, maxPixels
	switch f {
	case isPNG:
		most = maxPNG
	case isJPEG:
		if progressive(data) {
			most = maxProgressive
			if n := bytes.Count(data, []byte{0xff, sos}); n > maxScans {
				return fmt.Errorf("%w: %d scans", ErrTooLarge, n)
			}
		}
	}
	if c.Width > maxSide || c.Height > maxSide || pixels > most {
		return fmt.Errorf("%w: %d by %d pixels", ErrTooLarge, c.Width, c.Height)
	}
	if pixels == 0 {
		return fmt.Errorf("%w: no pixels", ErrDamaged)
	}
	return nil
}

func (f format) config(data []byte) (image.Config, error) {
	r := bytes.NewReader(data)
	switch f {
	case isJPEG:
		return jpeg.DecodeConfig(r)
	case isPNG:
		return png.DecodeConfig(r)
	case isWebP:
		return webp.DecodeConfig(r)
	}
	return image.Config{}, errors.New("no decoder")
}

func (f format) decode(r io.Reader) (image.Image, error) {
	switch f {
	case isJPEG:
		return jpeg.Decode(r)
	case isPNG:
		return png.Decode(r)
	case isWebP:
		return webp.Decode(r)
	}
	return nil, errors.New("no decoder")
}

// reader ends with its context: decoders take none.
type reader struct {
	ctx context.Context
	r   io.Reader
}

func (r reader) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	// A little at a time, so that a slow file asks often.
	return r.r.Read(p[:min(len(p), 4096)])
}
