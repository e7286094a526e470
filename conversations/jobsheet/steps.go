package jobsheet

import (
	"slices"
	"time"

	"example.org/dryhand/pricing"
)

// steps puts the work in order: the walk round, setting up, what else is no task
// of the rules, and the rest as the rules' constraints have it.
func (m *maker) steps(s *Sheet) {
	order := m.rules.Order()
	place := func(id string) int {
		const walk, setUp, other = -2, -1, 0
		i := slices.Index(order, id)
		switch {
		case id == "set-up":
			return setUp
		case i == 0:
			return walk // everything else waits for it
		case i < 0:
			return other
		}
		return i
	}
	work := slices.Clone(m.job.Work)
	slices.SortStableFunc(work, func(a, b Work) int { return place(a.Task) - place(b.Task) })
	for _, w := range work {
		if why, ok := m.stopped[w.Task]; ok {
			s.Dropped = append(s.Dropped, Dropped{m.words(w), why})
			continue
		}
		s.Steps = append(s.Steps, m.step(w))
	}
	m.follow(s)
}

func (m *maker) words(w Work) string {
	if t, ok := m.rules.Task(w.Task); ok {
		return t.Words
	}
	return w.Words
}

// step is a task without its time.
func (m *maker) step(w Work) Step {
	x := Step{Task: w.Task, Words: m.words(w), Hands: minutes(w.Minutes)}
	t, ok := m.rules.Task(w.Task)
	if !ok {
		return x
	}
	how, _ := m.how.Step(w.Task)
	x.Why, x.Gentlest, x.Dries = how.Why, how.Gentlest, t.Dries
	for _, c := range t.Cautions {
		x.Cautions = add(x.Cautions, m.rules.Caution(c))
	}
	for _, mix := range t.Mixes {
		x.Mixes = append(x.Mixes, m.mix(t, mix))
		p, _ := m.how.Product(mix.What)
		x.hazards = append(x.hazards, p.Is...)
	}
	return x
}

func minutes(m float64) time.Duration {
	return time.Duration(m * float64(time.Minute)).Round(time.Second)
}

// follow writes for each step what in this job it must come after.
func (m *maker) follow(s *Sheet) {
	before := pricing.Before(m.tasks())
	for i := range s.Steps {
		for _, earlier := range s.Steps {
			if before[s.Steps[i].Task][earlier.Task] {
				s.Steps[i].After = append(s.Steps[i].After, earlier.Task)
			}
		}
	}
}

// tasks are all tasks of the rules: what must come before what also holds
// through those that are not in the job.
func (m *maker) tasks() []pricing.Task {
	var out []pricing.Task
	for _, id := range m.rules.Order() {
		t, _ := m.rules.Task(id)
		out = append(out, t)
	}
	return out
}

// clock gives every step its waiting and its time of day.
func (m *maker) clock(s *Sheet) {
	at := s.Start
	for i := range s.Steps {
		x := &s.Steps[i]
		x.Start = at
		at = at.Add(m.wait(s, i))
		x.End = at
	}
	s.End = at
	indoors := m.job.Site.Own || m.job.Site.Surface == "garage"
	if m.job.Sunset.IsZero() || indoors {
		return
	}
	s.Sunset = m.job.Sunset
	late := func(x Step) bool { return x.End.After(s.Sunset) }
	s.Dark = 1 + slices.IndexFunc(s.Steps, late)
}

// gather collects what to bring.
func (m *maker) gather(s *Sheet) {
	for _, b := range m.how.Bring {
		s.Bring = add(s.Bring, b)
	}
	acid, bleach := false, false
	for _, x := range s.Steps {
		how, _ := m.how.Step(x.Task)
		for _, b := range how.Bring {
			s.Bring = add(s.Bring, b)
		}
		for _, mix := range x.Mixes {
			s.Products = addAmount(s.Products, mix)
		}
		acid = acid || slices.Contains(x.hazards, pricing.Acid)
		bleach = bleach || slices.Contains(x.hazards, pricing.Bleach)
	}
	s.AcidAndBleach = acid && bleach
}
