package conversations

import (
	"errors"
	"testing"

	"example.org/dryhand/pricing"
)

// The same price by the same rules is reckoned once, another one anew, and one that
// could not be reckoned again.
func TestReckonedOnce(t *testing.T) {
	var known map[reckoning]int
	one, other := pricing.DefaultRules(), pricing.DefaultRules()
	wash, polish := pricing.Enquiry{Wants: []string{"exterior"}}, pricing.Enquiry{Wants: []string{"polish"}}
	times := 0
	count := func(pricing.Enquiry) (int, error) { times++; return times, nil }
	for i, x := range []struct {
		by   *pricing.Rules
		e    pricing.Enquiry
		want int
	}{{one, wash, 1}, {one, wash, 1}, {other, wash, 2}, {one, polish, 3}, {other, wash, 2}, {one, wash, 1}} {
		if got, err := reckoned(&known, x.by, x.e, count); got != x.want || err != nil {
			t.Errorf("%d: got %d, %v; want %d", i, got, err, x.want)
		}
	}
	broken := errors.New("broken")
	budget := pricing.Enquiry{Budget: 1}
	if _, err := reckoned(&known, one, budget, func(pricing.Enquiry) (int, error) { return 0, broken }); !errors.Is(err, broken) {
		t.Errorf("got %v", err)
	}
	if got, err := reckoned(&known, one, budget, count); got != 4 || err != nil {
		t.Errorf("after an error: got %d, %v; want 4", got, err)
	}
}

// Whoever was handed a price may change its lists; the next one is handed what was
// reckoned.
func TestWhatIsHandedOutIsOnesOwn(t *testing.T) {
	turn := &turn{Talk: Talk{Rules: pricing.DefaultRules(), Worked: new(Worked)}}
	e := pricing.Enquiry{Vehicle: pricing.VehicleFromBody(pricing.Hatchback, 0), Wants: []string{"exterior", "interior"}, Site: pricing.Site{Own: true}}
	for round := range 2 {
		q, err := turn.quoted(e)
		if err != nil || len(q.In) < 2 || len(q.Out) == 0 || q.In[0].Words == "" || q.Out[0].Words == "" {
			t.Fatalf("round %d: %v, %+v", round, err, q)
		}
		q.In[0].Words, q.Out[0].Words = "", ""
		clear(q.Grades)
		next, err := turn.nextQuestions(e)
		if err != nil || len(next.Ask) == 0 || next.Ask[0].Area == "" {
			t.Fatalf("round %d: %v, %+v", round, err, next)
		}
		next.Ask[0].Area = ""
	}
	if len(turn.Worked.fits) != 1 || len(turn.Worked.nexts) != 1 {
		t.Errorf("reckoned %d prices and %d questions, want one each", len(turn.Worked.fits), len(turn.Worked.nexts))
	}
}
