package photos

// exposure is the mean luma, the luma that 95 % of the pixels do not exceed,
// and the share of burnt-out pixels.
func exposure(p plane) (mean, p95, bright float64) {
	var counts [256]int
	for _, v := range p.pix {
		counts[v]++
	}
	n, sum, seen, burnt := len(p.pix), 0, 0, 0
	level := -1
	for v, c := range counts {
		sum += v * c
		if seen += c; level < 0 && 100*seen >= 95*n {
			level = v
		}
		if v >= brightLuma {
			burnt += c
		}
	}
	return float64(sum) / float64(n), float64(level), float64(burnt) / float64(n)
}

// varLap is the variance of the Laplacian (0 1 0, 1 −4 1, 0 1 0), mirrored at
// the border without repeating it.
func varLap(p plane) float64 {
	var sum, squares int
	for y := range p.h {
		up, down := mirror(y-1, p.h), mirror(y+1, p.h)
		for x := range p.w {
			l := p.at(x, up) + p.at(x, down) + p.at(mirror(x-1, p.w), y) + p.at(mirror(x+1, p.w), y) - 4*p.at(x, y)
			sum += l
			squares += l * l
		}
	}
	n := float64(len(p.pix))
	mean := float64(sum) / n
	return float64(squares)/n - mean*mean
}

// mirror reflects an index that is one outside of n.
func mirror(i, n int) int {
	switch {
	case n == 1:
		return 0
	case i < 0:
		return -i
	case i >= n:
		return 2*n - 2 - i
	}
	return i
}

// reblur is the no-reference blur metric of F. Crété, T. Dolmière, P. Ladret and
// M. Nicolas, "The blur effect: perception and estimation with a new
// no-reference perceptual blur metric", Proc. SPIE 6492, 2007: how much of the
// differences between neighbours is left when the picture is blurred with a
// box of nine pixels, the worse of the two directions. Of a picture without any
// differences it is 1.
func reblur(p plane) float64 {
	return max(p.reblurAlong(1, p.w, p.w, p.h), p.reblurAlong(p.w, p.h, 1, p.w))
}

// reblurAlong is the metric in one direction: lines of n pixels, step apart in
// memory, the lines themselves stride apart. Two neighbouring boxes of nine
// differ only in their ends, so that no blurred copy is needed.
func (p plane) reblurAlong(step, n, stride, lines int) float64 {
	const before, after, box = 5, 4, 9
	var total, lost int
	for line := range lines {
		for i := before; i < n-after; i++ {
			at := line*stride + i*step
			sharp := box * abs(int(p.pix[at])-int(p.pix[at-step]))
			soft := abs(int(p.pix[at+after*step]) - int(p.pix[at-before*step]))
			total += sharp
			lost += max(0, sharp-soft)
		}
	}
	if total == 0 {
		return 1
	}
	return float64(total-lost) / float64(total)
}

func abs(v int) int { return max(v, -v) }

// dHash is the difference hash, row by row from the top left, the first bit the
// most significant.
func dHash(p plane) (hash uint64) {
	const w, h = 9, 8
	cells := p.rows().scale(w, h)
	for y := range h {
		for x := range w - 1 {
			hash <<= 1
			if cells.at(x+1, y) > cells.at(x, y) {
				hash |= 1
			}
		}
	}
	return hash
}
