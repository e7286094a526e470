package reminders

import "time"

// What the owner does to a nudge that has not been said, and what follows from
// one that was said and did not arrive. A plan that waits for an answer stays as
// it is: what has been said cannot be held back.

// HeldBack is the plan after the owner put its next nudge off by so many weeks.
func (p Plan) HeldBack(m Moment, weeks int, s Setting) Plan {
	if p.Stage != Waiting {
		return p
	}
	p.Wanted = onDay(m.At.In(s.Zone), 7*weeks, s.Rules.Nudges.FromHour)
	return p
}

// Hurried is the plan after the owner wants its next nudge said now, or as soon
// as is polite. What the customer put off is theirs to put off: it stays.
func (p Plan) Hurried(now time.Time) Plan {
	if p.Stage != Waiting {
		return p
	}
	p.Wanted = now
	return p
}

// Dropped is the plan after the owner struck out a nudge: nothing is said of what
// it would have spoken of until that is done again.
func (p Plan) Dropped(m Moment) Plan {
	if p.Stage == Over {
		return p
	}
	for _, c := range m.Clocks {
		p.Silent = union(p.Silent, []string{c.Protection.On})
	}
	p.Stage, p.Told, p.Wanted = Waiting, nil, time.Time{}
	return p
}

// Unsent is the plan after the nudge said at a moment surely did not arrive: it is
// due again. A follow-up is let go instead; nobody misses one.
func (p Plan) Unsent(said time.Time) Plan {
	if p.Stage != Nudged || !p.Said.Equal(said) {
		return p
	}
	p.Stage, p.Told, p.Said = Waiting, nil, time.Time{}
	return p
}
