package pricing_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.org/dryhand/pricing"
)

// Three answers, of which nothing is known, and 1447 people who gave 727, 583 and
// 137 of them: Gelman and others, Bayesian Data Analysis, third edition, section
// 3.4. The means after are those of Dirichlet(728, 584, 138).
func TestGradingsAgainstTheTextbook(t *testing.T) {
	third := 1.0 / 3
	got := pricing.Moved([4]float64{third, third, third}, [4]int{727, 583, 137}, 3)
	for i, want := range []float64{.502069, .402759, .095172, 0} {
		if math.Abs(got[i]-want) > 5e-7 {
			t.Errorf("share %d: %.7f, want %.6f", i, got[i], want)
		}
	}
}

// Normal updates with a known spread; see testdata/pricing/README.md.
func TestPaceAgainstWorkedExamples(t *testing.T) {
	rows := readCSV(t, "normal_normal.csv")
	if len(rows) < 3 {
		t.Fatalf("%d examples", len(rows))
	}
	for _, row := range rows {
		mean, sd := pricing.Normal(number(t, row["prior_mean"]), number(t, row["prior_sd"]), number(t, row["sigma"]), int(number(t, row["n"])), number(t, row["ybar"]))
		if math.Abs(mean/number(t, row["post_mean"])-1) > 1e-9 || math.Abs(sd/number(t, row["post_sd"])-1) > 1e-9 {
			t.Errorf("%s: %.9f ± %.9f, want %s ± %s", row["name"], mean, sd, row["post_mean"], row["post_sd"])
		}
	}
}

// A single kind of work of 60 minutes that took 70, 82, 66 and 75, each with 10 of
// setting up, is the update above with the beliefs the desk has.
func TestPaceOfFourJobs(t *testing.T) {
	var p pricing.Pace
	for _, took := range []float64{70, 82, 66, 75} {
		p.Add(pricing.Timing{Parts: map[pricing.Area]float64{pricing.Interior: 60}, Fixed: 10, Taken: 10 + took})
	}
	f := p.Factors()[pricing.Interior]
	mean, sd := pricing.Normal(math.Log(60), 0.3, 0.15, 4, (math.Log(70)+math.Log(82)+math.Log(66)+math.Log(75))/4)
	if got := math.Log(60 * f.Times); math.Abs(got-mean) > 1e-9 || math.Abs(f.SD-sd) > 1e-9 || f.Jobs != 4 {
		t.Errorf("the logarithm is %.9f ± %.9f on %d jobs, want %.9f ± %.9f", got, f.SD, f.Jobs, mean, sd)
	}
}

// Whoever is quick inside and slow outside is found out from whole jobs alone.
func TestPaceTellsAreasApart(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 5))
	var p pricing.Pace
	for range 200 {
		in, out := 10+170*rnd.Float64(), 10+170*rnd.Float64()
		took := (0.8*in + 1.25*out) * math.Exp(0.1*rnd.NormFloat64())
		p.Add(pricing.Timing{Parts: map[pricing.Area]float64{pricing.Interior: in, pricing.Paintwork: out}, Fixed: 5, Taken: 5 + took})
	}
	f := p.Factors()
	if got := f[pricing.Interior].Times; math.Abs(got-0.8) > 0.08 {
		t.Errorf("inside %.3f, want about 0.8", got)
	}
	if got := f[pricing.Paintwork].Times; math.Abs(got-1.25) > 0.08 {
		t.Errorf("outside %.3f, want about 1.25", got)
	}
}

// The same job teaches the same, to the last bit: what is stored is compared.
func TestPaceIsTheSameEveryTime(t *testing.T) {
	parts := map[pricing.Area]float64{}
	for i, a := range pricing.DefaultRules().Areas() {
		parts[a.ID] = 10 + float64(i)/3
	}
	var first pricing.Pace
	first.Add(pricing.Timing{Parts: parts, Fixed: 5, Taken: 150})
	for range 100 {
		var p pricing.Pace
		p.Add(pricing.Timing{Parts: parts, Fixed: 5, Taken: 150})
		if d := cmp.Diff(first, p); d != "" {
			t.Fatalf("once and again:\n%s", d)
		}
	}
}

