package pricing_test

import (
	"slices"
	"testing"

	"example.org/dryhand/pricing"
	"pgregory.net/rapid"
)

func next(t testing.TB, r *pricing.Rules, e pricing.Enquiry) pricing.Next {
	t.Helper()
	n, err := r.NextQuestions(e)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// truths are cars as they are: the three reference cases (S1, S5, S7) and ten
// made up here.
func truths() []struct {
	name  string
	body  pricing.Body
	wants []string
	says  map[pricing.Area]pricing.Grade
} {
	type g = map[pricing.Area]pricing.Grade
	return []struct {
		name  string
		body  pricing.Body
		wants []string
		says  map[pricing.Area]pricing.Grade
	}{
		{"S1 selling", pricing.Hatchback, []string{"exterior", "interior", "headlights"}, g{"paintwork": 2, "wheels": 3, "headlights": 3, "interior": 2, "pet-hair": 1, "stains": 2, "smell": 1, "mould": 1}},
		{"S5 black saloon", pricing.Saloon, []string{"polish", "wheels", "ceramic-coating"}, g{"paintwork": 2, "swirls": 3, "wheels": 2}},
		{"S7 family", pricing.MPV, []string{"interior-deep"}, g{"paintwork": 2, "interior": 3, "pet-hair": 1, "stains": 3, "smell": 3, "mould": 3}},
		{"dog owner", pricing.Estate, []string{"interior"}, g{"interior": 3, "pet-hair": 4, "stains": 2, "smell": 3, "mould": 1}},
		{"kept roadster", pricing.Roadster, []string{"exterior", "soft-top", "protection"}, g{"paintwork": 1, "wheels": 1, "soft-top": 1}},
		{"green roof", pricing.Convertible, []string{"exterior", "soft-top"}, g{"paintwork": 3, "wheels": 3, "soft-top": 4}},
		{"van", pricing.Van, []string{"exterior", "interior-dry"}, g{"paintwork": 3, "wheels": 3, "interior": 4, "pet-hair": 1, "stains": 2, "smell": 2, "mould": 1}},
		{"commuter", pricing.Hatchback, []string{"exterior", "interior-dry"}, g{"paintwork": 2, "wheels": 2, "interior": 2, "pet-hair": 1, "stains": 1, "smell": 1, "mould": 1}},
		{"trader", pricing.Saloon, []string{"exterior", "interior-deep", "headlights", "engine-bay"}, g{"paintwork": 3, "wheels": 3, "headlights": 4, "interior": 3, "pet-hair": 2, "stains": 2, "smell": 2, "mould": 1, "engine-bay": 3}},
		{"school run", pricing.SUV, []string{"interior"}, g{"interior": 3, "pet-hair": 1, "stains": 3, "smell": 1, "mould": 1}},
		{"garage queen", pricing.Coupe, []string{"polish", "protection"}, g{"paintwork": 1, "swirls": 2, "wheels": 1}},
		{"grey plastic", pricing.SUV, []string{"exterior", "trim", "glass"}, g{"paintwork": 2, "wheels": 2, "trim": 4, "glass": 2}},
		{"everything", pricing.Convertible, []string{"exterior", "interior", "headlights", "soft-top", "wheels", "protection"}, g{"paintwork": 3, "wheels": 3, "headlights": 2, "soft-top": 3, "interior": 2, "pet-hair": 1, "stains": 1, "smell": 1, "mould": 1}},
	}
}

// How many questions it takes until the spread of the price has come down three
// quarters of the way to where it is when everything has been answered: in the
// fixed order of the rules file, and asked best first.
func TestFewerQuestionsThanFixedOrder(t *testing.T) {
	r := pricing.DefaultRules()
	inOrder := func(n pricing.Next) pricing.Area {
		for _, a := range r.Areas() {
			if slices.ContainsFunc(n.Ask, func(q pricing.Question) bool { return q.Area == a.ID }) {
				return a.ID
			}
		}
		return ""
	}
	bestFirst := func(n pricing.Next) pricing.Area { return n.Ask[0].Area }
	fixedSum, bestSum, worse := 0, 0, 0
	for _, x := range truths() {
		e := pricing.Enquiry{Vehicle: pricing.VehicleFromBody(x.body, 0), Wants: x.wants, Site: pricing.Site{Own: true}}
		fixed, best := spreads(t, r, e, x.says, inOrder), spreads(t, r, e, x.says, bestFirst)
		end := fixed[len(fixed)-1]
		near := end + max(0, fixed[0]-end)/4
		f, b := until(fixed, near), until(best, near)
		t.Logf("%-16s %2d questions; fixed order %d, best first %d; spread %v to %v", x.name, len(fixed)-1, f, b, fixed[0], end)
		fixedSum += f
		bestSum += b
		if b > f {
			worse++
		}
	}
	t.Logf("together: fixed order %d, best first %d; best first was slower in %d of %d", fixedSum, bestSum, worse, len(truths()))
	if bestSum >= fixedSum || worse > len(truths())/4 {
		t.Errorf("fixed order %d, best first %d, slower in %d", fixedSum, bestSum, worse)
	}
}

// spreads are the standard deviations of the price before, between and after the
// questions.
func spreads(t *testing.T, r *pricing.Rules, e pricing.Enquiry, says map[pricing.Area]pricing.Grade, pick func(pricing.Next) pricing.Area) []pricing.Pence {
	t.Helper()
	e.Said = map[pricing.Area]pricing.Grade{}
	for out := []pricing.Pence{}; ; {
		n := next(t, r, e)
		out = append(out, n.Spread)
		if len(n.Ask) == 0 {
			return out
		}
		a := pick(n)
		answer, ok := says[a]
		if !ok {
			t.Fatalf("nobody knows the answer about %s", a)
		}
		e.Said[a] = answer
	}
}

// until is after how many questions the spread is near enough, and stays so.
func until(spread []pricing.Pence, near pricing.Pence) int {
	n := len(spread) - 1
	for n > 0 && spread[n-1] <= near {
		n--
	}
	return n
}

func TestQuestionsEnd(t *testing.T) {
	r := pricing.DefaultRules()
	rapid.Check(t, func(t *rapid.T) {
		e := anyEnquiry(t, r)
		for range len(r.Areas()) + 1 {
			n, err := r.NextQuestions(e)
			if err != nil {
				t.Fatal(err)
			}
			if len(n.Ask) == 0 {
				if !n.Enough {
					t.Fatal("nothing to ask, and not enough known")
				}
				return
			}
			for i, q := range n.Ask {
				if e.Graded[q.Area] != 0 || e.Said[q.Area] != 0 {
					t.Fatalf("%s is asked and known", q.Area)
				}
				if i > 0 && q.Moves > n.Ask[i-1].Moves {
					t.Fatalf("out of order: %v", n.Ask)
				}
			}
			e.Said[n.Ask[0].Area] = pricing.Grade(rapid.IntRange(1, 4).Draw(t, "answer"))
		}
		t.Fatal("the questions do not end")
	})
}

// What cannot change the price is never asked.
func TestOnlyWhatMatters(t *testing.T) {
	r := pricing.DefaultRules()
	e := pricing.Enquiry{Vehicle: hatch(), Wants: []string{"headlights", "soft-top"}, Site: pricing.Site{Own: true}}
	n := next(t, r, e)
	if len(n.Ask) > 1 || len(n.Ask) == 1 && n.Ask[0].Area != pricing.Headlights {
		t.Errorf("for the headlights of a hatchback: %+v", n.Ask)
	}
	if n := next(t, r, pricing.Enquiry{Vehicle: hatch(), Site: pricing.Site{Own: true}}); len(n.Ask) != 0 {
		t.Errorf("nothing is wanted, and asked is %+v", n.Ask)
	}
}

func BenchmarkNextQuestions(b *testing.B) {
	r := pricing.DefaultRules()
	e := everything(r)
	for b.Loop() {
		if _, err := r.NextQuestions(e); err != nil {
			b.Fatal(err)
		}
	}
}
