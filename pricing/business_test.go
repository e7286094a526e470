package pricing_test

import (
	"testing"

	"example.org/dryhand/pricing"
)

// A business of another name that takes the rest from the shipped rules sends nobody to
// the door of the shipped one.
func TestTheAddressIsNotInherited(t *testing.T) {
	for src, want := range map[string]string{
		"rest: shipped\nbusiness:\n  name: Other\n":                           "",
		"rest: shipped\nbusiness:\n  name: Other\n  address: 1 Quarry Road\n": "1 Quarry Road",
		"rest: shipped\nmoney:\n  rate: £34\n":                                pricing.DefaultRules().Business.Address,
	} {
		r, err := pricing.ParseRules("own.yaml", []byte(src))
		if err != nil {
			t.Fatal(err)
		}
		if r.Business.Address != want {
			t.Errorf("%q: %q, want %q", src, r.Business.Address, want)
		}
	}
}