// Slips of the thumb and jobs without work teach nothing.
func TestPaceLeavesNonsenseAlone(t *testing.T) {
	var p pricing.Pace
	for _, took := range []float64{0, 1, 6000} {
		p.Add(pricing.Timing{Parts: map[pricing.Area]float64{pricing.Interior: 60}, Taken: took})
	}
	p.Add(pricing.Timing{Fixed: 5, Taken: 60})
	if f := p.Factors(); len(f) != 0 {
		t.Errorf("learnt %v", f)
	}
}

// After twenty jobs of customers three in ten of whom understate by one, agreed to
// in all areas graded, eight jobs in ten end between P10 and P90 again, to within
// five in a hundred. The mean over ten lots of twenty jobs.
func TestTwentyJobsUnderALayer(t *testing.T) {
	r := pricing.DefaultRules()
	w := world{r: r, rnd: rand.New(rand.NewPCG(7, 11)), kind: 0.3}
	const lots, n = 10, 300
	before := w.coverage(t, r, lots*n)
	after := 0.0
	for range lots {
		l := pricing.Layer{Version: 1, Answers: map[pricing.Area]pricing.Gradings{}}
		for range 20 {
			truth, said := w.car()
			for _, a := range []pricing.Area{pricing.Paintwork, pricing.Wheels, pricing.Interior, pricing.Headlights, pricing.Stains, pricing.PetHair, pricing.Trim} {
				g := l.Answers[a]
				g.Count(truth[a], said[a])
				l.Answers[a] = g
			}
		}
		if err := r.CheckLayer(l); err != nil {
			t.Fatal(err)
		}
		after += w.coverage(t, r.Under(l), n) / lots
	}
	t.Logf("%.3f between P10 and P90 before, %.3f after twenty jobs", before, after)
	if math.Abs(after-0.8) > 0.05 {
		t.Errorf("%.3f after twenty jobs, want 0.80 ± 0.05 (%.3f before)", after, before)
	}
}

// How a car was found the last time moves what is expected of it this time, less
// than what is said of it now, and nothing where it was not seen.
func TestEarlierIsOnlyAPrior(t *testing.T) {
	r := pricing.DefaultRules()
	at := func(earlier, said map[pricing.Area]pricing.Grade) float64 {
		e := pricing.Enquiry{Vehicle: hatch(), Wants: []string{"interior"}, Said: said, Earlier: earlier, Site: pricing.Site{Own: true}}
		return quote(t, r, e).Minutes.Likely
	}
	grades := func(g pricing.Grade) map[pricing.Area]pricing.Grade {
		return map[pricing.Area]pricing.Grade{pricing.Interior: g, pricing.Paintwork: g}
	}
	kept, unknown, letGo := at(grades(1), nil), at(nil, nil), at(grades(4), nil)
	if !(kept < unknown && unknown < letGo) {
		t.Errorf("kept %.1f, unknown %.1f, let go %.1f minutes", kept, unknown, letGo)
	}
	said := map[pricing.Area]pricing.Grade{pricing.Interior: pricing.Poor}
	if a, b := at(grades(1), said)-kept, unknown-kept; a < b {
		t.Errorf("what is said moves it by %.1f, what was found the last time by %.1f", a, b)
	}
	graded := pricing.Enquiry{Vehicle: hatch(), Wants: []string{"interior"}, Site: pricing.Site{Own: true}, Graded: map[pricing.Area]pricing.Grade{}}
	for _, a := range r.Areas() {
		graded.Graded[a.ID] = pricing.Fair
	}
	was := quote(t, r, graded).Minutes
	graded.Earlier = grades(4)
	if is := quote(t, r, graded).Minutes; !cmp.Equal(is, was, cmpopts.EquateApprox(0, 1e-9)) {
		t.Errorf("everything is seen, and the last time still moves it from %v to %v", was, is)
	}
}
