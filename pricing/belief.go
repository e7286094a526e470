package pricing

import "math"

// table is how likely each description is chosen, by what was really there:
// table[real][chosen], both from 0.
type table [4][4]float64

func answersOf(b book) table {
	var t table
	for g := range 4 {
		t[g] = b.Answers.Chosen[g+1]
	}
	return t
}

// belief is what we think of the car's state.
type belief struct {
	// state is the probability of each overall state.
	state []float64
	// grade[a][s] are the probabilities of the four grades of area a in state s.
	grade [][][4]float64
	// told tells for each area whether anybody said or saw anything.
	told []bool
}

// usual is for each area and state how common the grades are.
func usual(b book) [][][4]float64 {
	out := make([][][4]float64, len(b.Areas))
	for a, rule := range b.Areas {
		for _, state := range b.States {
			u, ok := rule.Usual[state.ID]
			if !ok {
				u = state.Grades
			}
			out[a] = append(out[a], u)
		}
	}
	return out
}

// believe weighs what was said and seen: p(grade | state) ∝ usual × P(answer |
// grade), and each state by how well it explains all of it.
func (r *Rules) believe(e *Enquiry) belief {
	areas, states := len(r.book.Areas), len(r.book.States)
	b := belief{told: make([]bool, areas), grade: make([][][4]float64, areas), state: make([]float64, states)}
	for s := range b.state {
		b.state[s] = r.book.States[s].Share
	}
	all := make([][4]float64, areas*states)
	for a := range r.book.Areas {
		b.grade[a], all = all[:states:states], all[states:]
		weight, told := r.evidence(e, &r.book.Areas[a])
		b.told[a] = told
		for s := range b.state {
			b.state[s] *= weigh(&b.grade[a][s], r.usual[a][s], weight)
		}
	}
	r.remember(e.Earlier, b.state)
	scale(b.state)
	return b
}

// lastTime is how much having seen a car the last time counts for, against seeing
// it now. Common practice, no source.
const lastTime = 0.5

// remember weighs the overall states by how the car was found the last time: who
// kept it then is likely to keep it now. It moves what is expected of every area a
// little, and of none for sure.
func (r *Rules) remember(earlier map[Area]Grade, state []float64) {
	if len(earlier) == 0 {
		return
	}
	for a := range r.book.Areas {
		g := earlier[r.book.Areas[a].ID]
		if g < Light || g > Severe {
			continue
		}
		for s := range state {
			state[s] *= math.Pow(max(r.usual[a][s][g-1], tiny), lastTime)
		}
	}
}

// evidence is how likely what we know of an area is at each grade.
func (r *Rules) evidence(e *Enquiry, a *AreaRule) (weight [4]float64, told bool) {
	if g := e.Graded[a.ID]; g != Unknown {
		weight[g-1] = 1
		return weight, true
	}
	said := a.counted(e.Said[a.ID])
	if said == Unknown {
		return [4]float64{1, 1, 1, 1}, false
	}
	answers := r.answersAbout(a.ID)
	for g := range weight {
		weight[g] = answers[g][said-1]
	}
	return weight, true
}

// counted is the grade an answer stands for.
func (a *AreaRule) counted(answer Grade) Grade {
	if g, ok := a.CountsAs[int(answer)]; ok {
		return g
	}
	return answer
}

// tiny keeps a grade possible that the usual shares rule out but the owner saw.
const tiny = 1e-6

// weigh writes usual × weight, scaled to one, and returns what it was before.
func weigh(out *[4]float64, usual, weight [4]float64) float64 {
	var sum float64
	for g := range out {
		out[g] = max(usual[g], tiny) * weight[g]
		sum += out[g]
	}
	scale(out[:])
	return sum
}

// scale makes the numbers add up to one.
func scale(p []float64) {
	var sum float64
	for _, x := range p {
		sum += x
	}
	if sum <= 0 {
		return
	}
	for i := range p {
		p[i] /= sum
	}
}

// marginal are an area's probabilities over all states.
func (b belief) marginal(a int) (p [4]float64) {
	for s, w := range b.state {
		for g := range p {
			p[g] += w * b.grade[a][s][g]
		}
	}
	return p
}

// likeliest is the most probable grade, the lighter of two that are equal.
func likeliest(p [4]float64) Grade {
	at := 0
	for g := range p {
		if p[g] > p[at]+1e-12 {
			at = g
		}
	}
	return Grade(at + 1)
}
