package pricing

import (
	"cmp"
	"fmt"
	"slices"

	"example.org/dryhand/pricing/minutes"
)

// Quote prices what is wanted, whatever it costs. The error joins [FieldError]s
// that say what is wrong with the enquiry.
func (r *Rules) Quote(e Enquiry) (Quote, error) {
	if err := r.Check(e); err != nil {
		return Quote{}, fmt.Errorf("pricing: reading the enquiry: %w", err)
	}
	j := r.newJob(&e)
	defer j.done()
	j.choose()
	return j.quote(), nil
}

// quote makes a quote of a job whose tasks are chosen.
func (j *job) quote() Quote {
	q := Quote{Rules: j.r.version, Refused: j.refused, Notes: j.notes, Grades: j.grades()}
	j.applyFlags(&q)
	if q.Refused == "" && !j.anyWork() {
		q.Refused = j.r.Quotes.Nothing
	}
	q.Out = j.left()
	if q.Refused != "" {
		return q
	}
	j.price(&q)
	q.In = j.lines(q.Price.Likely)
	q.Because = j.drivers()
	q.NeedToSee = j.mustSee()
	for i, on := range j.in {
		t := &j.r.tasks[i]
		if on && t.Wont != "" && j.grade(i) >= Fair {
			q.WontComeOut = append(q.WontComeOut, t.Wont)
		}
		if on && t.Dries != "" {
			q.Notes = append(q.Notes, t.Dries)
		}
	}
	return q
}

// price fills in minutes and money.
func (j *job) price(q *Quote) {
	var taken minutes.Blend
	taken, j.bill = j.total()
	m := &q.Minutes
	at := j.space.Quantiles(taken, .1, .9, .5, .8)
	m.P10, m.P90, m.P50, m.P80 = at[0], at[1], at[2], at[3]
	m.Likely = j.likely()
	q.Price.Low, q.Price.Likely, q.Price.High = j.priced()
}

// priced turns the charged minutes into what is asked: the likely price to the
// nearest step, the most it can cost up, the least it may cost down.
func (j *job) priced() (low, likely, high Pence) {
	fixed, step := j.fixed(), j.r.Money.RoundTo
	at := func(m float64) Pence { return pence(j.r.gross(m*j.perMinute() + fixed)) }
	likely = pence(j.mean(j.in)).Near(step)
	ends := j.space.Quantiles(j.bill, .1, .9)
	low = min(at(ends[0]).down(step), likely)
	high = max(at(ends[1]).Up(step), likely)
	return low, likely, high
}

// applyFlags writes what the flags say.
func (j *job) applyFlags(q *Quote) {
	for _, f := range j.flags {
		switch f.Outcome {
		case Refuse:
			q.Refused = f.Words
		case Refer:
			q.Refer = append(q.Refer, Referral{f.ID, f.Words})
		case Note:
			if f.Words != "" {
				q.Notes = append(q.Notes, f.Words)
			}
		}
	}
}

// mustSee is why no fixed price can be named before the car is seen: a flag, or
// two areas at severe.
func (j *job) mustSee() string {
	for _, f := range j.flags {
		if f.Outcome == See {
			return cmp.Or(f.Plain, f.Words)
		}
	}
	severe := 0
	for a, rule := range j.r.book.Areas {
		g := j.e.Graded[rule.ID]
		if g == Unknown {
			g = rule.counted(j.e.Said[rule.ID])
		}
		if g == Severe && j.touches(a) {
			severe++
		}
	}
	if severe >= 2 {
		return j.r.Quotes.SeeFirst
	}
	return ""
}

// touches tells whether any chosen task depends on an area.
func (j *job) touches(a int) bool {
	for i, on := range j.in {
		if on && j.r.tasks[i].area == a {
			return true
		}
	}
	return false
}

// grades are the probabilities of the areas the work depends on.
func (j *job) grades() map[Area][4]float64 {
	out := map[Area][4]float64{}
	for a, rule := range j.r.book.Areas {
		if j.touches(a) {
			out[rule.ID] = j.odds[a]
		}
	}
	return out
}

// lines are the parts of the likely price, set-up first.
func (j *job) lines(likely Pence) []Line {
	setUp := j.setUp().Estimate().Mean()
	lines := []Line{{Task: "set-up", Words: j.r.Place.SetUp, Minutes: setUp}}
	exact := []float64{setUp * j.perMinute()}
	for i, on := range j.in {
		if on {
			m := j.expected(i)
			lines = append(lines, Line{Task: j.r.tasks[i].ID, Words: j.r.tasks[i].Words, Minutes: m, AtMost: j.boxes[i].minutes})
			exact = append(exact, j.cost(i, m))
		}
	}
	for _, f := range j.flags {
		if m := flagMinutes(f); m > 0 || f.Charge > 0 {
			lines = append(lines, Line{Task: f.ID, Words: f.Words, Minutes: m})
			exact = append(exact, m*j.perMinute()+float64(f.Charge))
		}
	}
	if t := j.travel(); t > 0 {
		lines = append(lines, Line{Task: TravelLine, Words: j.r.Place.Travel})
		exact = append(exact, t)
	}
	for i, p := range likely.share(exact) {
		lines[i].Price = p
	}
	return lines
}

