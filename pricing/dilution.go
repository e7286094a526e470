package pricing

import "math"

// Ratio is a dilution of 1 part of product with so many parts of water, as the
// trade writes 1:N. It is not one part in N, as a laboratory would read it: 1:10
// is a little over 9 %, not 10 %. 0 is neat.
type Ratio float64

// Percent is how much of the mixture is product, 100 / (N + 1).
func (r Ratio) Percent() float64 { return 100 / (float64(r) + 1) }

// Product is the product in a mixture of that volume, in the same unit.
func (r Ratio) Product(volume float64) float64 { return volume / (float64(r) + 1) }

// RatioOfPercent is the ratio at which that much of the mixture is product, for
// more than 0 and at most 100 per cent; outside of these it is neat or nothing.
func RatioOfPercent(percent float64) Ratio {
	if percent >= 100 {
		return 0
	}
	return Ratio(100/math.Max(percent, math.SmallestNonzeroFloat64) - 1)
}

// Lance is how a foam lance's bottle is filled so that the foam has a strength
// where it lands: the lance adds so many parts of water to one of what it draws,
// and the bottle's mixture must be that much stronger. ok is false if even neat
// product in the bottle would be too weak.
func (r Ratio) Lance(adds float64) (bottle Ratio, ok bool) {
	// Strengths multiply: 1/(N+1) = 1/(bottle+1) · 1/(adds+1).
	b := (float64(r)+1)/(adds+1) - 1
	return Ratio(math.Max(0, b)), b >= 0
}
