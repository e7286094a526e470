package reminders

import (
	"slices"
	"time"
)

// Plan is what a customer who asked for it is to hear about the protection of one
// car: a value that is kept, asked for its [Plan.Next] moment, and told what
// happened. A method returns the plan as it is afterwards.
//
// What holds, whatever happens:
//
//   - In one window there is one nudge and, if nobody answers, one follow-up; then
//     silence about this protection until it is applied again, or until the
//     customer writes.
//   - After an unanswered follow-up there is silence about anything for the months
//     of the rules.
//   - After [Plan.Stop] or [Plan.Sold] there is silence for good.
//   - Every moment lies in the hours and on the days the rules allow.
//   - No two messages on one day, of its own or of those it is told about.
type Plan struct {
	Applied []Applied `json:"applied,omitempty"`
	// Wear are the circumstances of the car, by their ids in the rules.
	Wear  []string `json:"wear,omitempty"`
	Stage Stage    `json:"stage,omitempty"`
	// Said is when the last message left.
	Said time.Time `json:"said,omitzero"`
	// Told are the surfaces the last nudge spoke of.
	Told []string `json:"told,omitempty"`
	// Silent are the surfaces nothing more is said about until they are done again.
	Silent []string `json:"silent,omitempty"`
	// NotBefore is until when the customer asked to be left alone.
	NotBefore time.Time `json:"not_before,omitzero"`
	// Wanted is when the owner wants the next nudge said, due or not.
	Wanted time.Time `json:"wanted,omitzero"`
}

// Stage is how far a plan has come.
type Stage string

// The stages.
const (
	Waiting Stage = ""       // for the next window
	Nudged  Stage = "nudged" // for an answer
	Over    Stage = "over"   // stopped, or the car is sold; Applied is empty then
)

// Kind is what a message is about.
type Kind string

// The kinds of messages. Nudge and FollowUp are marketing and need consent, the
// others are service.
const (
	Nudge     Kind = "nudge"
	FollowUp  Kind = "follow-up"
	DayBefore Kind = "day-before"
	Morning   Kind = "morning"
	OpenQuote Kind = "open-quote"
)

// Moment is when to say something.
type Moment struct {
	Kind Kind
	At   time.Time
	// NotAfter is from when on it has lost its sense, or would come in the night.
	NotAfter time.Time
	// Clocks are the protections a nudge is about, sorted by surface.
	Clocks []Clock
}

// Sensible tells whether a message may leave at now: its moment has come, and it
// is not yet the "tomorrow" of yesterday.
func (m Moment) Sensible(now time.Time) bool { return !now.Before(m.At) && now.Before(m.NotAfter) }

// Next is the next thing to say at now or later, and false if there is none. busy
// are moments at which the customer hears something else; their days are left out.
// Ask again at the moment itself: what has come meanwhile moves it.
func (p Plan) Next(now time.Time, s Setting, busy ...time.Time) (Moment, bool) {
	others := append(slices.Clone(busy), p.Said)
	shut := func(at time.Time) bool { return s.holiday(at) || s.sameDay(at, others) }
	n := s.Rules.Nudges
	p = p.settled(now, s)
	if p.Stage == Nudged {
		m := Moment{Kind: FollowUp, Clocks: p.told(s)}
		m.At = politely(latest(p.again(1, s), now).In(s.Zone), n, shut)
		m.NotAfter = onTheHour(m.At, n.ToHour)
		return m, true
	}
	w, ok := merge(p.running(s), n.Leads)
	if !ok {
		return Moment{}, false
	}
	if !p.Wanted.IsZero() {
		return p.wanted(now, s, shut), true
	}
	m := Moment{Kind: Nudge, At: politely(latest(latest(w.From, p.NotBefore), now).In(s.Zone), n, shut)}
	m.NotAfter = onTheHour(m.At, n.ToHour)
	m.Clocks = p.dueBy(m.At, s)
	return m, true
}

// wanted is a nudge at the owner's moment instead of its window's: about what is due
// by then, or about everything if nothing is.
func (p Plan) wanted(now time.Time, s Setting, shut func(time.Time) bool) Moment {
	m := Moment{Kind: Nudge, At: politely(latest(latest(p.Wanted, p.NotBefore), now).In(s.Zone), s.Rules.Nudges, shut)}
	m.NotAfter = onTheHour(m.At, s.Rules.Nudges.ToHour)
	if m.Clocks = p.dueBy(m.At, s); len(m.Clocks) == 0 {
		m.Clocks = p.running(s)
	}
	return m
}

