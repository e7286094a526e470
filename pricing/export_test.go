package pricing

import (
	"math"

	"example.org/dryhand/pricing/minutes"
	"gonum.org/v1/gonum/stat/distuv"
)

// OpenEVNames are the cars whose figures are said to come from Open EV Data.
func OpenEVNames() []string {
	var out []string
	for _, c := range newGarage().cars {
		if c.source == "openev" {
			out = append(out, c.Name)
		}
	}
	return out
}

// Scope is what a choice for a budget is worth and takes; nothing, if nothing
// fits.
type Scope struct{ Value, Minutes, Gap float64 }

// BestByTrying is the best choice of the candidates that stays within the budget
// by the convolution carried out in full, by trying them all; with the room asked
// for by mean and spread, and without.
func (r *Rules) BestByTrying(e Enquiry) (prudent, best Scope) {
	j := r.newJob(&e)
	j.choose()
	c := j.squeeze().choice
	if len(c.tasks) > 16 {
		panic("too many candidates to try")
	}
	p := c.problem
	p.Budget, p.Z = float64(e.Budget)/r.vat(), max(0, distuv.UnitNormal.Quantile(r.Quotes.BudgetConfidence)-luck)
	for mask := range 1 << len(c.tasks) {
		chosen := make([]bool, len(c.tasks))
		for k := range chosen {
			chosen[k] = mask>>k&1 == 1
		}
		with := *j
		with.in = c.spread(chosen)
		s := c.scope(with.in)
		if !c.allowed(chosen) || !c.worthwhile(chosen) || !s.better(best) && !s.better(prudent) || with.inFull(e.Budget) < r.Quotes.BudgetConfidence {
			continue
		}
		if s.better(best) {
			best = s
		}
		// What has to be set up hangs on what is chosen.
		f, fits := with.frame(), p
		fits.Base, fits.BaseVar = c.money+f.Mean()*j.perMinute(), (f.Variance()+onGrid)*j.perMinute()*j.perMinute()
		if s.better(prudent) && fits.Fits(chosen) {
			prudent = s
		}
	}
	return prudent, best
}

// better is more value, or the same in fewer minutes.
func (s Scope) better(than Scope) bool {
	return s.Value > than.Value+1e-6 || s.Value > than.Value-1e-6 && s.Minutes < than.Minutes-1e-6
}

// worthwhile tells whether there is anything to see of the work.
func (c *choice) worthwhile(chosen []bool) bool {
	for k, it := range c.problem.Items {
		if chosen[k] && !it.Must && it.Value > 0 {
			return true
		}
	}
	return false
}

// inFull is the probability that the price stays within a budget, from the
// distribution of every area and state summed up without any short cut.
func (j *job) inFull(budget Pence) float64 {
	if budget < pence(j.r.gross(0)) {
		return 0
	}
	states := make([]minutes.Distribution, len(j.know.state))
	for s := range states {
		states[s] = j.frame()
		for a := -1; a < len(j.r.book.Areas); a++ {
			var byGrade [4]minutes.Distribution
			odds, any := [4]float64{1}, false
			if a >= 0 {
				odds = j.know.grade[a][s]
			}
			for i, on := range j.in {
				for g := range 4 {
					if t := &j.r.tasks[i]; on && t.area == a && t.present[g] {
						byGrade[g], any = minutes.Sum(byGrade[g], j.grid(i, g, j.weight(i))), true
					}
				}
			}
			if any {
				states[s] = minutes.Sum(states[s], minutes.Mix(odds[:], byGrade[:]))
			}
		}
	}
	return minutes.Mix(j.know.state, states).CDF((float64(budget)/j.r.vat() - j.fixed()) / j.perMinute())
}

func (c *choice) allowed(chosen []bool) bool {
	family := map[int]bool{}
	for k, it := range c.problem.Items {
		if it.Must && !chosen[k] {
			return false
		}
		if !chosen[k] {
			continue
		}
		if it.Family != 0 && family[it.Family] {
			return false
		}
		family[it.Family] = true
		for _, group := range it.Needs {
			met := false
			for _, n := range group {
				met = met || chosen[n]
			}
			if !met {
				return false
			}
		}
	}
	return true
}

