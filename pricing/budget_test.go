package pricing_test

import (
	"slices"
	"testing"

	"example.org/dryhand/pricing"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

func fitted(t testing.TB, r *pricing.Rules, e pricing.Enquiry) pricing.Fitted {
	t.Helper()
	f, err := r.Fit(e)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Against trying every choice with the convolution carried out in full: always
// the highest value, and of equal ones the fewest minutes.
func TestFitEqualsTrying(t *testing.T) {
	r := pricing.DefaultRules()
	fits, most, asked := 0, 0, 0
	for _, wants := range [][]string{{"headlights", "wheels", "interior-dry"}, {"interior", "headlights", "engine-bay"}, {"exterior"}, {"wheels", "trim", "glass", "headlights"}} {
		for _, grade := range []pricing.Grade{0, 1, 2, 3} {
			e := pricing.Enquiry{Vehicle: hatch(), Wants: wants, Site: pricing.Site{Own: true}, Said: map[pricing.Area]pricing.Grade{
				pricing.Paintwork: grade, pricing.Wheels: grade, pricing.Interior: grade, pricing.Headlights: grade, pricing.Trim: grade}}
			for e.Budget = 6000; e.Budget <= 16000; e.Budget += 1700 {
				_, best := r.BestByTrying(e)
				got := r.Chosen(e)
				if d := cmp.Diff(best, got, cmpopts.EquateApprox(0, 1e-6)); d != "" {
					t.Errorf("%v, grade %d, for %v: -tried +got:\n%s", wants, grade, e.Budget, d)
				}
				if best.Value > 0 {
					fits++
				}
				most = max(most, r.Candidates(e))
				asked++
			}
		}
	}
	t.Logf("%d choices of up to %d candidates, %d with something that fits", asked, most, fits)
	if fits < 60 || most < 14 {
		t.Errorf("only %d with something that fits, up to %d candidates", fits, most)
	}
}

// The same for enquiries of every kind, as long as they are small enough to try.
// Here it is counted how often the room asked for by mean and spread decides.
func TestEveryFitEqualsTrying(t *testing.T) {
	r := pricing.DefaultRules()
	tried, decided := 0, 0
	try := func(t *rapid.T) {
		e := anyEnquiry(t, r)
		e.Budget = pricing.Pence(rapid.Int64Range(6000, 30000).Draw(t, "budget"))
		q, err := r.Quote(e)
		if err != nil {
			t.Fatal(err)
		}
		if q.Refused != "" || r.Candidates(e) > 12 {
			return
		}
		tried++
		prudent, best := r.BestByTrying(e)
		if prudent != best {
			decided++
		}
		if d := cmp.Diff(prudent, r.Chosen(e), cmpopts.EquateApprox(0, 1e-6)); d != "" {
			t.Fatalf("-tried +got:\n%s", d)
		}
	}
	// About one in four is small enough to try. Chance may leave few in one lot.
	for lots := 0; tried < 10 && lots < 8 && !t.Failed(); lots++ {
		rapid.Check(t, try)
	}
	t.Logf("%d tried; in %d of them the convolution alone would have let more through", tried, decided)
	if tried < 10 {
		t.Errorf("only %d were small enough to try", tried)
	}
}

func TestEveryFitIsSound(t *testing.T) {
	r := pricing.DefaultRules()
	rapid.Check(t, func(t *rapid.T) {
		e := anyEnquiry(t, r)
		e.Budget = pricing.Pence(rapid.Int64Range(1, 90000).Draw(t, "budget"))
		f, err := r.Fit(e)
		if err != nil {
			t.Fatal(err)
		}
		if f.Gap != 0 {
			t.Fatalf("gap %v after %d nodes", f.Gap, f.Nodes)
		}
		if f.Quote.Refused != "" {
			return
		}
		if !f.Fits {
			if f.Quote.Price.High <= e.Budget && f.Sure >= r.Quotes.BudgetConfidence {
				t.Fatalf("does not fit %v, and yet costs %v", e.Budget, f.Quote.Price)
			}
			return
		}
		if f.Sure < r.Quotes.BudgetConfidence {
			t.Fatalf("within %v with probability %v only", e.Budget, f.Sure)
		}
		if f.Quote.Price.High > e.Budget || f.Quote.Price.Likely > f.Quote.Price.High || f.Quote.Price.Low > f.Quote.Price.Likely {
			t.Fatalf("for %v: %+v", e.Budget, f.Quote.Price)
		}
		var sum pricing.Pence
		for _, l := range f.Quote.In {
			sum += l.Price
		}
		if sum != f.Quote.Price.Likely {
			t.Fatalf("lines add up to %v, likely is %v", sum, f.Quote.Price.Likely)
		}
		soundScope(t, r, e, f.Quote)
	})
}

func squeezed(budget pricing.Pence) pricing.Enquiry {
	return pricing.Enquiry{
		Vehicle: hatch(), Wants: []string{"exterior", "interior", "headlights", "wheels"}, Budget: budget, Site: pricing.Site{Own: true},
		Said: map[pricing.Area]pricing.Grade{pricing.Paintwork: 2, pricing.Wheels: 3, pricing.Interior: 2, pricing.Headlights: 3},
	}
}

func TestBudgetDecidesScope(t *testing.T) {
	r := pricing.DefaultRules()
	whole := quote(t, r, squeezed(0))
	if f := fitted(t, r, squeezed(0)); len(f.Quote.In) != len(whole.In) || !f.Fits {
		t.Errorf("without a budget: %v", tasks(f.Quote))
	}
	if f := fitted(t, r, squeezed(50000)); len(f.Quote.In) != len(whole.In) || len(f.Further) != 0 {
		t.Errorf("£500: %v, further %v", tasks(f.Quote), f.Further)
	}
	f := fitted(t, r, squeezed(10000))
	if !f.Fits || len(f.Quote.In) >= len(whole.In) || len(f.Quote.In) < 5 {
		t.Fatalf("£100 of %v: %v", whole.Price.Likely, tasks(f.Quote))
	}
	dropped := 0
	for _, l := range f.Quote.Out {
		if l.Why == r.Quotes.LeftBudget {
			dropped++
			if l.Adds <= 0 && l.Task != "tar" {
				t.Errorf("%s would add %v", l.Task, l.Adds)
			}
		}
	}
	if dropped == 0 || len(f.Further) == 0 {
		t.Errorf("dropped %d, £20 more brings %v", dropped, f.Further)
	}
}

// What matters to the customer stays in when money is short.
func TestPrioritiesDecide(t *testing.T) {
	r := pricing.DefaultRules()
	for _, a := range []pricing.Area{pricing.Headlights, pricing.Interior, pricing.Wheels} {
		kept := func(e pricing.Enquiry) (v float64) {
			for _, l := range fitted(t, r, e).Quote.In {
				if task, _ := r.Task(l.Task); task.Area == a {
					v += l.Minutes
				}
			}
			return v
		}
		e := squeezed(9000)
		without := kept(e)
		e.Priorities = []pricing.Area{a}
		if with := kept(e); with < without {
			t.Errorf("%s: %.0f minutes as a priority, %.0f otherwise", a, with, without)
		}
	}
}

func TestNothingFits(t *testing.T) {
	r := pricing.DefaultRules()
	f := fitted(t, r, squeezed(3000))
	if f.Fits || len(f.Quote.In) == 0 {
		t.Errorf("£30: fits %v, %v", f.Fits, tasks(f.Quote))
	}
	// The smallest job costs the minimum charge.
	if f.Quote.Price.Likely != r.Money.Minimum {
		t.Errorf("the smallest job costs %v, want %v", f.Quote.Price.Likely, r.Money.Minimum)
	}
}

// For a figure below anything, the smallest job is the most to be had for what the
// cheapest costs: the same as somebody gets who has just that.
func TestSmallestJobIsWorthIt(t *testing.T) {
	r := pricing.DefaultRules()
	small := 0
	rapid.Check(t, func(t *rapid.T) {
		e := anyEnquiry(t, r)
		e.Budget = pricing.Pence(rapid.Int64Range(1, 9000).Draw(t, "budget"))
		f, err := r.Fit(e)
		if err != nil {
			t.Fatal(err)
		}
		if f.Fits || f.Quote.Refused != "" {
			return
		}
		small++
		e.Budget = f.Quote.Price.High
		again, err := r.Fit(e)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(tasks(again.Quote), tasks(f.Quote)); d != "" {
			t.Fatalf("for %v: -fitted +smallest:\n%s", e.Budget, d)
		}
	})
	t.Logf("%d were below anything", small)
	if small < 10 {
		t.Errorf("only %d were below anything", small)
	}
	e := pricing.Enquiry{Vehicle: hatch(), Wants: []string{"exterior", "interior"}, Budget: 1500, Site: pricing.Site{Own: true}}
	f := fitted(t, r, e)
	if in := tasks(f.Quote); !slices.Contains(in, "vacuum") && !slices.Contains(in, "wash") || len(in) < 5 {
		t.Errorf("the smallest job of outside and inside is %v", in)
	}
}

// Nobody is offered foam or a pre-wash that nothing washes off, or a drying
// without a wash: common practice, no source.
func TestNoWetWorkAlone(t *testing.T) {
	r := pricing.DefaultRules()
	rapid.Check(t, func(t *rapid.T) {
		e := anyEnquiry(t, r)
		e.Wants = append(e.Wants, "exterior", "polish")
		e.Budget = pricing.Pence(rapid.Int64Range(1, 20000).Draw(t, "budget"))
		f, err := r.Fit(e)
		if err != nil {
			t.Fatal(err)
		}
		in := tasks(f.Quote)
		for _, id := range []string{"pre-wash", "foam", "dry"} {
			if slices.Contains(in, id) && !slices.Contains(in, "wash") {
				t.Fatalf("%s without a wash, for %v: %v", id, e.Budget, in)
			}
		}
	})
}

// More money never buys less value.
func TestMoreMoneyBuysMore(t *testing.T) {
	r := pricing.DefaultRules()
	last := 0.0
	for b := pricing.Pence(6000); b <= 24000; b += 500 {
		v := r.Chosen(squeezed(b)).Value
		if v < last-1e-9 {
			t.Errorf("%v buys %.2f, £5 less bought %.2f", b, v, last)
		}
		last = v
	}
	if !slices.Contains(tasks(fitted(t, r, squeezed(24000)).Quote), "lamps-polish") {
		t.Error("£240 do not buy the headlights")
	}
}

func BenchmarkFit(b *testing.B) {
	r := pricing.DefaultRules()
	for _, x := range []struct {
		name   string
		e      pricing.Enquiry
		budget pricing.Pence
	}{{"usual", squeezed(10000), 10000}, {"everything", everything(r), 40000}} {
		b.Run(x.name, func(b *testing.B) {
			x.e.Budget = x.budget
			b.ReportAllocs()
			f := fitted(b, r, x.e)
			b.ReportMetric(float64(f.Nodes), "nodes")
			for b.Loop() {
				if _, err := r.Fit(x.e); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// A level asked for by its own name comes before the others; that makes the dearer ones
// none that a figure could fall back on, and they are still offered.
func TestABudgetDoesNotGoAboveWhatIsNamed(t *testing.T) {
	rules := pricing.DefaultRules()
	e := pricing.Enquiry{Vehicle: pricing.VehicleFromBody(pricing.Hatchback, 3950), Wants: []string{"interior", "fabric-shampoo"},
		Said: map[pricing.Area]pricing.Grade{pricing.Interior: pricing.Poor}, Site: pricing.Site{Own: true, Tap: true, Socket: true}, Budget: 20000}
	f, err := rules.Fit(e)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(f.Quote.In, func(l pricing.Line) bool { return l.Task == "fabric-shampoo" }) {
		t.Errorf("what was named is not in it: %v", f.Quote.In)
	}
	if !slices.ContainsFunc(f.Quote.Out, func(l pricing.Left) bool { return l.Task == "fabric-extract" && l.Adds > 0 }) {
		t.Errorf("the step above it is not offered: %v", f.Quote.Out)
	}
}
