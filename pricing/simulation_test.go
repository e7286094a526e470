package pricing_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/dryhand/pricing"
	"gonum.org/v1/gonum/stat/distuv"
)

// world makes cars and customers.
type world struct {
	r   *pricing.Rules
	rnd *rand.Rand
	// kind is how often a customer says one less than what is there, on top of
	// the table; 0 is the table alone.
	kind float64
	// alike is how often all areas of a car are in the same state.
	alike float64
}

func (w world) pick(p []float64) int {
	u := w.rnd.Float64()
	for i, x := range p {
		if u -= x; u < 0 {
			return i
		}
	}
	return len(p) - 1
}

func (w world) beta(a, b float64) float64 {
	return distuv.Beta{Alpha: a, Beta: b, Src: w.rnd}.Rand()
}

// car is what is really there, and what its owner says.
func (w world) car() (truth, said map[pricing.Area]pricing.Grade) {
	truth, said = map[pricing.Area]pricing.Grade{}, map[pricing.Area]pricing.Grade{}
	s := w.pick(w.r.States())
	alike := w.rnd.Float64() < w.alike
	whole := pricing.Grade(1 + w.pick(slice(w.r.Usual(pricing.Paintwork, s))))
	for _, a := range w.r.Areas() {
		g := pricing.Grade(1 + w.pick(slice(w.r.Usual(a.ID, s))))
		if alike && !a.OnlyIfTold {
			g = whole
		}
		truth[a.ID], said[a.ID] = g, w.answer(g)
		// An answer that stands for another grade tells less than the table says;
		// such cars are left to the flags.
		if len(a.CountsAs) > 0 && said[a.ID] == pricing.Severe {
			said[a.ID] = pricing.Unknown
		}
	}
	return truth, said
}

func slice(p [4]float64) []float64 { return p[:] }

func (w world) answer(g pricing.Grade) pricing.Grade {
	if w.kind > 0 {
		if w.rnd.Float64() < w.kind {
			return max(1, g-1)
		}
		return g
	}
	return pricing.Grade(1 + w.pick(slice(w.r.Answers(g))))
}

// coverage is how often the minutes really taken lie between P10 and P90 of
// quotes by the given rules.
func (w world) coverage(t *testing.T, by *pricing.Rules, n int) float64 {
	t.Helper()
	inside := 0
	for range n {
		truth, said := w.car()
		e := pricing.Enquiry{Vehicle: hatch(), Wants: []string{"exterior", "interior", "headlights"}, Said: said, Site: pricing.Site{Own: true}}
		q := quote(t, by, e)
		took := by.Draw(e, truth, w.beta)
		if took >= q.Minutes.P10 && took <= q.Minutes.P90 {
			inside++
		}
	}
	return float64(inside) / float64(n)
}

// jobs are gradings of that many cars on arrival.
func (w world) jobs(n int) []pricing.Grading {
	var out []pricing.Grading
	for range n {
		truth, said := w.car()
		for _, a := range w.r.Areas() {
			if slices.Contains([]pricing.Area{pricing.Paintwork, pricing.Wheels, pricing.Interior, pricing.Headlights}, a.ID) {
				out = append(out, pricing.Grading{Said: said[a.ID], Seen: truth[a.ID]})
			}
		}
	}
	return out
}

// If the world is as the rules have it, eight jobs in ten end between P10 and
// P90, to within three in a hundred.
func TestCoverage(t *testing.T) {
	r := pricing.DefaultRules()
	w := world{r: r, rnd: rand.New(rand.NewPCG(20261125, 4))}
	const n = 3000
	if got := w.coverage(t, r, n); math.Abs(got-0.8) > 0.03 {
		t.Errorf("%.3f of %d jobs lie between P10 and P90, want 0.80 ± 0.03", got, n)
	} else {
		t.Logf("%.3f of %d jobs lie between P10 and P90", got, n)
	}
}

// If it is not: three in ten understate by one, and in half the cars all areas
// are alike. The shipped table takes people to be kinder to their cars than that, so
// that ranges are too wide at first; after twenty jobs they must be right. How
// strongly neglect is shared is not learned, as learning moves the table of answers
// and nothing else; it must not make that worse. Each figure is the mean over ten
// lots of twenty jobs.
func TestCoverageInAnotherWorld(t *testing.T) {
	r := pricing.DefaultRules()
	for _, x := range []struct {
		name              string
		kind, alike       float64
		from, to, further float64
	}{
		{"as the rules have it", 0, 0, 0.75, 0.85, 0.05},
		{"three in ten understate", 0.3, 0, 0.75, 0.85, 0},
		{"neglect shared more strongly", 0, 0.5, 0.70, 0.85, 0.05},
		{"both", 0.3, 0.5, 0.75, 0.87, 0},
	} {
		w := world{r: r, rnd: rand.New(rand.NewPCG(7, 11)), kind: x.kind, alike: x.alike}
		const lots, n = 10, 200
		before := w.coverage(t, r, lots*n)
		after := 0.0
		for range lots {
			after += w.coverage(t, r.Learned(w.jobs(20)), n) / lots
		}
		t.Logf("%s: %.3f between P10 and P90 before, %.3f after learning from 20 jobs", x.name, before, after)
		if after < x.from || after > x.to || math.Abs(after-0.8) > math.Abs(before-0.8)+x.further {
			t.Errorf("%s: %.3f before, %.3f after", x.name, before, after)
		}
	}
}

// The exact distribution against 10,000 draws of the same job, side by side.
func BenchmarkExactAgainstDrawing(b *testing.B) {
	r := pricing.DefaultRules()
	e := everything(r)
	b.Run("exact", func(b *testing.B) {
		for b.Loop() {
			if _, err := r.Quote(e); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("10000 draws", func(b *testing.B) {
		w := world{r: r, rnd: rand.New(rand.NewPCG(1, 2))}
		cars := make([]map[pricing.Area]pricing.Grade, 10000)
		for i := range cars {
			cars[i], _ = w.car()
		}
		for b.Loop() {
			took := r.DrawMany(e, cars, w.beta)
			slices.Sort(took)
			if took[1000] >= took[9000] {
				b.Fatal("P10 is not below P90")
			}
		}
	})
}