func flagMinutes(f Flag) float64 {
	return minutes.Estimate{Low: f.Minutes[0], Likely: f.Minutes[1], High: f.Minutes[2]}.Mean()
}

// likely is the mean of the minutes.
func (j *job) likely() float64 {
	sum := j.setUp().Estimate().Mean()
	for _, f := range j.flags {
		sum += flagMinutes(f)
	}
	for i, on := range j.in {
		if on {
			sum += j.expected(i)
		}
	}
	return sum
}

// mean is the likely price before rounding of any choice of tasks.
func (j *job) mean(in []bool) float64 {
	with := *j
	with.in = in
	sum := with.fixed() + with.setUp().Estimate().Mean()*j.perMinute()
	for _, f := range j.flags {
		sum += flagMinutes(f) * j.perMinute()
	}
	for i, on := range in {
		if on {
			sum += j.expected(i) * j.weight(i) * j.perMinute()
		}
	}
	return j.r.gross(sum)
}

// left names what could have been meant and is not in.
func (j *job) left() []Left {
	now := j.mean(j.in)
	var out []Left
	for i := range j.r.tasks {
		t := &j.r.tasks[i]
		why, ok := j.whyLeft(i)
		if !ok {
			continue
		}
		l := Left{Task: t.ID, Words: t.Words, Why: why}
		if j.possible(i) && t.present[j.grade(i)-1] && !(j.dry && t.Wet) {
			l.Adds, l.Reckoned = pence(j.mean(j.with(i))-now).Near(j.r.Money.RoundTo), why == j.r.Quotes.LeftOther || why == j.r.Quotes.LeftDeeper
		}
		out = append(out, l)
	}
	slices.SortStableFunc(out, func(a, b Left) int { return int(a.Adds - b.Adds) })
	return out
}

// with is the choice of tasks with one more, and what it needs.
func (j *job) with(i int) []bool {
	in := slices.Clone(j.in)
	in[i] = true
	f := j.r.tasks[i].family
	for k := range in {
		if k != i && f != 0 && j.r.tasks[k].family == f {
			in[k] = false
		}
	}
	more := *j
	more.named = slices.Clone(j.named)
	more.named[i] = true
	return more.settle(in)
}

// whyLeft tells why a task is not in, and false if nobody would miss it.
func (j *job) whyLeft(i int) (string, bool) {
	t := &j.r.tasks[i]
	asked := j.asked(i, j.grade(i))
	switch {
	case j.in[i] || j.units[i] == 0 || j.lower(i) || j.r.isUnused(i):
		return "", false
	case j.stopped[i]:
		return j.stoppedBy(t.ID), asked
	case j.dry && t.Wet:
		return j.r.Quotes.LeftPlace, asked
	case t.area >= 0 && j.r.book.Areas[t.area].OnlyIfTold && !j.know.told[t.area]:
		return j.r.Quotes.LeftUntold, j.offered(t)
	case !t.present[j.grade(i)-1]:
		return "", false
	case j.squeezed && asked:
		return j.r.Quotes.LeftBudget, true
	case j.offered(t) && j.higher(i):
		return j.r.Quotes.LeftDeeper, true
	case j.offered(t):
		return j.r.Quotes.LeftOther, true
	}
	// Told about, clearly not well, and not asked for.
	told := t.area >= 0 && j.know.told[t.area] && j.grade(i) >= Fair && !j.touches(t.area)
	return j.r.Quotes.LeftOther, told && t.brought(string(t.Area), j.grade(i))
}

func (j *job) offered(t *task) bool {
	return slices.ContainsFunc(t.Offer, func(w string) bool { return slices.Contains(j.e.Wants, w) })
}

// lower tells whether a higher level of a task's family is in. That one asked for by
// name comes before the others makes none of them lower.
func (j *job) lower(i int) bool {
	return j.kin(i, func(level int) bool { return level > j.r.tasks[i].Level })
}

// higher tells whether a lower level of a task's family is in.
func (j *job) higher(i int) bool {
	return j.kin(i, func(level int) bool { return level < j.r.tasks[i].Level })
}

// kin tells whether a task of the family is in whose level is such a one.
func (j *job) kin(i int, such func(level int) bool) bool {
	f := j.r.tasks[i].family
	for k, on := range j.in {
		if on && f != 0 && j.r.tasks[k].family == f && such(j.r.tasks[k].Level) {
			return true
		}
	}
	return false
}

func (j *job) stoppedBy(id string) string {
	for _, f := range j.flags {
		if slices.Contains(f.Stops, id) {
			return f.Words
		}
	}
	return ""
}
