package minutes_test

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"testing"

	"example.org/dryhand/pricing/minutes"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

const figures = "../../testdata/pricing/"

// Published quantiles: R 4.2.2 qbeta, agreeing with SciPy to 1.3e-11; see
// testdata/pricing/README.md.
func TestQuantilesAsPublished(t *testing.T) {
	f, err := os.Open(figures + "pert_beta_quantiles.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]float64{"q01": .01, "q05": .05, "q10": .1, "q25": .25, "q50": .5, "q75": .75, "q80": .8, "q90": .9, "q95": .95, "q99": .99}
	checked := 0
	for _, row := range rows[1:] {
		v := map[string]float64{}
		for i, name := range rows[0] {
			if v[name], err = strconv.ParseFloat(row[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		e := minutes.Estimate{Low: v["a"], Likely: v["m"], High: v["b"]}
		near(t, row, "mean", e.Mean(), v["mean"], 1e-9)
		near(t, row, "sd", math.Sqrt(e.Variance()), v["sd_beta"], 1e-9)
		for name, p := range at {
			near(t, row, name, e.Quantile(p), v[name], 1e-7*(v["b"]-v["a"]))
			near(t, row, "cdf of "+name, e.CDF(v[name]), p, 1e-9)
			checked++
		}
	}
	if checked < 140 {
		t.Errorf("checked %d quantiles, want at least 140", checked)
	}
}

func near(t *testing.T, of any, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%v: %s: got %.12g, want %.12g", of, what, got, want)
	}
}

// Worked network examples: the expected times of their critical paths. Sources
// beside each in the file. The deadline probabilities there rest on the
// textbook variance and the normal approximation, so only means are compared,
// and the classic variance is recomputed here.
func TestWorkedExamples(t *testing.T) {
	raw, err := os.ReadFile(figures + "pert_examples.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []struct {
		ID       string                `json:"id"`
		Acts     map[string][3]float64 `json:"acts"`
		Critical []string              `json:"critical"`
		TE       float64               `json:"te_critical"`
		Var      float64               `json:"var_critical"`
		Deadline float64               `json:"deadline"`
		Exact    float64               `json:"prob_exact"`
	}
	if err := json.Unmarshal(raw, &all); err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, x := range all {
		if len(x.Acts) == 0 || x.TE == 0 || len(x.Critical) == 0 {
			continue
		}
		var mean, classic float64
		whole := minutes.Distribution{}
		for _, id := range x.Critical {
			a := x.Acts[id]
			e := minutes.Estimate{Low: a[0], Likely: a[1], High: a[2]}
			mean += e.Mean()
			classic += (e.High - e.Low) * (e.High - e.Low) / 36
			whole = minutes.Sum(whole, minutes.Prepare(e).Grid(1))
		}
		near(t, x.ID, "expected time", mean, x.TE, 1e-3)
		near(t, x.ID, "classic variance", classic, x.Var, 1e-2)
		near(t, x.ID, "mean on the grid", whole.Mean(), x.TE, 1e-3)
		if x.Exact > 0 {
			z := (x.Deadline - mean) / math.Sqrt(classic)
			near(t, x.ID, "probability", distuv.UnitNormal.CDF(z), x.Exact, 1e-4)
		}
		checked++
	}
	if checked < 2 {
		t.Errorf("only %d examples had enough figures to check", checked)
	}
}

func estimate(t *rapid.T) minutes.Estimate {
	low := rapid.Float64Range(0, 60).Draw(t, "low")
	a := rapid.Float64Range(0, 60).Draw(t, "to likely")
	b := rapid.Float64Range(0, 120).Draw(t, "to high")
	return minutes.Estimate{Low: low, Likely: low + a, High: low + a + b}
}

func TestGridKeepsMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := estimate(t)
		n := rapid.Float64Range(0.1, 12).Draw(t, "units")
		d := minutes.Prepare(e).Grid(n)
		var sum float64
		for _, p := range d.P {
			if p < 0 {
				t.Fatalf("negative probability in %v", d)
			}
			sum += p
		}
		if math.Abs(sum-1) > 1e-7 {
			t.Fatalf("%v × %v: probabilities add up to %v", e, n, sum)
		}
		if got, want := d.Mean(), e.Times(n).Mean(); math.Abs(got-want) > 1e-5*(1+want) {
			t.Fatalf("%v × %v: mean %v, want %v", e, n, got, want)
		}
		extra := d.Variance() - e.Times(n).Variance()
		if slack := 1e-3 + 3e-6*d.Variance(); extra < -slack || extra > 0.25+slack {
			t.Fatalf("%v × %v: the grid adds %v to the variance, want 0 to 1/4", e, n, extra)
		}
	})
}

// The grid against the curve itself (gonum's regularised incomplete beta): no
// point of the distribution function may be further off than half a minute of
// density.
func TestGridFollowsCurve(t *testing.T) {
	for _, e := range []minutes.Estimate{{10, 12, 14}, {48, 80, 160}, {30, 45, 120}, {5, 5, 20}, {10, 20, 20}, {0, 240, 300}} {
		d := minutes.Prepare(e).Grid(1)
		steepest := 0.0
		for _, p := range d.P {
			steepest = math.Max(steepest, p)
		}
		for x := e.Low; x <= e.High; x++ {
			near(t, e, "CDF", d.CDF(x), e.CDF(x), steepest/3)
		}
	}
}

// Sums against an independent double loop, and against the moments.
func TestSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := minutes.Prepare(estimate(t)).Grid(1)
		b := minutes.Prepare(estimate(t)).Grid(1)
		got := minutes.Sum(a, b)
		want := map[int]float64{}
		for i, p := range a.P {
			for j, q := range b.P {
				want[a.First+i+b.First+j] += p * q
			}
		}
		for k, p := range want {
			var have float64
			if i := k - got.First; i >= 0 && i < len(got.P) {
				have = got.P[i]
			}
			if math.Abs(have-p) > 2e-8 {
				t.Fatalf("minute %d: got %v, want %v", k, have, p)
			}
		}
		if m := a.Mean() + b.Mean(); math.Abs(got.Mean()-m) > 1e-5 {
			t.Fatalf("mean %v, want %v", got.Mean(), m)
		}
		if v := a.Variance() + b.Variance(); math.Abs(got.Variance()-v) > 1e-2 {
			t.Fatalf("variance %v, want %v", got.Variance(), v)
		}
	})
}

func TestMix(t *testing.T) {
	a, b := minutes.Exactly(10), minutes.Exactly(20.5)
	got := minutes.Mix([]float64{0.25, 0.5, 0.25, 0}, []minutes.Distribution{a, b, {}, minutes.Exactly(500)})
	near(t, "mixture", "mean", got.Mean(), 0.25*10+0.5*20.5, 1e-12)
	near(t, "mixture", "nothing", got.CDF(0.4), 0.25*0.9, 1e-12)
	if got.First != 0 || len(got.P) != 22 {
		t.Errorf("grid from %d, %d long; want from 0, 22 long", got.First, len(got.P))
	}
	near(t, "empty mixture", "mean", minutes.Mix(nil, nil).Mean(), 0, 0)
}

func TestQuantileInvertsCDF(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := minutes.Sum(minutes.Prepare(estimate(t)).Grid(1), minutes.Exactly(3))
		p := rapid.Float64Range(0.001, 0.999).Draw(t, "p")
		if got := d.CDF(d.Quantile(p)); math.Abs(got-p) > 1e-6 {
			t.Fatalf("CDF(Quantile(%v)) = %v", p, got)
		}
	})
}
