package jobsheet_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/pricing"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// For 34 ratios a litre is made up as dilution_reference.csv has it (computed, both
// readings of 1:N; ours is parts added), and the sheet says both the ratio and the
// per cent.
func TestMixesAsTabled(t *testing.T) {
	seen := 0
	f, err := os.Open("../../testdata/pricing/dilution_reference.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 35 {
		t.Fatalf("%d rows, want 35", len(rows))
	}
	w := words(t)
	// Three at a time, as strong, usual and weak.
	for rows = rows[1:]; len(rows) > 0; rows = rows[min(3, len(rows)):] {
		three := [3][]string{rows[0], rows[min(1, len(rows)-1)], rows[min(2, len(rows)-1)]}
		r := edited(t, "parts: [5, 10, 20], ml: [500, 900]", fmt.Sprintf("parts: [%s, %s, %s], ml: [500, 900]", three[0][0], three[1][0], three[2][0]))
		j := jobOf(10, "pre-wash")
		j.Sizes = map[string]float64{"sprayer": 1000}
		s := sheet(t, r, j)
		page, err := w.Page(s)
		if err != nil {
			t.Fatal(err)
		}
		for _, got := range step(t, s, "pre-wash").Mixes[0].Strengths {
			i := slices.IndexFunc(three[:], func(row []string) bool { return number(t, row[0]) == float64(got.Ratio) })
			n, percent, ml := three[i][0], number(t, three[i][1]), number(t, three[i][3])
			if d := math.Abs(got.Product - ml); d > max(0.05, 0.025*ml)+1e-9 {
				t.Errorf("1:%s: %v ml in a litre, the table has %v", n, got.Product, ml)
			}
			if sum := got.Product + got.Water; math.Abs(sum-1000) > 1e-9 {
				t.Errorf("1:%s: %v ml make a litre", n, sum)
			}
			if math.Abs(got.Percent-percent) > 1e-5 {
				t.Errorf("1:%s: %v %%, the table has %v", n, got.Percent, percent)
			}
			if want := fmt.Sprintf("(1:%s, %s %%)", n, significant(percent)); !strings.Contains(string(page), want) {
				t.Errorf("the page does not say %q", want)
			}
			seen++
		}
	}
	if seen != 34 {
		t.Errorf("%d ratios looked at, want 34", seen)
	}
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// significant writes three digits by another way than the package does.
func significant(x float64) string {
	s := strconv.FormatFloat(x, 'g', 3, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// What one can measure out is near enough.
func TestMeasure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ml := rapid.Float64Range(0, 20_000).Draw(t, "ml")
		got := jobsheet.Measure(ml)
		if math.Abs(got-ml) > 0.05+1e-9 && math.Abs(got-ml) > 0.05*ml {
			t.Fatalf("%v ml for %v", got, ml)
		}
		if ml >= 10 && math.Abs(got-ml) > 0.025*ml+1e-9 {
			t.Fatalf("%v ml for %v", got, ml)
		}
	})
}

// Worked with pencil and paper from what goes in and what comes out, no source.
//
//	7 l/min of water, 1 l of bottle in 90 s. In those 90 s 10.5 l of water pass, so
//	a full bottle makes 11.5 l of foam. 2 % of that are 230 ml, 1 % are 115 ml.
//	8 l/min, 120 s: 16 l and the litre make 17 l, 4 % of which are 680 ml.
//	10 l/min, 90 s, half a litre of bottle: 15 l and 0.5 make 15.5 l; 4 % would be
//	620 ml, more than the bottle holds: neat lands at 0.5/15.5 = 3.23 %.
func TestFoamByHand(t *testing.T) {
	for _, x := range []struct {
		lance          pricing.Lance
		percent        float64
		product, water float64
		lands          float64
		weak           bool
	}{
		{pricing.Lance{Flow: 7, ML: 1000, Empties: 90}, 2, 230, 770, 2, false},
		{pricing.Lance{Flow: 7, ML: 1000, Empties: 90}, 1, 115, 885, 1, false},
		{pricing.Lance{Flow: 8, ML: 1000, Empties: 120}, 4, 680, 320, 4, false},
		{pricing.Lance{Flow: 10, ML: 500, Empties: 90}, 4, 500, 0, 100 * 0.5 / 15.5, true},
	} {
		product, water, lands, weak := jobsheet.Foam(x.lance, pricing.RatioOfPercent(x.percent))
		if product != x.product || water != x.water || math.Abs(lands-x.lands) > 1e-9 || weak != x.weak {
			t.Errorf("%+v for %v %%: got %v ml, %v ml, %v %%, %v; want %+v", x.lance, x.percent, product, water, lands, weak, x)
		}
	}
}

