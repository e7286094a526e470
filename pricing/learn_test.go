package pricing_test

import (
	"maps"
	"math"
	"slices"
	"testing"

	"example.org/dryhand/pricing"
	"pgregory.net/rapid"
)

// answered are gradings of one real state, said to be that.
func answered(seen, said pricing.Grade, n int) []pricing.Grading {
	return slices.Repeat([]pricing.Grading{{Said: said, Seen: seen}}, n)
}

func TestNothingLearned(t *testing.T) {
	r := pricing.DefaultRules()
	none := r.Learned(append(answered(3, 0, 10), answered(0, 3, 10)...))
	none = none.Learned(answered(1, 9, 10))
	for g := pricing.Light; g <= pricing.Severe; g++ {
		for a, p := range none.Answers(g) {
			if math.Abs(p-r.Answers(g)[a]) > 1e-12 {
				t.Errorf("without a grading, %d is now said to be %d in %v of 1", g, a+1, p)
			}
		}
	}
}

// Against the urn: each answer is drawn from the table and the answers before it,
// one by one; what is learned is the mean over the kinds of people, each as likely
// as it makes all the answers together.
func TestLearnedAsFromAnUrn(t *testing.T) {
	r := pricing.DefaultRules()
	const worth = 8 // as in the rules file
	rapid.Check(t, func(t *rapid.T) {
		var all []pricing.Grading
		for range rapid.IntRange(0, 60).Draw(t, "gradings") {
			all = append(all, pricing.Grading{Said: pricing.Grade(rapid.IntRange(1, 4).Draw(t, "said")), Seen: pricing.Grade(rapid.IntRange(1, 4).Draw(t, "seen"))})
		}
		var want [4][4]float64
		var total float64
		for i := range 25 {
			times := 0.4 + 0.05*float64(i)
			var urn, drawn [4][4]float64
			for g := range urn {
				var sum float64
				for a, p := range r.Answers(pricing.Grade(g + 1)) {
					urn[g][a] = times * p
					if a == g {
						urn[g][a] = math.Max(0, 1-times*(1-p))
					}
					sum += urn[g][a]
				}
				for a := range urn[g] {
					urn[g][a] *= worth / sum
					drawn[g][a] = math.Max(urn[g][a], worth*1e-3)
				}
			}
			likely := 1.0
			for _, x := range all {
				g, a := x.Seen-1, x.Said-1
				likely *= drawn[g][a] / (drawn[g][0] + drawn[g][1] + drawn[g][2] + drawn[g][3])
				drawn[g][a]++
				urn[g][a]++
			}
			total += likely
			for g := range urn {
				for a := range urn[g] {
					want[g][a] += likely * urn[g][a] / (urn[g][0] + urn[g][1] + urn[g][2] + urn[g][3])
				}
			}
		}
		got := r.Learned(all)
		for g := range want {
			for a, p := range got.Answers(pricing.Grade(g + 1)) {
				if math.Abs(p-want[g][a]/total) > 1e-9 {
					t.Fatalf("%d is said to be %d: learned %v, want %v", g+1, a+1, p, want[g][a]/total)
				}
			}
		}
	})
}

// Who is frank about one state is likely to be frank about the others.
func TestFranknessIsShared(t *testing.T) {
	r := pricing.DefaultRules()
	frank, kind := r.Learned(answered(3, 3, 15)), r.Learned(answered(3, 1, 15))
	for _, g := range []pricing.Grade{pricing.Fair, pricing.Severe} {
		before := r.Answers(g)[g-1]
		if f, k := frank.Answers(g)[g-1], kind.Answers(g)[g-1]; f < before+0.05 || k > before-0.05 {
			t.Errorf("%d is said to be that in %.2f, after frank people %.2f, after kind ones %.2f", g, before, f, k)
		}
	}
	if again := r.Answers(pricing.Poor); again != pricing.DefaultRules().Answers(pricing.Poor) {
		t.Errorf("learning changed the rules learned from: %v", again)
	}
}

// What somebody has described decides which work is done there: not how the rest
// of the car is.
func TestSaidDecidesAboutItsArea(t *testing.T) {
	r := pricing.DefaultRules()
	inside := []pricing.Area{pricing.Interior}
	work := func(said map[pricing.Area]pricing.Grade) (in []string) {
		q := quote(t, r, pricing.Enquiry{Vehicle: hatch(), Wants: []string{"interior", "exterior", "headlights", "trim"}, Said: said, Site: pricing.Site{Own: true}})
		for _, id := range tasks(q) {
			if task, _ := r.Task(id); slices.Contains(inside, task.Area) {
				in = append(in, id)
			}
		}
		return in
	}
	others := []pricing.Area{pricing.Paintwork, pricing.Wheels, pricing.Headlights, pricing.Trim, pricing.PetHair, pricing.Stains, pricing.Smell}
	for own := pricing.Light; own <= pricing.Severe; own++ {
		alone := work(map[pricing.Area]pricing.Grade{pricing.Interior: own})
		for rest := pricing.Light; rest <= pricing.Poor; rest++ {
			said := map[pricing.Area]pricing.Grade{pricing.Interior: own}
			for _, a := range others {
				said[a] = rest
			}
			if with := work(said); !slices.Equal(alone, with) {
				t.Errorf("inside said to be %d: %v; with the rest said to be %d: %v", own, alone, rest, with)
			}
		}
	}
}

// The probabilities, and with them minutes and price, do hang on the rest of the
// car: who lets everything go is likely to have been kind about the inside too.
func TestTheRestOfTheCarMovesThePrice(t *testing.T) {
	r := pricing.DefaultRules()
	said := map[pricing.Area]pricing.Grade{pricing.Interior: pricing.Fair}
	price := func() (float64, [4]float64) {
		q := quote(t, r, pricing.Enquiry{Vehicle: hatch(), Wants: []string{"interior"}, Said: maps.Clone(said), Site: pricing.Site{Own: true}})
		return q.Minutes.Likely, q.Grades[pricing.Interior]
	}
	alone, before := price()
	said[pricing.Paintwork], said[pricing.Wheels] = pricing.Poor, pricing.Poor
	with, after := price()
	if with <= alone || after[2] <= before[2] {
		t.Errorf("%.0f minutes, %.2f; with the outside let go %.0f minutes, %.2f", alone, before, with, after)
	}
}
