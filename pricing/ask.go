package pricing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Question is one area nobody has told us about.
type Question struct {
	Area Area
	// Moves is by how much knowing the answer moves the likely price: the
	// standard deviation over the answers, weighed by how likely each is. Its
	// square is the expected drop in the variance of the price.
	Moves Pence
}

// Next is what is worth asking.
type Next struct {
	// Ask are the questions that can change the price, the best first.
	Ask []Question
	// Spread is the standard deviation of the price as things are, also for
	// things in the car that nobody has mentioned yet.
	Spread Pence
	// Enough: likely and most are near enough together, and no question would
	// move the price much. Asking on would cost the customer more than it tells.
	Enough bool
}

// NextQuestions ranks what to ask next by how much the answer would tell about
// the price. Questions that cannot change it are left out.
func (r *Rules) NextQuestions(e Enquiry) (Next, error) {
	if err := r.Check(e); err != nil {
		return Next{}, fmt.Errorf("pricing: reading the enquiry: %w", err)
	}
	j := r.newJob(&e)
	defer j.done()
	j.choose()
	var n Next
	now := j.variance()
	variance := now
	touched := make([]bool, len(r.book.Areas))
	for _, w := range e.Wants {
		r.touch(w, touched)
	}
	for a, rule := range r.book.Areas {
		if !touched[a] || !j.open(a) {
			continue
		}
		moves := j.moved(a)
		if q := (Question{rule.ID, pence(math.Sqrt(moves))}); q.Moves > 0 {
			n.Ask = append(n.Ask, q)
		}
		if rule.OnlyIfTold {
			variance += moves
		}
	}
	slices.SortStableFunc(n.Ask, func(a, b Question) int { return cmp.Compare(b.Moves, a.Moves) })
	n.Spread = pence(math.Sqrt(variance))
	// Half the distance that is near enough is what a single answer may still move.
	narrow := r.Quotes.NarrowEnough
	n.Enough = len(n.Ask) == 0 || distance(now) <= narrow && n.Ask[0].Moves < narrow/2
	return n, nil
}

// open tells whether nothing is known yet of an area this car has.
func (j *job) open(a int) bool {
	noSoftTop := j.r.book.Areas[a].ID == SoftTop && j.e.Vehicle.SoftTopArea() == 0
	return !j.know.told[a] && !noSoftTop
}

// moved is the variance of the likely price over the answers to one question.
func (j *job) moved(a int) float64 {
	var mean, square float64
	for answer := Light; answer <= Severe; answer++ {
		then := j.answered(a, answer)
		p := j.chance(a, answer)
		x := then.mean(then.in)
		mean += p * x
		square += p * x * x
	}
	return math.Max(0, square-mean*mean)
}

// answered is the job as it is after an answer. What is wanted and how large the car is
// stay the same.
func (j *job) answered(a int, answer Grade) *job {
	rule := &j.r.book.Areas[a]
	e, then := *j.e, *j
	e.Said = withAnswer(j.e.Said, rule.ID, answer)
	then.e, then.refused, then.notes = &e, "", nil
	then.assess()
	if len(rule.Raises) > 0 {
		then.raise()
		then.measure()
	}
	then.choose()
	return &then
}

func withAnswer(said map[Area]Grade, a Area, answer Grade) map[Area]Grade {
	out := map[Area]Grade{a: answer}
	for k, v := range said {
		if k != a {
			out[k] = v
		}
	}
	return out
}

// chance is how likely an answer is, by what we think of the area.
func (j *job) chance(a int, answer Grade) float64 {
	var p float64
	answers := j.r.answersAbout(j.r.book.Areas[a].ID)
	for g, w := range j.odds[a] {
		p += w * answers[g][answer-1]
	}
	return p
}

// variance is that of the price of the job as chosen, in square pence.
func (j *job) variance() float64 {
	c := j.candidates()
	c.weigh()
	chosen := make([]bool, len(c.tasks))
	for k, i := range c.tasks {
		chosen[k] = j.in[i]
	}
	_, sd := c.problem.Total(chosen)
	sd *= j.r.vat()
	return sd * sd
}

// distance is how far the most it can cost is from the likely price, taking the
// sum for nearly normal. The price itself is worked out exactly when it is named.
func distance(variance float64) Pence {
	const p90 = 1.2816 // the normal quantile
	return pence(p90 * math.Sqrt(variance))
}
