package reminders

import (
	"math"
	"slices"
	"time"

	"example.org/dryhand/pricing"
)

// Applied is one protection put on.
type Applied struct {
	// Kind is the id of a protection of the rules.
	Kind string    `json:"kind"`
	At   time.Time `json:"at"`
	// Wear are circumstances of this application alone, by their ids in the rules,
	// such as "not-decontaminated". What the car goes through is the plan's.
	Wear []string `json:"wear,omitempty"`
}

// Window is when something is due, from the start of a day to the start of
// another.
type Window struct{ From, To time.Time }

// Clock is the protection on one surface of a car.
type Clock struct {
	Applied
	Protection pricing.Protection
	Window
}

// Window is when a protection falls due: from the share of its middle months at
// which the rules want a reminder, to the most months it is expected to last, both
// stretched or shortened by wear. Towards winter it moves forward as a whole.
func (s Setting) Window(a Applied, p pricing.Protection, wear ...string) Window {
	n := s.Rules.Nudges
	wear = slices.Concat(wear, a.Wear)
	lasting := s.Rules.Lasting(wear...)
	at := a.At.In(s.Zone)
	w := Window{
		From: onTheHour(addMonths(at, middle(p)*n.Share*lasting), n.FromHour),
		To:   onTheHour(addMonths(at, p.MonthsHigh*lasting), n.FromHour),
	}
	if w.To.Before(w.From) { // the share may be above 1
		w.To = w.From
	}
	if slices.Contains(wear, n.Winter.Wear) {
		back := s.beforeWinter(at, w.From)
		w = Window{onDay(w.From, -back, n.FromHour), onDay(w.To, -back, n.FromHour)}
	}
	return w
}

// Sooner are the circumstances because of which some clocks fall due, at a moment, before the
// fewest months their protection was said to last, by their ids in the rules; none where
// nothing falls due sooner than was said. wear is what the car goes through.
func (s Setting) Sooner(clocks []Clock, at time.Time, wear ...string) (why []string) {
	for _, c := range clocks {
		said := addMonths(c.At.In(s.Zone), c.Protection.MonthsLow)
		if c.From.After(at) || !c.From.Before(said) || !at.Before(said) {
			continue
		}
		for _, id := range slices.Concat(wear, c.Wear) {
			if s.Rules.Lasting(id) < 1 || id == s.Rules.Nudges.Winter.Wear {
				why = union(why, []string{id})
			}
		}
	}
	return why
}

// beforeWinter is how many days a window that begins while roads are salted has to
// move forward. What was applied in that same winter stays where it is: it cannot
// come before it; nor can what would still be young then.
func (s Setting) beforeWinter(applied, from time.Time) int {
	r := s.Rules.Nudges.Winter
	if !r.In(pricing.MonthDay{Month: from.Month(), Day: from.Day()}) {
		return 0
	}
	salted := time.Date(from.Year(), r.From.Month, r.From.Day, 12, 0, 0, 0, s.Zone)
	if salted.After(from) && daysBetween(from, salted) > 0 {
		salted = time.Date(from.Year()-1, r.From.Month, r.From.Day, 12, 0, 0, 0, s.Zone)
	}
	if daysBetween(applied, salted) <= 0 {
		return 0
	}
	all := daysBetween(applied, from)
	back := daysBetween(salted, from) + 7*r.WeeksBefore
	most := int(float64(all) * (1 - r.AtLeast))
	if daysBetween(salted, from) > most {
		return 0 // with half its time gone the salt is there already: too early, and too late
	}
	return max(0, min(back, most))
}

// clocks are the protections on a car, one for each surface, sorted by surface.
// Where one lies on another, as a spray on a coating, that counts which lasts
// longer. Kinds that the rules no longer know have no clock.
func (p Plan) clocks(s Setting) []Clock {
	on := map[string]Clock{}
	for _, a := range p.Applied {
		kind, ok := s.Rules.Protection(a.Kind)
		if !ok {
			continue
		}
		c := Clock{a, kind, s.Window(a, kind, p.Wear...)}
		if old, ok := on[kind.On]; !ok || old.To.Before(c.To) {
			on[kind.On] = c
		}
	}
	var out []Clock
	for _, surface := range s.Rules.Surfaces() {
		if c, ok := on[surface]; ok {
			out = append(out, c)
		}
	}
	return out
}

// merge is the window in which all that falls due together is due, and false if
// there are no clocks. It begins when the last of them is due and ends when the
// first has run out; what is due only later waits for a window of its own.
func merge(clocks []Clock, leads []string) (Window, bool) {
	leading := slices.DeleteFunc(slices.Clone(clocks), func(c Clock) bool { return !slices.Contains(leads, c.Protection.On) })
	if len(leading) == 0 {
		leading = clocks
	}
	if len(leading) == 0 {
		return Window{}, false
	}
	w := leading[0].Window
	for _, c := range leading {
		if c.To.Before(w.To) {
			w = c.Window
		}
	}
	for _, c := range leading {
		if c.From.After(w.From) && !c.From.After(w.To) {
			w.From = c.From
		}
	}
	return w, true
}

// middle is the middle of the months a protection is expected to last.
func middle(p pricing.Protection) float64 { return (p.MonthsLow + p.MonthsHigh) / 2 }

// addMonths is t so many months later, at the same time of day: whole months by
// the calendar, never past the end of a month, then the rest in days.
func addMonths(t time.Time, months float64) time.Time {
	const daysInMonth = 30.4 // 365.25 / 12, rounded
	whole, part := math.Modf(months)
	y, m, d := t.Date()
	first := time.Date(y, m+time.Month(whole), 1, 12, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	y, m, _ = first.Date()
	hour, minute, sec := t.Clock()
	return time.Date(y, m, min(d, last)+int(math.Round(part*daysInMonth)), hour, minute, sec, t.Nanosecond(), t.Location())
}
