package conversations_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/pricing"
)

// street is where cars of every kind come from, and people who are kind to theirs.
type street struct {
	rules *pricing.Rules
	rnd   *rand.Rand
	// kind is how often somebody says one grade less than what is there.
	kind float64
	// quick is how many times the file's minutes the work inside takes.
	quick float64
}

// states are the overall states of a car and the shares of the grades in them, as
// the shipped rules have them.
var states = []struct {
	id     string
	share  float64
	grades [4]float64
}{{"kept", 0.30, [4]float64{0.55, 0.38, 0.06, 0.01}}, {"ordinary", 0.50, [4]float64{0.15, 0.55, 0.26, 0.04}}, {"let-go", 0.20, [4]float64{0.02, 0.20, 0.53, 0.25}}}

// car is what is there and what is said of it.
func (s street) car() (truth, said map[pricing.Area]pricing.Grade) {
	truth, said = map[pricing.Area]pricing.Grade{}, map[pricing.Area]pricing.Grade{}
	u, at := s.rnd.Float64(), 0
	for ; at < len(states)-1 && u >= states[at].share; at++ {
		u -= states[at].share
	}
	for _, a := range s.rules.Areas() {
		usual, ok := a.Usual[states[at].id]
		if !ok {
			usual = states[at].grades
		}
		g, u := pricing.Light, s.rnd.Float64()
		for ; g < pricing.Severe && u >= usual[g-1]; g++ {
			u -= usual[g-1]
		}
		if len(a.CountsAs)+len(a.Raises) > 0 {
			g = min(g, pricing.Poor) // what is worse is no dirt
		}
		truth[a.ID], said[a.ID] = g, g
		if s.rnd.Float64() < s.kind {
			said[a.ID] = max(pricing.Light, g-1)
		}
	}
	return truth, said
}

// takes plays the work of an enquiry once on a car that is like truth.
func (s street) takes(t *testing.T, e pricing.Enquiry, truth map[pricing.Area]pricing.Grade) float64 {
	t.Helper()
	// What is done was chosen by what was said; what it takes hangs on what is there.
	chosen, err := s.rules.Quote(e)
	if err != nil {
		t.Fatal(err)
	}
	known := e
	known.Wants, known.Graded = nil, truth
	for _, l := range chosen.In {
		if _, ok := s.rules.Task(l.Task); ok {
			known.Wants = append(known.Wants, l.Task)
		}
	}
	q, err := s.rules.Quote(known)
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, l := range q.In {
		task, ok := s.rules.Task(l.Task)
		if !ok {
			sum += l.Minutes
			continue
		}
		m := triple(task, truth[task.Area])
		took := m[0]
		if w := m[2] - m[0]; w > 0 {
			took += w * distuv.Beta{Alpha: 1 + 4*(m[1]-m[0])/w, Beta: 1 + 4*(m[2]-m[1])/w, Src: s.rnd}.Rand()
		}
		if task.Area == pricing.Interior {
			took *= s.quick
		}
		sum += l.Minutes / ((m[0] + 4*m[1] + m[2]) / 6) * took
	}
	return sum
}

// triple are a task's minutes at a grade, or at the next lower that is given.
func triple(task pricing.Task, g pricing.Grade) [3]float64 {
	for ; g > 0; g-- {
		if m, ok := task.Minutes[fmt.Sprint(int(g))]; ok {
			return m
		}
	}
	return task.Minutes["any"]
}

// asks are what the street's cars come for.
func (s street) asks(said map[pricing.Area]pricing.Grade) pricing.Enquiry {
	return pricing.Enquiry{Vehicle: pricing.VehicleFromBody(pricing.Hatchback, 4300), Wants: []string{"exterior", "interior"}, Said: said, Site: pricing.Site{Own: true, Tap: true, Socket: true}}
}

// covered is how often a job ends between the P10 and the P90 of its quote.
func (s street) covered(t *testing.T, by *pricing.Rules, n int) float64 {
	t.Helper()
	inside := 0
	for range n {
		truth, said := s.car()
		e := s.asks(said)
		q, err := by.Quote(e)
		if err != nil {
			t.Fatal(err)
		}
		if took := s.takes(t, e, truth); took >= q.Minutes.P10 && took <= q.Minutes.P90 {
			inside++
		}
	}
	return float64(inside) / float64(n)
}

// job takes a car through the chat, from the first message to the receipt.
func (o *office) job(t *testing.T, s street, who bot.ChatID) {
	t.Helper()
	truth, said := s.car()
	o.say(who, "Ford Focus hatchback")
	o.tap(who, "Outside", "Inside", "That's all", "At the workshop")
	for {
		area, ok := strings.CutPrefix(o.enquiry(who).At, "cond-")
		if !ok {
			break
		}
		o.say(who, fmt.Sprint(int(said[pricing.Area(area)])))
	}
	e := o.enquiry(who)
	if e.Quote == nil || e.Quote.NeedSee != "" {
		return // two parts so bad that nobody names a price
	}
	o.tap(who, "Find a day", "Nothing like that", "No photo")
	o.event(who, bot.Tap{ID: "t", Data: o.lastTo(who).Choices[0][0].Data})
	o.tap(who, "Yes, remind me", "Yes, ask for it")
	o.tap(boss, "Yes, book it", "Look over", "Grades")
	// He taps what is otherwise than it was said, and the inside in any case.
	for _, a := range s.rules.Areas() {
		if len(e.Answers["cond-"+string(a.ID)]) == 0 || truth[a.ID] == said[a.ID] && a.ID != pricing.Interior {
			continue
		}
		o.tap(boss, a.Name, fmt.Sprint(int(truth[a.ID])))
	}
	o.tap(boss, "They've said yes", "Done")
	done := s.asks(said)
	done.Wants, done.Graded = o.enquiry(who).Quote.Tasks, truth
	o.say(boss, fmt.Sprint(int(math.Round(s.takes(t, done, truth)))))
	o.say(boss, fmt.Sprint(o.enquiry(who).Quote.Likely/100))
	o.tap(boss, "That's all ›")
	if got := o.enquiry(who).Stage; got != conversations.Done {
		t.Fatalf("the job of %d is %q: %s", who, got, o.lastTo(boss).Text)
	}
}

