package photos

// The thresholds below were measured for this project on 327 photographs (159
// by phones and cameras, 168 of cars in the street) and on copies of them that
// were blurred, darkened and brightened by computation, so what they catch in
// the field may be less.
const (
	// minLong is the longest side below which sharpness says nothing: a
	// thumbnail of 330 pixels has a variance of Laplacian above 5000.
	minLong = 600
	// minShort is the shortest side of a useful picture. Common practice, no
	// source.
	minShort = 200
	// darkP95 finds 1 % of normal photographs, and 10, 71 and 100 % of those
	// darkened by 2, 3 and 4 stops.
	darkP95 = 90
	// brightLuma counts as burnt out; brightShare of such pixels finds 2 % of
	// normal photographs, and 29, 74 and 93 % of those brightened by 1, 2 and 3
	// stops.
	brightLuma  = 251
	brightShare = 0.15
	// blurredReblur finds 3.7 % of sharp photographs; 91 % of those blurred by a
	// Gaussian of 2 pixels at 1280, 98 % at 3; 72 and 85 % of those smeared
	// over 9 and 15 pixels. The variance of the Laplacian finds only half as
	// many of the smeared ones and is kept for comparison.
	blurredReblur = 0.486
)

// faults judges what was measured. A small picture is not judged for sharpness,
// and neither is a dark one: its noise would pass for detail.
func faults(r Report) []Fault {
	var out []Fault
	small := max(r.Width, r.Height) < minLong || min(r.Width, r.Height) < minShort
	if small {
		out = append(out, TooSmall)
	}
	dark := r.P95 < darkP95
	if dark {
		out = append(out, TooDark)
	}
	if r.BrightShare > brightShare {
		out = append(out, TooBright)
	}
	if !small && !dark && r.Reblur > blurredReblur {
		out = append(out, Blurred)
	}
	return out
}
