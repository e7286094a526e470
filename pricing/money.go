package pricing

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Pence is an amount of money. Nothing is ever kept in pounds.
type Pence int64

// String is "£170" for whole pounds and "£12.50" otherwise.
func (p Pence) String() string {
	sign := ""
	if p < 0 {
		sign, p = "-", -p
	}
	if p%100 == 0 {
		return fmt.Sprintf("%s£%d", sign, p/100)
	}
	return fmt.Sprintf("%s£%d.%02d", sign, p/100, p%100)
}

// most is more than any price of this trade, and small enough that no sum of
// prices overflows.
const mostPounds = 1_000_000

// ParsePence reads "£170", "170", "12.50" or "£1,250".
func ParsePence(s string) (Pence, error) {
	plain := strings.ReplaceAll(strings.TrimPrefix(strings.TrimSpace(s), "£"), ",", "")
	pounds, pence, dot := strings.Cut(plain, ".")
	if !dot {
		pence = "00"
	} else if len(pence) == 1 {
		pence += "0"
	}
	n, err := strconv.ParseUint(pounds, 10, 32)
	m, err2 := strconv.ParseUint(pence, 10, 8)
	if err != nil || err2 != nil || len(pence) != 2 || n > mostPounds {
		return 0, fmt.Errorf("must be an amount such as £12 or £12.50, not %q", s)
	}
	return Pence(n*100 + m), nil
}

// ReadPlain reads an amount in a rules file. In JSON, Pence is a plain number.
func (p *Pence) ReadPlain(text string) (err error) {
	*p, err = ParsePence(text)
	return err
}

// pence rounds an exact amount to the nearest penny, halves up.
func pence(x float64) Pence { return Pence(math.Floor(x + 0.5)) }

// Near rounds to the nearest multiple of step, halves up; a step of 0 or less
// leaves the amount alone.
func (p Pence) Near(step Pence) Pence { return (p + step/2).down(step) }

// Up rounds up to a multiple of step.
func (p Pence) Up(step Pence) Pence {
	if step <= 0 {
		return p
	}
	return (p + step - 1).down(step)
}

// down rounds towards less, also below zero.
func (p Pence) down(step Pence) Pence {
	if step <= 0 {
		return p
	}
	n := p / step
	if p%step < 0 {
		n--
	}
	return n * step
}

// VATIn is the VAT contained in an amount that includes it, at a rate in per
// cent, rounded half up to the penny: somebody selling to the public must not
// round it down (HMRC VAT Notice 700, 17.6).
func VATIn(gross Pence, rate float64) Pence {
	return pence(float64(gross) * rate / (100 + rate))
}

// share splits an amount in proportion to weights, so that the parts add up to
// it exactly: each gets its part rounded down, and what is left goes to those
// who lost most by that. Without positive weights the first gets everything.
func (p Pence) share(weights []float64) []Pence {
	parts := make([]Pence, len(weights))
	var total float64
	for _, w := range weights {
		total += w
	}
	if len(parts) == 0 {
		return parts
	}
	if total <= 0 {
		parts[0] = p
		return parts
	}
	lost := make([]float64, len(weights))
	left := p
	for i, w := range weights {
		exact := float64(p) * w / total
		parts[i] = Pence(math.Floor(exact))
		lost[i] = exact - float64(parts[i])
		left -= parts[i]
	}
	for ; left > 0; left-- {
		worst := 0
		for i, l := range lost {
			if l > lost[worst] {
				worst = i
			}
		}
		parts[worst]++
		lost[worst]--
	}
	return parts
}
