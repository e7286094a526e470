package jobsheet

import (
	"errors"
	"slices"
	"time"

	"example.org/dryhand/conversations/jobsheet/dwell"
	"example.org/dryhand/pricing"
)

// Waiting is one product that stays on: when it goes on which piece and comes
// off again.
type Waiting struct {
	What string
	// Piece is what is treated at once, Names the pieces in their order; where
	// the car has more than are named, fewer names than pieces.
	Piece string
	Names []string
	Task  dwell.Task
	Plan  dwell.Plan
	// Begins is when the plan begins, after the beginning of the step.
	Begins time.Duration
	// Tight tells that the plan uses more than four fifths of the longest time.
	Tight bool
	// Filled is what is done meanwhile; of an empty name, the rest of the step.
	Filled []dwell.Filling
	// Impossible, if set, is why there is no plan. Warm tells that there would
	// be one in milder weather.
	Impossible *dwell.Impossible
	Warm       bool
}

// least is the shortest wait worth picking something else up for.
const least = 20 * time.Second

// wait plans the waiting of a step and returns how long the step takes.
func (m *maker) wait(s *Sheet, i int) time.Duration {
	x := &s.Steps[i]
	how, _ := m.how.Step(x.Task)
	hands := x.Hands - x.Ahead
	ws := m.waitings(how, x)
	var planned time.Duration
	for _, w := range ws {
		if w.Impossible == nil {
			planned += time.Duration(w.Task.N) * (w.Task.On + w.Task.Off)
		}
	}
	// What the step has to do beside the products fills its waiting first.
	others := append([]dwell.Work{{Length: max(0, hands-planned)}}, m.meanwhile(s, i, how)...)
	var takes time.Duration
	for k := range ws {
		w := &ws[k]
		if w.Impossible != nil {
			continue
		}
		w.Begins = takes
		takes += w.Plan.Length
		w.Filled, others = w.Plan.Fill(others, least)
		x.Idle += idle(*w)
	}
	m.move(s, ws)
	x.Waiting = ws
	return takes + others[0].Length
}

// waitings are a step's products that stay on, each with a plan or the reason
// why there is none.
func (m *maker) waitings(how pricing.StepRule, x *Step) []Waiting {
	t, _ := m.rules.Task(how.Task)
	var out []Waiting
	var mild []dwell.Task
	var total time.Duration
	for _, a := range how.Apply {
		p, _ := m.how.Piece(a.By)
		w := Waiting{What: a.What, Piece: p.Words}
		i := slices.IndexFunc(t.Mixes, func(x pricing.Mix) bool { return x.What == a.What })
		w.Task, w.Names = m.pieces(p, a), p.Names
		if len(w.Names) > w.Task.N {
			w.Names = w.Names[:w.Task.N]
		}
		w.Task.Min, w.Task.Max = m.limits(t.Mixes[i], m.job.Warm)
		cool := w.Task
		cool.Min, cool.Max = m.limits(t.Mixes[i], false)
		total += time.Duration(w.Task.N) * (w.Task.On + w.Task.Off)
		if w.Task.N > 0 {
			out, mild = append(out, w), append(mild, cool)
		}
	}
	// The rules' seconds are for a usual state. Where the whole task takes less,
	// the hands are quicker.
	quicker := min(1, float64(x.Hands-x.Ahead)/float64(max(total, 1)))
	for i := range out {
		hurry(&mild[i], quicker)
		hurry(&out[i].Task, quicker)
		out[i].plan()
		_, err := dwell.Make(mild[i])
		out[i].Warm = out[i].Impossible != nil && err == nil
	}
	return out
}

// pieces are how many there are on this car and how long each takes.
func (m *maker) pieces(p pricing.Piece, a pricing.Apply) dwell.Task {
	n := len(p.Names)
	switch v := m.job.Vehicle; p.ID {
	case "wheel":
		n = v.Wheels
	case "lamp":
		n = v.Lamps
	case "seat":
		n = v.Seats
	}
	times := 1.0
	if p.Grows {
		times = m.job.Vehicle.OutsideSize()
	}
	return dwell.Task{N: n, On: seconds(float64(a.On) * times), Off: seconds(float64(a.Off) * times)}
}

func seconds(s float64) time.Duration {
	return time.Duration(s * float64(time.Second)).Round(time.Second)
}

// limits are how long a mix must and may stay on. What dries sooner in warm
// weather works sooner as well, so both are shortened (common practice).
func (m *maker) limits(x pricing.Mix, warm bool) (least, longest time.Duration) {
	times := 1.0
	if warm && m.how.WarmTimes > 0 {
		times = m.how.WarmTimes
	}
	return seconds(float64(x.Seconds[0]) * times), seconds(float64(x.Seconds[1]) * times)
}

// hurry shortens putting on and working off, to a second each at least.
func hurry(t *dwell.Task, times float64) {
	t.On = max(time.Second, seconds(t.On.Seconds()*times))
	t.Off = max(time.Second, seconds(t.Off.Seconds()*times))
}

// plan makes the plan, if it can with a fifth of the longest time to spare.
func (w *Waiting) plan() {
	easy := w.Task
	easy.Max = easy.Max * 4 / 5
	p, err := dwell.Make(easy)
	if err != nil {
		w.Tight = true
		p, err = dwell.Make(w.Task)
	}
	w.Plan = p
	if errors.As(err, &w.Impossible) {
		w.Tight = false
	}
}

// meanwhile is the work of later steps that may be done in a step's waiting:
// those the rules name for it, if all they must follow is done.
func (m *maker) meanwhile(s *Sheet, i int, how pricing.StepRule) []dwell.Work {
	var out []dwell.Work
	for _, y := range s.Steps[i+1:] {
		ready := !slices.ContainsFunc(y.After, func(id string) bool {
			return slices.ContainsFunc(s.Steps[i:], func(z Step) bool { return z.Task == id })
		})
		if ready && slices.Contains(how.Meanwhile, y.Task) {
			out = append(out, dwell.Work{Name: y.Task, Length: y.Hands - y.Ahead})
		}
	}
	return out
}

// move takes what was done meanwhile off the steps it belongs to.
func (m *maker) move(s *Sheet, ws []Waiting) {
	for _, w := range ws {
		for _, f := range w.Filled {
			for i := range s.Steps {
				if f.Name != "" && s.Steps[i].Task == f.Name {
					s.Steps[i].Ahead += f.Length()
				}
			}
		}
	}
}

func idle(w Waiting) time.Duration {
	var sum time.Duration
	for _, g := range w.Plan.Gaps() {
		sum += g.Length()
	}
	for _, f := range w.Filled {
		sum -= f.Length()
	}
	return sum
}
