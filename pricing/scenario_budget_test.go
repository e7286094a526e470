package pricing_test

import (
	"slices"
	"testing"

	"example.org/dryhand/pricing"
)

// The reference cases with their figures: what an experienced detailer chose, and
// what is chosen here. Where they differ, the comment says who is right.
func TestScenarioBudgets(t *testing.T) {
	saloon, mpv := pricing.VehicleFromBody(pricing.Saloon, 4850), pricing.VehicleFromBody(pricing.MPV, 4850)
	black := []string{"dark-paint", "compressed-air", "deep-scratches", "brush-wash"}
	drive := pricing.Site{Miles: 12, Tap: true, Socket: true, Surface: "driveway"}
	tests := []struct {
		name           string
		e              pricing.Enquiry
		in, out        []string
		minutes, price [2]float64
		note           string // what differs from the reference, and who is right
	}{
		{
			// The same in all: one round of polish and the coating, time-boxed to stay
			// within £600; two rounds are named as left out.
			"S5, £600", pricing.Enquiry{Vehicle: saloon, Wants: []string{"polish", "wheels", "polish-two-step", "ceramic-coating"}, Flags: black, Budget: 60000,
				Site: pricing.Site{Own: true}, Graded: map[pricing.Area]pricing.Grade{"paintwork": 2, "wheels": 2, "swirls": 3}},
			[]string{"polish-one-step", "ceramic-coating", "wheels-full", "water-marks"}, []string{"polish-two-step", "wheel-seal"},
			[2]float64{492, 666}, [2]float64{560, 600}, "",
		},
		{
			// The car must be seen here as there, as water gets in and somebody was sick.
			// The detailer treats the mould and washes out two of the seven places; here
			// a task is done on the whole car or not at all, so the whole inside dry, the
			// stains and the smell go into £200, and the mould is what £20 more buys.
			// He is right: without the mould the rest is wasted. A person decides there
			// anyway, as no price is named before the car is seen.
			"S7, £200", pricing.Enquiry{Vehicle: mpv, Wants: []string{"interior-deep"}, Flags: []string{"body-fluids", "leak", "asthma", "child-seats"}, Budget: 20000,
				Site: drive, Graded: map[pricing.Area]pricing.Grade{"interior": 3, "pet-hair": 1, "stains": 3, "smell": 3, "mould": 3, "paintwork": 2}},
			[]string{"vacuum", "stains-out", "smell-out"}, []string{"fabric-extract", "plastics-deep", "mould-out"},
			[2]float64{150, 242}, [2]float64{150, 200},
			"the reference washes out the two worst places and treats the mould; tasks here are for the whole car, so the whole inside is done dry and the mould is named as left out. The reference is right",
		},
	}
	r := pricing.DefaultRules()
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := fitted(t, r, tt.e)
			if tt.note != "" {
				t.Logf("differs: %s", tt.note)
			}
			t.Logf("likely %.0f minutes, %v, at most %v: %v", f.Quote.Minutes.Likely, f.Quote.Price.Likely, f.Quote.Price.High, tasks(f.Quote))
			for _, id := range tt.in {
				if !slices.Contains(tasks(f.Quote), id) {
					t.Errorf("%s is not in", id)
				}
			}
			for _, id := range tt.out {
				if _, ok := left(f.Quote, id); !ok {
					t.Errorf("%s is not named among what is left out", id)
				}
			}
			if m := f.Quote.Minutes.Likely; !f.Fits || m < tt.minutes[0] || m > tt.minutes[1] {
				t.Errorf("fits %v, likely %.0f minutes, want %v", f.Fits, m, tt.minutes)
			}
			for _, p := range []pricing.Pence{f.Quote.Price.Likely, f.Quote.Price.High} {
				if x := float64(p) / 100; x < tt.price[0] || x > tt.price[1] {
					t.Errorf("price %v, want £%v", p, tt.price)
				}
			}
		})
	}
}

// For a fixed figure, open-ended work gets the time it usually takes; where the
// whole fits, and without a figure, it takes what it takes.
func TestTimeBox(t *testing.T) {
	r := pricing.DefaultRules()
	e := pricing.Enquiry{Vehicle: hatch(), Wants: []string{"polish"}, Site: pricing.Site{Own: true}, Graded: map[pricing.Area]pricing.Grade{"paintwork": 2, "swirls": 3}}
	boxed := func(q pricing.Quote) (at, mean float64) {
		for _, l := range q.In {
			if l.Task == "polish-one-step" {
				return l.AtMost, l.Minutes
			}
		}
		t.Fatalf("no polishing in %v", tasks(q))
		return 0, 0
	}
	free := quote(t, r, e)
	if at, _ := boxed(free); at != 0 {
		t.Errorf("without a figure: stops after %v", at)
	}
	_, usual := boxed(free)
	e.Budget = 2 * free.Price.High
	if at, _ := boxed(fitted(t, r, e).Quote); at != 0 {
		t.Errorf("for twice the price: stops after %v", at)
	}
	// 22 minutes a square metre is the likely figure in the rules for marks of the
	// third kind.
	e.Budget = free.Price.Likely
	at, mean := boxed(fitted(t, r, e).Quote)
	if want := 22 * hatch().PaintedArea(); at < want-0.01 || at > want+0.01 || mean >= at || mean >= usual {
		t.Errorf("stops after %.1f, on average after %.1f; want %.1f, and less than %.1f on average", at, mean, want, usual)
	}
}

// Whatever the figure, a car that is washed is dried: nobody is offered the one for less
// and the other for more. Common practice, no source.
func TestWashedIsDried(t *testing.T) {
	r := pricing.DefaultRules()
	washed := 0
	for pounds := pricing.Pence(30); pounds <= 150; pounds += 5 {
		e := pricing.Enquiry{Vehicle: hatch(), Wants: []string{"exterior", "interior"}, Site: pricing.Site{Own: true}, Budget: pounds * 100,
			Said: map[pricing.Area]pricing.Grade{"paintwork": 3, "interior": 4}}
		in := tasks(fitted(t, r, e).Quote)
		if slices.Contains(in, "wash") {
			washed++
			if !slices.Contains(in, "dry") {
				t.Errorf("for £%d: %v", pounds, in)
			}
		}
	}
	if washed == 0 {
		t.Error("nothing was ever washed")
	}
}