// taught is an office after twenty jobs.
func taught(t *testing.T, s street, seed uint64) (*office, street) {
	t.Helper()
	tk := talk(t)
	s.rules, s.rnd = tk.Rules, rand.New(rand.NewPCG(2027, seed))
	o := newOffice(t, tk)
	for i := range bot.ChatID(20) {
		o.job(t, s, 500+i)
	}
	if l := read[conversations.Learned](o, "learned"); l.Seen[pricing.Interior].Jobs() < 15 || l.Pace.Jobs[pricing.Interior] < 15 || len(l.Beside) < 15 {
		t.Fatalf("learnt %+v", l)
	}
	if o.layer().Version != 0 {
		t.Fatal("something counts that nobody agreed to")
	}
	return o, s
}

// Twenty jobs through the chat, of customers three in ten of whom understate by one
// grade. The owner agrees to what they say, and eight in ten of the jobs after that
// end within the range again. The mean of four such lots.
func TestTwentyJobsTeach(t *testing.T) {
	const lots = 4
	var before, after float64
	for seed := range uint64(lots) {
		o, s := taught(t, street{kind: 0.3, quick: 1}, seed+1)
		o.say(boss, "learnt")
		o.tap(boss, "Use all of it")
		if l := o.layer(); l.Version != 1 || len(l.Answers) < 3 {
			t.Fatalf("agreed to all of it: %+v", l)
		}
		before += s.covered(t, s.rules, 300) / lots
		after += s.covered(t, s.rules.Under(o.layer()), 300) / lots
	}
	t.Logf("%.3f between P10 and P90 before, %.3f after twenty jobs", before, after)
	if math.Abs(after-0.8) > 0.05 {
		t.Errorf("%.3f after twenty jobs, want 0.80 ± 0.05 (%.3f before)", after, before)
	}
}

// An owner a fifth quicker inside than the rules is told so, for the inside alone;
// he agrees to that line and to no other, and can take it back.
func TestPaceIsTaught(t *testing.T) {
	o, _ := taught(t, street{kind: 0.3, quick: 0.8}, 2)
	o.say(boss, "learnt")
	text := o.lastTo(boss).Text
	if !strings.Contains(text, "Inside: you are ") || strings.Contains(text, "Paintwork: you are") || !strings.Contains(text, "Nothing changes until you say so") {
		t.Errorf("told %q", text)
	}
	line := text[:strings.Index(text, ". Inside: you are ")]
	o.tap(boss, "Use "+line[strings.LastIndexByte(line, '\n')+1:])
	l := o.layer()
	if p := l.Pace[pricing.Interior]; len(l.Pace) != 1 || len(l.Answers) != 0 || p < 0.7 || p > 0.9 {
		t.Errorf("agreed to %+v", l)
	}
	o.say(boss, "learnt")
	if got := o.lastTo(boss).Text; !strings.Contains(got, "Reckoned with already:\n– Inside") {
		t.Errorf("agreed to, and told %q", got)
	}
	o.say(boss, "undo")
	if l := o.layer(); l.Pace != nil {
		t.Errorf("undone: %+v", l)
	}
}

// A press on a line that has moved since shows it as it is now, and agrees to
// nothing.
func TestAgreesOnlyToWhatWasRead(t *testing.T) {
	o, s := taught(t, street{kind: 0.3, quick: 1}, 2)
	o.say(boss, "learnt")
	one, all := o.button(boss, "Use 1"), o.button(boss, "Use all of it")
	o.job(t, s, 900)
	o.event(boss, one)
	o.event(boss, all)
	if l := o.layer(); l.Version != 0 {
		t.Errorf("agreed to %+v", l)
	}
}

// Three jobs from memory make a first setting, and one told wrongly is forgotten.
func TestRecalledJobs(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(boss, "remember")
	o.say(boss, "golf estate, inside and out, took me 7 hours")
	o.told(t, "the first", "Volkswagen Golf Estate, Outside, Inside: you took 7 hours", "2 more")
	o.say(boss, "Fiesta inside and outside took ninety minutes")
	o.tap(boss, "Forget that one")
	o.told(t, "the wrong one", "Forgotten. That leaves 1")
	o.say(boss, "Fiesta, inside and outside, took about four and a half hours")
	o.say(boss, "volvo v60 inside and out took me 7h30")
	o.told(t, "the third", "What your jobs say", "1. All in all: you take", "longer than the rules (3 jobs)")
	o.tap(boss, "Use 1")
	if p := o.layer().Pace; p[pricing.Interior] < 1.5 || p[pricing.Interior] > 3 || p[pricing.Paintwork] != p[pricing.Interior] {
		t.Errorf("the pace is %v", p)
	}
	o.say(boss, "what is set")
	o.told(t, "what is set", "From your jobs: All in all: you take")
}

// What cannot be read of a remembered job is asked for.
func TestRecallAsks(t *testing.T) {
	tk := talk(t)
	for _, text := range []string{"golf took me ages", "a car took me 5 hours", "golf took 5 hours", "golf inside took 900 hours"} {
		o := newOffice(t, tk)
		o.say(boss, text)
		o.told(t, text, "took me 5 hours")
		if _, there := o.docs["learned"]; there {
			t.Errorf("%q has taught us", text)
		}
	}
}
