package pricing_test

import (
	"math"
	"testing"

	"example.org/dryhand/pricing"
	"pgregory.net/rapid"
)

// Both readings of 1:N for 34 ratios (dilution_reference.csv). Ours is parts
// added.
func TestDilutionAsTabled(t *testing.T) {
	rows := readCSV(t, "dilution_reference.csv")
	for _, row := range rows {
		n := pricing.Ratio(number(t, row["ratio_1_to_n"]))
		for _, x := range []struct {
			column string
			got    float64
		}{
			{"percent_v_v_parts_added(1/(n+1))", n.Percent()},
			{"ml_concentrate_per_litre_final_parts_added", n.Product(1000)},
			{"us_fl_oz_in_one_us_gallon_final(128/(n+1))", n.Product(128)},
			// Who means one part in N means one part and N-1.
			{"percent_if_one_in_n(1/n)", (n - 1).Percent()},
		} {
			if want := number(t, row[x.column]); math.Abs(x.got-want) > 1e-5*math.Max(1, want) {
				t.Errorf("1:%v, %s: got %v, want %v", n, x.column, x.got, want)
			}
		}
	}
	if len(rows) != 34 {
		t.Errorf("%d rows, want 34", len(rows))
	}
}

// CDC, Best Practices for Environmental Cleaning, Appendix E: parts of water to
// one of concentrate are (strength there / strength wanted) - 1.
func TestDilutionCDC(t *testing.T) {
	for _, x := range []struct{ have, want, parts float64 }{{3.5, 0.5, 6}, {5, 0.1, 49}} {
		if got := pricing.RatioOfPercent(100 * x.want / x.have); math.Abs(float64(got)-x.parts) > 1e-9 {
			t.Errorf("%v %% to %v %%: got 1:%v, want 1:%v", x.have, x.want, got, x.parts)
		}
	}
}

// What lands is what was wanted.
func TestLance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := pricing.Ratio(rapid.Float64Range(0, 200).Draw(t, "ratio"))
		adds := rapid.Float64Range(0, 60).Draw(t, "lance adds")
		bottle, ok := want.Lance(adds)
		lands := 100 / (float64(bottle) + 1) / (adds + 1)
		if ok && math.Abs(lands-want.Percent()) > 1e-9 {
			t.Fatalf("lands at %v %%, want %v %%", lands, want.Percent())
		}
		if !ok && (bottle != 0 || lands > want.Percent()) {
			t.Fatalf("neat lands at %v %%, and yet too weak for %v %%", lands, want.Percent())
		}
	})
}