// As others have worked it out, for bottles whose contents water is added to on the
// way: the same sum as that of a lance, in their figures.
//
//   - How many parts of water are added, by catching what comes out while so much is
//     drawn from the bottle: one quart drawn and 8 quarts caught make 7 to 1, with 9
//     caught 8 to 1. At 8 to 1 a bottle of 160 fl oz makes 1440, or 11.25 US gallons,
//     so that 12 fl oz to the gallon want 135 fl oz in the bottle. (A cleaning
//     supplier's page on dilution ratios, address withheld; read November 2026.)
//   - A jug of 5 quarts at 8 to 1 makes 45 quarts. ("The Dilution Solution", ICS
//     Magazine, 5 February 2010.)
//   - 19 litres leave a washer a minute, 19 litres of the bucket are gone after 15
//     minutes: of 285 litres that landed 266 are water, 14 to 1, and 6.7 per cent are
//     what was in the bucket. (ultimatesoft.net, on mixing for soft washing; the page
//     rounds to 7 per cent. Its flow is what lands, ours the water before the lance.)
func TestFoamAsOthersWorkedItOut(t *testing.T) {
	const ounce, quart = 29.5735295625, 946.352946 // ml, US, exact
	// A bottle of so many ml that is empty after a minute, while so much water passes.
	lance := func(ml, water float64) pricing.Lance { return pricing.Lance{Flow: water / 1000, ML: ml, Empties: 60} }
	for caught, adds := range map[float64]float64{8: 7, 9: 8} {
		if got := lance(quart, (caught-1)*quart).Adds(); math.Abs(got-adds) > 1e-9 {
			t.Errorf("%v quarts caught: %v parts of water added, want %v", caught, got, adds)
		}
	}
	for _, x := range []struct {
		name    string
		lance   pricing.Lance
		percent float64 // of what lands
		product float64 // ml in the bottle
	}{
		{"12 fl oz to the gallon", lance(160*ounce, 1280*ounce), 100 * 12. / 128, 135 * ounce},
		{"neat in the jug", lance(5*quart, 40*quart), 100 * 5. / 45, 5 * quart},
		{"neat in the bucket", pricing.Lance{Flow: 266. / 15, ML: 19_000, Empties: 15 * 60}, 100 * 19. / 285, 19_000},
	} {
		product, _, lands, weak := jobsheet.Foam(x.lance, pricing.RatioOfPercent(x.percent))
		// A jug measures to 5 ml.
		if math.Abs(product-x.product) > 2.5+1e-6 || math.Abs(lands-x.percent) > 0.001*x.percent || weak {
			t.Errorf("%s: %v ml, %v %% lands, too weak %v; want %v ml, %v %%", x.name, product, lands, weak, x.product, x.percent)
		}
	}
}

