package pricing_test

import (
	"math"
	"testing"

	"example.org/dryhand/pricing"
)

// The steps of a price hold all but one case in a hundred, and as much of it lies
// below "no more than" as that promises. They are the same distribution from which
// Quote takes its prices, so that the ends agree to a step.
func TestSpreadAgreesWithTheQuote(t *testing.T) {
	r := pricing.DefaultRules()
	car := *r.MatchVehicle("Skoda Octavia estate").Vehicle
	for name, e := range map[string]pricing.Enquiry{
		"outside":      {Vehicle: car, Wants: []string{"exterior"}, Site: pricing.Site{Own: true, Tap: true, Socket: true}},
		"both, deep":   {Vehicle: car, Wants: []string{"exterior", "interior-deep", "polish"}, Site: pricing.Site{Own: true, Tap: true, Socket: true}},
		"for a figure": {Vehicle: car, Wants: []string{"exterior", "interior-deep"}, Budget: 150_00, Site: pricing.Site{Own: true, Tap: true, Socket: true}},
	} {
		f, err := r.Fit(e)
		if err != nil {
			t.Fatal(err)
		}
		s, err := r.Spread(e)
		odds := s.Steps
		if err != nil || len(odds) == 0 || len(odds) > 41 {
			t.Fatalf("%s: %d steps, %v", name, len(odds), err)
		}
		if s.High != f.Quote.Price.High || s.Above > .1 && e.Budget == 0 || s.On == "" {
			t.Errorf("%s: at most %v, want %v; %.3f lies above; it hangs on %q", name, s.High, f.Quote.Price.High, s.Above, s.On)
		}
		if e.Budget > 0 && math.Abs(1-f.Sure-s.Above) > .001 {
			t.Errorf("%s: %.3f lies above, and it is sure by %.3f", name, s.Above, f.Sure)
		}
		all, below, ends := 0.0, 0.0, false
		for i, o := range odds {
			if o.P < 0 || o.To <= o.From || i > 0 && o.From != odds[i-1].To {
				t.Errorf("%s: step %+v", name, o)
			}
			all += o.P
			ends = ends || o.To == s.High
			if o.To <= f.Quote.Price.High {
				below += o.P
			}
		}
		if !ends || math.Abs(1-s.Above-below) > .006 {
			t.Errorf("%s: a step ends at the most: %v; %.3f lies below and %.3f above", name, ends, below, s.Above)
		}
		if math.Abs(all-.99) > .011 {
			t.Errorf("%s: the steps hold %.4f", name, all)
		}
		if least := .9 - .005; e.Budget == 0 && below < least {
			t.Errorf("%s: %.3f lies below %v, want %.3f", name, below, f.Quote.Price.High, least)
		}
	}
}
