package pricing_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/pricing"
)

// hair is a car for a wash and a hoover with a dog's hair in it.
func hair(budget pricing.Pence, named ...string) pricing.Enquiry {
	return pricing.Enquiry{
		Vehicle: hatch(), Wants: []string{"exterior", "interior"}, Budget: budget, Site: pricing.Site{Own: true}, Named: named,
		Said: map[pricing.Area]pricing.Grade{pricing.Paintwork: 2, pricing.Interior: 2, pricing.PetHair: 3},
	}
}

// What was named goes before what was not, as far as the money reaches, and what it does
// not reach is said with what all of it would cost.
func TestNamedGoesFirst(t *testing.T) {
	r := pricing.DefaultRules()
	has := func(f pricing.Fitted, id string) bool { return slices.Contains(tasks(f.Quote), id) }
	if f := fitted(t, r, hair(6000)); has(f, "vacuum") || len(f.Missed) != 0 {
		t.Errorf("nothing named, and £60 buys %v and misses %v: the test below shows nothing", tasks(f.Quote), f.Missed)
	}
	f := fitted(t, r, hair(6000, "vacuum", "pet-hair"))
	if !has(f, "vacuum") || !has(f, "pet-hair-out") || len(f.Missed) != 0 {
		t.Errorf("hoover and hair for £60: %v, missed %v", tasks(f.Quote), f.Missed)
	}
	f = fitted(t, r, hair(6000, "wash", "vacuum", "pet-hair"))
	missed := 0
	for _, id := range []string{"wash", "vacuum", "pet-hair-out"} {
		if !has(f, id) {
			missed++
		}
	}
	if missed != 1 || len(f.Missed) != 1 || f.Named.Likely <= 6000 || f.Named.High < f.Named.Likely {
		t.Errorf("all three for £60: %v, missed %v at %v", tasks(f.Quote), f.Missed, f.Named)
	}
	if again := fitted(t, r, hair(f.Named.High, "wash", "vacuum", "pet-hair")); len(again.Missed) != 0 {
		t.Errorf("what they cost, %v, misses %v", f.Named.High, again.Missed)
	}
	if f := fitted(t, r, hair(2000, "vacuum")); f.Fits || f.Named.Likely != 0 && len(f.Missed) == 0 {
		t.Errorf("for £20: fits %v, missed %v at %v", f.Fits, f.Missed, f.Named)
	}
}

// Another level of the named is not what was named: that it is in does not hide that the
// other is not.
func TestAnotherLevelIsNotTheNamed(t *testing.T) {
	r := pricing.DefaultRules()
	e := hair(7000, "wash", "vacuum", "wax")
	e.Wants = append(e.Wants, "wax")
	f := fitted(t, r, e)
	if !slices.ContainsFunc(f.Missed, func(l pricing.Left) bool { return l.Task == "wax" }) || slices.Contains(tasks(f.Quote), "wax") {
		t.Errorf("£70: %v, missed %v", tasks(f.Quote), f.Missed)
	}
	e.Site = pricing.Site{Tap: true, Socket: true, Surface: "shared", Drain: "surface"}
	e.Wants, e.Named, e.Budget, e.Said = []string{"exterior", "interior"}, []string{"wash"}, 9000, map[pricing.Area]pricing.Grade{pricing.Paintwork: 1, pricing.Interior: 2}
	if f := fitted(t, r, e); f.Quote.Refused != "" || !slices.Contains(tasks(f.Quote), "low-water-wash") || len(f.Missed) != 0 {
		t.Errorf("without water: %v, missed %v, refused %q", tasks(f.Quote), f.Missed, f.Quote.Refused)
	}
}

// How much it counts is the owner's to say.
func TestNamedCountsByTheRules(t *testing.T) {
	src := strings.Replace(string(pricing.DefaultYAML()), "named-counts: 10", "named-counts: 1 ", 1)
	r, err := pricing.ParseRules("rules.yaml", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	plain, named := fitted(t, r, hair(6000)), fitted(t, r, hair(6000, "vacuum", "pet-hair"))
	if !slices.Equal(tasks(plain.Quote), tasks(named.Quote)) {
		t.Errorf("counted once, %v and %v", tasks(plain.Quote), tasks(named.Quote))
	}
}

// What up to £20 more would buy is bought together with all that is in, for the step that is named.
func TestFurtherIsBoughtTogether(t *testing.T) {
	r := pricing.DefaultRules()
	some := 0
	for budget := pricing.Pence(6000); budget <= 14000; budget += 500 {
		f := fitted(t, r, hair(budget, "wash"))
		if !f.Fits || len(f.Further) == 0 {
			continue
		}
		some++
		if f.Step <= 0 || f.Step > pricing.NextStep {
			t.Errorf("%v: a step of %v", budget, f.Step)
		}
		e := hair(budget+f.Step, "wash")
		// Wanted by name and nothing else, so that it can only be had as it was promised.
		e.Wants = nil
		raised := map[string]bool{}
		for _, l := range f.Further {
			e.Wants = append(e.Wants, l.Task)
			if x, _ := r.Task(l.Task); x.Family != "" {
				raised[x.Family] = true
			}
		}
		for _, id := range tasks(f.Quote) {
			if x, ok := r.Task(id); ok && !raised[x.Family] && !x.Always {
				e.Wants = append(e.Wants, id)
			}
		}
		more := fitted(t, r, e)
		for _, id := range e.Wants {
			if !slices.Contains(tasks(more.Quote), id) {
				t.Errorf("%v: %v more was to buy %v beside %v, and %s is not in", budget, f.Step, f.Further, tasks(f.Quote), id)
			}
		}
	}
	if some < 5 {
		t.Errorf("only %d figures with anything further", some)
	}
}
