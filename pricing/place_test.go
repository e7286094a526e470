package pricing_test

import (
	"slices"
	"testing"

	"example.org/dryhand/pricing"
)

// Who has said where the water runs is not told that we'll look.
func TestWhereTheWaterRunsIsAskedOnce(t *testing.T) {
	r := pricing.DefaultRules()
	for drain, want := range map[string]bool{"": true, "unknown": true, "soil": false, "foul": false} {
		q, err := r.Quote(pricing.Enquiry{Vehicle: *r.MatchVehicle("Volvo V60").Vehicle, Wants: []string{"exterior"}, Site: pricing.Site{Tap: true, Socket: true, Surface: "driveway", Drain: drain}})
		if err != nil {
			t.Fatal(err)
		}
		if got := slices.Contains(q.Notes, r.Place.AskDrain); got != want {
			t.Errorf("%q: said %v, want %v", drain, got, want)
		}
	}
}