// What lands, by letting the machine run a second at a time and looking into the
// foam, is what Foam says lands, and what was wanted, as nearly as one can
// measure.
func TestFoamAsItRuns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := pricing.Lance{
			Flow:    rapid.Float64Range(4, 15).Draw(t, "flow"),
			ML:      rapid.Float64Range(300, 2000).Draw(t, "bottle"),
			Empties: float64(rapid.IntRange(30, 300).Draw(t, "seconds")),
		}
		want := rapid.Float64Range(0.2, 5).Draw(t, "per cent")
		product, water, lands, weak := jobsheet.Foam(l, pricing.RatioOfPercent(want))
		var of, foam float64
		for range int(l.Empties) {
			drawn := l.ML / l.Empties
			of += drawn * product / (product + water)
			foam += drawn + l.Flow*1000/60
		}
		if got := 100 * of / foam; math.Abs(got-lands) > 1e-6*got {
			t.Fatalf("%+v with %v ml: %v %% lands, said %v", l, product, got, lands)
		}
		if !weak && math.Abs(lands-want) > max(0.05*want, 100*0.05/(l.ML+l.Flow*l.Empties*1000/60)) {
			t.Fatalf("%+v: %v %% lands, wanted %v", l, lands, want)
		}
		if weak && (water != 0 || lands > want) {
			t.Fatalf("%+v: said to be too weak for %v %%, with %v ml of water landing at %v", l, want, water, lands)
		}
	})
}

// Little dirt begins with the weakest mix, more with the usual one, and nothing
// ever with the strongest.
func TestGentlestFirst(t *testing.T) {
	for grade, want := range map[pricing.Grade]float64{pricing.Unknown: 10, pricing.Light: 20, pricing.Fair: 10, pricing.Poor: 10, pricing.Severe: 10} {
		j := jobOf(10, "pre-wash")
		j.Grades = map[pricing.Area]pricing.Grade{pricing.Paintwork: grade}
		m := step(t, sheet(t, pricing.DefaultRules(), j), "pre-wash").Mixes[0]
		if got := float64(m.Strengths[m.Start].Ratio); got != want {
			t.Errorf("grade %d begins with 1:%v, want 1:%v", grade, got, want)
		}
		for i := 1; i < len(m.Strengths); i++ {
			if m.Strengths[i].Percent <= m.Strengths[i-1].Percent {
				t.Errorf("strengths do not rise: %+v", m.Strengths)
			}
		}
	}
}

// The container is the smallest that is enough, or several of the largest. On a
// medium hatchback the pre-wash takes 500 to 900 ml of mix, the shampoo 20 to 40 ml
// of product: at 1:500 that is 20.04 litres, three buckets of ten.
func TestContainers(t *testing.T) {
	s := sheet(t, pricing.DefaultRules(), jobOf(15, "pre-wash", "wash"))
	type got struct {
		Size  float64
		Fills int
	}
	for task, want := range map[string]got{"pre-wash": {1500, 1}, "wash": {10_000, 3}} {
		m := step(t, s, task).Mixes[0]
		if d := cmp.Diff(want, got{m.Size, m.Fills}); d != "" {
			t.Errorf("%s: %s", task, d)
		}
	}
}

// What is on the list of products to bring is what the steps use, undiluted.
func TestProducts(t *testing.T) {
	j := jobOf(15, "wheels-full", "pre-wash", "wash", "fallout")
	s := sheet(t, pricing.DefaultRules(), j)
	area := j.Vehicle.PaintedArea()
	want := map[string][2]float64{
		"citrus pre-wash": {500. / 11, 900. / 11},
		"shampoo":         {20, 40},
		"fallout remover": {4*30 + 25*area, 4*60 + 40*area},
	}
	for _, p := range s.Products {
		x, ok := want[p.What]
		if !ok {
			continue
		}
		// The reference car's minutes and ml are for a size of exactly one.
		if math.Abs(p.Least-x[0]) > 0.02*x[0] || math.Abs(p.Most-x[1]) > 0.02*x[1] || p.Strongest < p.Most {
			t.Errorf("%s: %v to %v, up to %v; want %v", p.What, p.Least, p.Most, p.Strongest, x)
		}
		delete(want, p.What)
	}
	if len(want) > 0 {
		t.Errorf("not on the list: %v", want)
	}
}