// Chosen is the choice made for a budget.
func (r *Rules) Chosen(e Enquiry) Scope {
	j := r.newJob(&e)
	defer j.done()
	j.choose()
	c := j.squeeze()
	in, best := c.within(e.Budget)
	s := c.scope(in)
	s.Gap = best.Gap
	return s
}

func (c *choice) scope(in []bool) (s Scope) {
	for k, i := range c.tasks {
		if in != nil && in[i] {
			s.Value += c.problem.Items[k].Value
			s.Minutes += c.problem.Items[k].Effort
		}
	}
	return s
}

// States are the overall states with their shares, and Usual the shares of the
// grades of an area in a state.
func (r *Rules) States() []float64 {
	var out []float64
	for _, s := range r.book.States {
		out = append(out, s.Share)
	}
	return out
}

func (r *Rules) Usual(a Area, s int) [4]float64 {
	state := r.book.States[s]
	for _, rule := range r.book.Areas {
		if u, ok := rule.Usual[state.ID]; ok && rule.ID == a {
			return u
		}
	}
	return state.Grades
}

// Answers are the shares of answers for what is really there.
func (r *Rules) Answers(g Grade) [4]float64 { return r.answers[g-1] }

// Draw plays the job of an enquiry once on a car that really is like truth, and
// returns its minutes. draw returns a draw from a beta distribution.
func (r *Rules) Draw(e Enquiry, truth map[Area]Grade, draw func(alpha, beta float64) float64) float64 {
	return r.DrawMany(e, []map[Area]Grade{truth}, draw)[0]
}

// DrawMany is [Rules.Draw] on many cars; the job is worked out once.
func (r *Rules) DrawMany(e Enquiry, truths []map[Area]Grade, draw func(alpha, beta float64) float64) []float64 {
	j := r.newJob(&e)
	j.choose()
	out := make([]float64, len(truths))
	for k, truth := range truths {
		out[k] = once(j.setUp().Estimate(), draw)
		for i, on := range j.in {
			t := &r.tasks[i]
			g := Light
			if t.area >= 0 {
				g = truth[t.Area]
			}
			if on && t.present[g-1] {
				out[k] += j.units[i] * once(t.shapes[g-1].Estimate(), draw)
			}
		}
	}
	return out
}

func once(m minutes.Estimate, draw func(alpha, beta float64) float64) float64 {
	a, b, ok := m.Shape()
	if !ok {
		return m.Low
	}
	return m.Low + (m.High-m.Low)*draw(a, b)
}

// Candidates is how many tasks and levels of tasks a budget chooses from.
func (r *Rules) Candidates(e Enquiry) int {
	j := r.newJob(&e)
	j.choose()
	return len(j.candidates().tasks)
}

// Normal is the mean and the standard deviation after n values of mean y, each
// spread by sigma, on a normal belief before.
func Normal(mean, sd, sigma float64, n int, y float64) (float64, float64) {
	p := Pace{With: map[Area]float64{"": float64(n) * (y - mean)}, Cross: map[Area]map[Area]float64{"": {"": float64(n)}}}
	_, m, c := p.after(paceBelief{shared: sd / 2, own: sd * math.Sqrt(0.75), spread: sigma})
	return mean + m.AtVec(0), math.Sqrt(c.At(0, 0))
}

// Moved is a row of a table of answers after counts, the table's row worth so many.
func Moved(row [4]float64, counts [4]int, worth float64) [4]float64 {
	return table{row}.moved(Gradings{counts}, [4]float64{1}, worth)[0]
}

// AnswersAbout are the shares of answers for what is really there in an area.
func (r *Rules) AnswersAbout(a Area, g Grade) [4]float64 { return r.answersAbout(a)[g-1] }

// Grading is an area as the customer described it and as the owner found it.
type Grading struct {
	Said, Seen Grade
}

// Learned are the rules with the one table all areas start from moved by gradings,
// of whatever areas, as a layer moves it.
func (r *Rules) Learned(gradings []Grading) *Rules {
	var counts table
	for _, x := range gradings {
		if x.Said >= Light && x.Said <= Severe && x.Seen >= Light && x.Seen <= Severe {
			counts[x.Seen-1][x.Said-1]++
		}
	}
	learned := *r
	learned.answers = r.answers.learned(&counts, r.book.Answers.Worth)
	return &learned
}
