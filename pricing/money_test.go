package pricing_test

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"testing"

	"example.org/dryhand/pricing"
	"pgregory.net/rapid"
)

func readCSV(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../testdata/pricing/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, v := range r {
			m[rows[0][i]] = v
		}
		out = append(out, m)
	}
	return out
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func TestPenceString(t *testing.T) {
	for p, want := range map[pricing.Pence]string{0: "£0", 17000: "£170", 1250: "£12.50", 5: "£0.05", -250: "-£2.50", -100: "-£1", 123456: "£1234.56"} {
		if got := p.String(); got != want {
			t.Errorf("%d: got %s, want %s", int(p), got, want)
		}
	}
}

// ISO 4217: sterling has two digits behind the point, so a hundred pence are a
// pound, and a penny is the least amount. A currency with other digits would need
// another type; the list has some to show that the check can fail.
func TestMinorUnits(t *testing.T) {
	digits := map[string]float64{}
	for _, r := range readCSV(t, "iso4217_minor_units.csv") {
		digits[r["code"]] = number(t, r["digits"])
	}
	pound := pricing.Pence(math.Pow(10, digits["GBP"]))
	if got, err := pricing.ParsePence("£1"); err != nil || got != pound || pound.String() != "£1" {
		t.Errorf("£1 is %d pence, %v; ISO 4217 has %d", int64(got), err, int64(pound))
	}
	if got := pricing.Pence(1).String(); got != "£0.01" {
		t.Errorf("the least amount is %s", got)
	}
	if len(digits) != 14 || digits["JPY"] != 0 || digits["KWD"] != 3 {
		t.Errorf("read %v", digits)
	}
}

func TestParsePence(t *testing.T) {
	for s, want := range map[string]pricing.Pence{"£170": 17000, "170": 17000, "12.50": 1250, "£12.5": 1250, " £0.05 ": 5, "£1,250": 125000, "0": 0} {
		if got, err := pricing.ParsePence(s); err != nil || got != want {
			t.Errorf("%q: got %v, %v, want %v", s, got, err, want)
		}
	}
	for _, s := range []string{"", "£", "-5", "12.345", "1e3", "twelve", "£12.", "1.2.3", "99999999", "NaN", "+5"} {
		if got, err := pricing.ParsePence(s); err == nil {
			t.Errorf("%q: got %v, want an error", s, got)
		}
	}
}

// HMRC's VAT fraction, half up, as a business selling to the public must round
// (VAT Notice 700, 17.6).
func TestVATAsPublished(t *testing.T) {
	rows := readCSV(t, "vat_fraction.csv")
	for _, r := range rows {
		gross := pricing.Pence(number(t, r["gross_pence"]))
		want := pricing.Pence(number(t, r["vat_half_up_pence"]))
		if got := pricing.VATIn(gross, number(t, r["rate"])); got != want {
			t.Errorf("%v at %s %%: got %v, want %v", gross, r["rate"], got, want)
		}
	}
	if len(rows) < 30 {
		t.Errorf("only %d rows", len(rows))
	}
}

func TestRounding(t *testing.T) {
	tests := []struct{ amount, step, near, up pricing.Pence }{
		{17249, 500, 17000, 17500},
		{17250, 500, 17500, 17500},
		{17000, 500, 17000, 17000},
		{1, 500, 0, 500},
		{0, 500, 0, 0},
		{-250, 500, 0, 0},
		{-251, 500, -500, 0},
		{12345, 0, 12345, 12345},
		{12345, 1, 12345, 12345},
	}
	for _, tt := range tests {
		if got := tt.amount.Near(tt.step); got != tt.near {
			t.Errorf("%v near %v: got %v, want %v", tt.amount, tt.step, got, tt.near)
		}
		if got := tt.amount.Up(tt.step); got != tt.up {
			t.Errorf("%v up to %v: got %v, want %v", tt.amount, tt.step, got, tt.up)
		}
	}
}

func TestRoundingBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := pricing.Pence(rapid.Int64Range(-1e7, 1e7).Draw(t, "amount"))
		step := pricing.Pence(rapid.Int64Range(1, 5000).Draw(t, "step"))
		near, up := p.Near(step), p.Up(step)
		if near%step != 0 || up%step != 0 {
			t.Fatalf("%d to %d: %d and %d are no multiples", p, step, near, up)
		}
		if up < p || up >= p+step {
			t.Fatalf("%d up to %d: %d", p, step, up)
		}
		if d := near - p; d > step/2 || -d > step/2 {
			t.Fatalf("%d near %d: %d is too far", p, step, near)
		}
	})
}

// Half-up rounding as computed with Python's decimal (decimal_rounding.csv).
// Prices are never negative, so only those rows matter.
func TestNearAsDecimal(t *testing.T) {
	checked := 0
	for _, r := range readCSV(t, "decimal_rounding.csv") {
		whole := func(s string) pricing.Pence { return pricing.Pence(math.Round(number(t, s) * 1e5)) }
		if number(t, r["value"]) < 0 {
			continue
		}
		checked++
		if got, want := whole(r["value"]).Near(whole(r["quantum"])), whole(r["half_up"]); got != want {
			t.Errorf("%s to %s: got %d, want %d", r["value"], r["quantum"], int(got), int(want))
		}
		if got, want := whole(r["value"]).Up(whole(r["quantum"])), whole(r["up"]); got != want {
			t.Errorf("%s up to %s: got %d, want %d", r["value"], r["quantum"], int(got), int(want))
		}
	}
	if checked < 12 {
		t.Errorf("only %d rows", checked)
	}
}

// Documents keep money as numbers; it must come back as it was.
func TestPenceInJSON(t *testing.T) {
	out, err := json.Marshal(map[string]pricing.Pence{"likely": 17050})
	if err != nil || string(out) != `{"likely":17050}` {
		t.Fatalf("got %s, %v", out, err)
	}
	var got map[string]pricing.Pence
	if err := json.Unmarshal(out, &got); err != nil || got["likely"] != 17050 {
		t.Errorf("got %v, %v", got, err)
	}
}

// What is read as money is an amount that can be, and reads the same as it is
// written.
func FuzzParsePence(f *testing.F) {
	for _, s := range []string{"£170", "170", "12.50", "£1,250", "0", "", "£", ".5", "1.", "1.5", "1.055", "-3", "£ 12", "1,0,0", "1e3", "1000000.99", "1000001", "99999999999999999999", "１２", "12.+5"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := pricing.ParsePence(s)
		if err != nil {
			if p != 0 {
				t.Errorf("%q: refused, and yet %d", s, p)
			}
			return
		}
		if p < 0 || p > 1_000_000_99 {
			t.Errorf("%q is %d pence", s, p)
		}
		if again, err := pricing.ParsePence(p.String()); err != nil || again != p {
			t.Errorf("%q is %s, which is read as %d, %v", s, p, again, err)
		}
	})
}
