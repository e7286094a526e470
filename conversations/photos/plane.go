package photos

import "image"

// normal is the longest side at which pictures are measured. Sharpness depends
// on the scale; of 512 and 1024, sharp and blurred were told apart better here.
const normal = 1024

// plane is a picture in grey, row by row.
type plane struct {
	w, h int
	pix  []uint8
}

func (p plane) at(x, y int) int { return int(p.pix[y*p.w+x]) }

// rows reads an image's luma one row at a time, so that no second copy of a
// large picture is needed.
type rows struct {
	w, h int
	read func(y int, row []uint8)
}

// luma makes rows of an image. The colour models of JPEG and WebP hold the
// BT.601 luma as it is, WebP's lossy one in the narrow range of video.
func luma(img image.Image, f format) rows {
	b := img.Bounds()
	r := rows{w: b.Dx(), h: b.Dy()}
	plain := func(pix []uint8, stride int) {
		r.read = func(y int, row []uint8) { copy(row, pix[y*stride:]) }
	}
	switch m := img.(type) {
	case *image.YCbCr:
		plain(m.Y[m.YOffset(b.Min.X, b.Min.Y):], m.YStride)
	case *image.NYCbCrA:
		plain(m.Y[m.YOffset(b.Min.X, b.Min.Y):], m.YStride)
	case *image.Gray:
		plain(m.Pix[m.PixOffset(b.Min.X, b.Min.Y):], m.Stride)
	case image.RGBA64Image: // everything else the decoders return
		r.read = func(y int, row []uint8) {
			for x := range row {
				c := m.RGBA64At(b.Min.X+x, b.Min.Y+y)
				// The weights .299, .587 and .114 in parts of 2¹⁶. Unlike
				// color.GrayModel this rounds to the nearest grey.
				y16 := (19595*uint32(c.R) + 38470*uint32(c.G) + 7471*uint32(c.B) + 1<<15) >> 16
				row[x] = uint8((y16 + 128) / 257)
			}
		}
		return r
	}
	if f == isWebP {
		r.read = widened(r.read)
	}
	return r
}

// widened stretches luma from 16 … 235 to 0 … 255.
func widened(read func(int, []uint8)) func(int, []uint8) {
	var wide [256]uint8
	for y := range wide {
		wide[y] = uint8(min(255, max(0, ((y-16)*255+109)/219)))
	}
	return func(y int, row []uint8) {
		read(y, row)
		for x, v := range row {
			row[x] = wide[v]
		}
	}
}

// reduce is an image's luma, scaled down to the normal size if it is larger.
func reduce(img image.Image, f format) plane {
	r := luma(img, f)
	w, h, long := r.w, r.h, max(r.w, r.h)
	if long > normal {
		w, h = max(1, (w*normal+long/2)/long), max(1, (h*normal+long/2)/long)
	}
	return r.scale(w, h)
}

// rows makes rows of a plane.
func (p plane) rows() rows {
	return rows{w: p.w, h: p.h, read: func(y int, row []uint8) { copy(row, p.pix[y*p.w:]) }}
}

// scale resamples to w by h: each pixel is the mean over the area it covers,
// exact and rounded once. Lengths are counted in units of which a source pixel
// is w wide and a result's pixel r.w, and likewise down.
func (r rows) scale(w, h int) plane {
	out := plane{w: w, h: h, pix: make([]uint8, w*h)}
	row, across, sum := make([]uint8, r.w), make([]uint64, w), make([]uint64, w)
	area := uint64(r.w) * uint64(r.h)
	y := 0
	for sy := range r.h {
		r.read(sy, row)
		clear(across)
		shareOut(row, w, across)
		for from, end := sy*h, (sy+1)*h; from < end; {
			to := min(end, (y+1)*r.h)
			for x, v := range across {
				sum[x] += v * uint64(to-from)
			}
			if to == (y+1)*r.h {
				for x, v := range sum {
					out.pix[y*w+x] = uint8((v + area/2) / area)
				}
				clear(sum)
				y++
			}
			from = to
		}
	}
	return out
}

// shareOut adds a row's pixels to the w cells they cover.
func shareOut(row []uint8, w int, cells []uint64) {
	i, edge := 0, len(row)
	for x, v := range row {
		for from, end := x*w, (x+1)*w; from < end; {
			to := min(end, edge)
			cells[i] += uint64(v) * uint64(to-from)
			if from = to; to == edge {
				i, edge = i+1, edge+len(row)
			}
		}
	}
}

// upright turns a picture by its EXIF orientation.
func (p plane) upright(orientation int) plane {
	if orientation <= 1 || orientation > 8 {
		return p
	}
	out := plane{w: p.w, h: p.h, pix: make([]uint8, len(p.pix))}
	if orientation >= 5 {
		out.w, out.h = p.h, p.w
	}
	for y := range out.h {
		for x := range out.w {
			sx, sy := p.source(orientation, x, y)
			out.pix[y*out.w+x] = p.pix[sy*p.w+sx]
		}
	}
	return out
}

// source is where the upright pixel x, y is stored.
func (p plane) source(orientation, x, y int) (sx, sy int) {
	right, bottom := p.w-1, p.h-1
	switch orientation {
	case 2:
		return right - x, y
	case 3:
		return right - x, bottom - y
	case 4:
		return x, bottom - y
	case 5:
		return y, x
	case 6:
		return y, bottom - x
	case 7:
		return right - y, bottom - x
	case 8:
		return right - y, x
	}
	return x, y
}
