package reminders

import (
	"slices"
	"time"
)

// Apply is the plan after something was applied: it is spoken of again when it
// falls due. What was due on the same surface is done with; what was not, as a
// coating under a spray, stays. What the customer was told of and did not have
// done is their choice, and not brought up again.
func (p Plan) Apply(s Setting, applied ...Applied) Plan {
	if p.Stage == Over {
		return p
	}
	var done []string
	for _, a := range applied {
		if kind, ok := s.Rules.Protection(a.Kind); ok {
			done = append(done, kind.On)
			p.Applied = slices.DeleteFunc(slices.Clone(p.Applied), func(old Applied) bool {
				k, ok := s.Rules.Protection(old.Kind)
				return !ok || k.On == kind.On && !s.Window(old, k, p.Wear...).From.After(a.At)
			})
		}
	}
	p.Applied = slices.Concat(p.Applied, applied)
	p.Silent = without(union(p.Silent, p.Told), done)
	p.Stage, p.Told, p.NotBefore, p.Wanted = Waiting, nil, time.Time{}, time.Time{}
	return p
}

// Worn is the plan after the customer said what the car goes through. It replaces
// what was said before.
func (p Plan) Worn(wear ...string) Plan {
	p.Wear = slices.Clone(wear)
	return p
}

// Later is the plan after "not now, ask in so many weeks or months".
func (p Plan) Later(now time.Time, weeks, months int, s Setting) Plan {
	at := addMonths(now.In(s.Zone).AddDate(0, 0, 7*weeks), float64(months))
	return p.resume(onTheHour(at, s.Rules.Nudges.FromHour))
}

// StillFine is the plan after "water still runs off": it is believed, and asked
// again after the weeks of the rules.
func (p Plan) StillFine(now time.Time, s Setting) Plan {
	return p.Later(now, s.Rules.Nudges.StillFineWeeks, 0, s)
}

// resume waits until a moment, then speaks again of what was told last.
func (p Plan) resume(at time.Time) Plan {
	if p.Stage == Over {
		return p
	}
	p.Stage, p.Wanted = Waiting, time.Time{}
	p.Silent = without(p.Silent, p.Told)
	p.NotBefore = at
	return p
}

// Elsewhere is the plan after somebody else did what the last nudge spoke of, at
// some moment: the clocks begin again there. What was put on is not known, so the
// same is reckoned with. Without a nudge so far, all clocks begin again.
func (p Plan) Elsewhere(at time.Time, s Setting) Plan {
	clocks := p.told(s)
	if len(clocks) == 0 {
		clocks = p.clocks(s)
	}
	var again []Applied
	for _, c := range clocks {
		again = append(again, Applied{Kind: c.Kind, At: at})
	}
	p.Applied = slices.DeleteFunc(slices.Clone(p.Applied), func(a Applied) bool {
		kind, ok := s.Rules.Protection(a.Kind)
		return !ok || slices.ContainsFunc(clocks, func(c Clock) bool { return c.Protection.On == kind.On })
	})
	return p.Apply(s, again...)
}

// Booked is the plan after the customer took up a nudge: the form has the word
// now, and nothing more is said about it until it is applied. Should nothing come
// of it, it was still their choice to hear no more.
func (p Plan) Booked(now time.Time, s Setting) Plan {
	if p.Stage == Over {
		return p
	}
	return p.silenced(now, s)
}

// Sold is the plan after the car has gone: nothing more, ever.
func (p Plan) Sold() Plan { return p.Stop() }

// Stop is the plan after "stop": nothing more, ever.
func (p Plan) Stop() Plan { return Plan{Stage: Over} }