// again is the hour on the day so many waits after the last nudge.
func (p Plan) again(waits int, s Setting) time.Time {
	n := s.Rules.Nudges
	return onDay(p.Said.In(s.Zone), waits*n.FollowUpDays, n.FromHour)
}

// forgotten is when a follow-up would follow upon nothing anybody remembers: it
// could not be sent for as long again as it was waited for, and some days in which
// it was not polite.
func (p Plan) forgotten(s Setting) time.Time {
	return s.Politely(p.again(2, s)).AddDate(0, 0, 7)
}

// running are the clocks that may still be spoken of.
func (p Plan) running(s Setting) []Clock {
	return slices.DeleteFunc(p.clocks(s), func(c Clock) bool { return slices.Contains(p.Silent, c.Protection.On) })
}

// dueBy are the running clocks whose window has begun.
func (p Plan) dueBy(at time.Time, s Setting) []Clock {
	return slices.DeleteFunc(p.running(s), func(c Clock) bool { return c.From.After(at) })
}

// told are the clocks the last nudge spoke of.
func (p Plan) told(s Setting) []Clock {
	return slices.DeleteFunc(p.clocks(s), func(c Clock) bool { return !slices.Contains(p.Told, c.Protection.On) })
}

// Last is the message that left last, and false if none has: what it spoke of, and when.
func (p Plan) Last(s Setting) (Moment, bool) {
	if p.Said.IsZero() || len(p.Told) == 0 {
		return Moment{}, false
	}
	return Moment{Kind: Nudge, At: p.Said, Clocks: p.told(s)}, true
}

// Spoken are the clocks the last nudge spoke of, all of the car's if there was none.
func (p Plan) Spoken(s Setting) []Clock {
	if told := p.told(s); len(told) > 0 {
		return told
	}
	return p.clocks(s)
}

// Unanswered tells whether what was said last may still have its answer: a nudge, or the
// one more that ended in silence. Taking it up ends in the same silence.
func (p Plan) Unanswered() bool {
	if p.Stage != Waiting || len(p.Told) == 0 {
		return p.Stage == Nudged
	}
	return !slices.ContainsFunc(p.Told, func(on string) bool { return !slices.Contains(p.Silent, on) })
}

// settled is the plan once a follow-up that makes no more sense is let go. The
// silence counts from then, not from now: asking again does not lengthen it.
func (p Plan) settled(now time.Time, s Setting) Plan {
	if p.Stage != Nudged {
		return p
	}
	if len(p.told(s)) == 0 { // the rules no longer know what was told
		return p.silenced(p.Said, s)
	}
	if end := p.forgotten(s); now.After(end) {
		return p.silenced(end, s)
	}
	return p
}

// Sent is the plan after a moment's message has left, or may have: what is
// uncertain is not said again. A message that is no longer the plan's next changes
// nothing.
func (p Plan) Sent(m Moment, at time.Time, s Setting) Plan {
	p = p.settled(at, s)
	switch {
	case m.Kind == FollowUp && p.Stage == Nudged:
		p.Said = at
		return p.silenced(at, s)
	case m.Kind == Nudge && p.Stage == Waiting:
		p.Said = at
		p.Stage = Nudged
		p.Told, p.Wanted = nil, time.Time{}
		for _, c := range m.Clocks {
			p.Told = append(p.Told, c.Protection.On)
		}
	}
	return p
}

// silenced says nothing more about what was told, and nothing about anything for
// some months.
func (p Plan) silenced(from time.Time, s Setting) Plan {
	n := s.Rules.Nudges
	p.Stage, p.Wanted = Waiting, time.Time{}
	p.Silent = union(p.Silent, p.Told)
	until := addMonths(from.In(s.Zone), float64(n.SilenceMonths))
	p.NotBefore = latest(p.NotBefore, onTheHour(until, n.FromHour))
	return p
}

func (s Setting) sameDay(at time.Time, others []time.Time) bool {
	return slices.ContainsFunc(others, func(o time.Time) bool { return !o.IsZero() && date(o.In(s.Zone)) == date(at) })
}

func latest(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}

func union(a, b []string) []string {
	out := slices.Concat(a, b)
	slices.Sort(out)
	return slices.Compact(out)
}

func without(a, b []string) []string {
	return slices.DeleteFunc(slices.Clone(a), func(x string) bool { return slices.Contains(b, x) })
}
