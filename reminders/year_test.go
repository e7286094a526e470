package reminders_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders"
	"pgregory.net/rapid"
)

var (
	kinds = []string{"spray-sealant", "wax", "sealant", "ceramic-coating", "wheel-seal", "glass-repellent", "soft-top-proof", "lamp-seal", "trim-coat", "leather-cream"}
	wears = []string{"kept-outside", "garaged", "many-miles", "salted-winter", "brush-wash", "strong-soap", "not-decontaminated", "washed-and-topped-up"}
)

// walk is one customer through some years: what happens by chance, and what is
// said to them.
type walk struct {
	t    *rapid.T
	s    reminders.Setting
	plan reminders.Plan
	now  time.Time
	job  reminders.Job
	care time.Time // when care was told last
	// told counts nudges and follow-ups by the application they were about, since
	// the customer was last heard of.
	told  map[string]int
	said  []time.Time
	ended bool
	// silent is until when an unanswered follow-up silences everything.
	silent time.Time
}

func (w *walk) busy() []time.Time {
	out := slices.Clone(w.said)
	for _, m := range w.s.Care(w.job) {
		out = append(out, m.At)
	}
	return out
}

// heard is that the customer did something, so that counting begins anew.
func (w *walk) heard() {
	w.told = map[string]int{}
	w.silent = time.Time{}
}

func (w *walk) applied() reminders.Applied {
	return reminders.Applied{
		Kind: rapid.SampledFrom(kinds).Draw(w.t, "kind"), At: w.now,
		Wear: rapid.SliceOfNDistinct(rapid.SampledFrom(wears), 0, 1, rapid.ID).Draw(w.t, "wear"),
	}
}

// finish is a job done now.
func (w *walk) finish() {
	w.heard()
	w.job = reminders.Job{At: w.now}
	w.care = w.now
	for range rapid.IntRange(1, 3).Draw(w.t, "applied") {
		a := w.applied()
		w.plan = w.plan.Apply(w.s, a)
		w.job.Protections = append(w.job.Protections, a.Kind)
	}
}

// answer is whatever a customer may do.
func (w *walk) answer() {
	switch rapid.IntRange(0, 8).Draw(w.t, "answer") {
	case 0:
		w.heard()
		w.plan = w.plan.Later(w.now, rapid.IntRange(0, 8).Draw(w.t, "weeks"), rapid.IntRange(0, 6).Draw(w.t, "months"), w.s)
	case 1:
		w.heard()
		w.plan = w.plan.StillFine(w.now, w.s)
	case 2:
		w.heard()
		w.plan = w.plan.Elsewhere(w.now, w.s)
	case 3:
		w.heard()
		w.plan = w.plan.Booked(w.now, w.s)
	case 4:
		if rapid.IntRange(0, 3).Draw(w.t, "really") == 0 {
			w.plan, w.ended = w.plan.Stop(), true
		}
	case 5:
		if len(w.said) == 0 || !sameDay(w.s, w.said[len(w.said)-1], w.now) { // a job ends with a message
			w.finish()
			w.say(w.now)
		}
	}
}

func sameDay(s reminders.Setting, a, b time.Time) bool {
	return a.In(s.Zone).Format(time.DateOnly) == b.In(s.Zone).Format(time.DateOnly)
}

// say records a message, of which there is one a day.
func (w *walk) say(at time.Time) {
	for _, o := range w.said {
		if sameDay(w.s, o, at) {
			w.t.Fatalf("two messages on %s", show(at))
		}
	}
	w.said = append(w.said, at)
}

// wait lets time pass up to the next message, which comes some hours late, and
// says it.
func (w *walk) wait() {
	m, ok := w.plan.Next(w.now, w.s, w.busy()...)
	care, more := w.s.NextCare(w.job, w.care)
	late := time.Duration(rapid.SampledFrom([]int{0, 0, 0, 5, 30, 80, 2000}).Draw(w.t, "late")) * time.Hour
	switch {
	case more && (!ok || care.Before(m.At)):
		w.now = w.s.Serviceable(later(care, w.now).Add(late))
		tips := w.s.CareNow(w.job, w.care, w.now)
		// A day that was given to a nudge meanwhile leaves its tips to the next.
		if len(w.said) > 0 && sameDay(w.s, w.said[len(w.said)-1], w.now) {
			w.now = w.now.AddDate(0, 0, 1)
			return
		}
		w.care = w.now
		if len(tips) > 0 {
			w.say(w.now)
		}
	case ok:
		w.now = m.At.Add(late)
		m, ok = w.plan.Next(w.now, w.s, w.busy()...)
		if ok && m.Sensible(w.now) {
			w.nudge(m)
		}
	default:
		w.now = w.now.AddDate(0, 0, 30)
	}
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// nudge says a nudge and looks whether it may be said.
func (w *walk) nudge(m reminders.Moment) {
	at := m.At.In(w.s.Zone)
	n := w.s.Rules.Nudges
	switch {
	case w.ended:
		w.t.Fatalf("%s on %s after stop", m.Kind, show(at))
	case at.Hour() < n.FromHour || at.Hour() >= n.ToHour:
		w.t.Fatalf("%s at %s", m.Kind, show(at))
	case at.Weekday() == time.Sunday && !n.Sundays, n.Quiet(at.Month(), at.Day()), w.s.Holiday(at.Format(time.DateOnly)):
		w.t.Fatalf("%s on %s", m.Kind, show(at))
	case at.Before(w.silent):
		w.t.Fatalf("%s on %s, silence was until %s", m.Kind, show(at), show(w.silent))
	case len(m.Clocks) == 0:
		w.t.Fatalf("%s on %s about nothing", m.Kind, show(at))
	}
	for _, c := range m.Clocks {
		id := fmt.Sprint(m.Kind, c.Kind, c.At)
		w.told[id]++
		if w.told[id] > 1 {
			w.t.Fatalf("%s about %s of %s a second time, on %s", m.Kind, c.Kind, show(c.At), show(at))
		}
		if m.Kind == reminders.Nudge && c.From.After(at) {
			w.t.Fatalf("%s about %s on %s, due only on %s", m.Kind, c.Kind, show(at), show(c.From))
		}
		if m.Kind == reminders.FollowUp && w.told[fmt.Sprint(reminders.Nudge, c.Kind, c.At)] != 1 {
			w.t.Fatalf("follow-up about %s on %s without a nudge", c.Kind, show(at))
		}
	}
	w.say(w.now)
	w.plan = w.plan.Sent(m, w.now, w.s)
	if m.Kind == reminders.FollowUp {
		w.silent = w.now.In(w.s.Zone).AddDate(0, n.SilenceMonths, -3) // whatever the ends of months
	}
}

// Over random years, answers and outages: one nudge and one follow-up a window,
// then silence; nothing after stop; nothing outside the hours and days of the
// rules; never more than one message a day, care messages included.
func TestAnyCustomer(t *testing.T) {
	plain, odd := setting(t), with(t, "from-hour: 9       # never before", "from-hour: 1")
	nudges := 0
	rapid.Check(t, func(rt *rapid.T) {
		w := &walk{t: rt, s: rapid.SampledFrom([]reminders.Setting{plain, odd}).Draw(rt, "setting"), told: map[string]int{}}
		w.now = time.Date(2026, time.December, 1, 0, 0, 0, 0, w.s.Zone).Add(time.Duration(rapid.IntRange(0, 400*24*60).Draw(rt, "begin")) * time.Minute)
		w.plan = w.plan.Worn(rapid.SliceOfNDistinct(rapid.SampledFrom(wears), 0, 3, rapid.ID).Draw(rt, "car")...)
		w.finish()
		w.say(w.now)
		for range rapid.IntRange(1, 25).Draw(rt, "steps") {
			before := len(w.said)
			w.wait()
			nudges += len(w.said) - before
			if rapid.IntRange(0, 2).Draw(rt, "speaks") == 0 {
				w.answer()
			}
		}
	})
	if nudges < 100 {
		t.Errorf("only %d messages in all: this tests nothing", nudges)
	}
}

// A customer who never answers hears at most two messages for each surface, and
// they end.
func TestSilenceComesByItself(t *testing.T) {
	s := setting(t)
	rapid.Check(t, func(rt *rapid.T) {
		var p reminders.Plan
		now := time.Date(2027, time.Month(rapid.IntRange(1, 12).Draw(rt, "month")), 15, 12, 0, 0, 0, s.Zone)
		on := map[string]bool{}
		for _, k := range rapid.SliceOfN(rapid.SampledFrom(kinds), 1, 6).Draw(rt, "kinds") {
			p = p.Apply(s, reminders.Applied{Kind: k, At: now})
			kind, _ := s.Rules.Protection(k)
			on[kind.On] = true
		}
		p = p.Worn(rapid.SliceOfNDistinct(rapid.SampledFrom(wears), 0, 4, rapid.ID).Draw(rt, "car")...)
		count := map[string]int{}
		for n := 0; ; n++ {
			m, ok := p.Next(now, s)
			if !ok {
				break
			}
			if n > 2*len(on) {
				rt.Fatalf("no end: %s", step(p, now, s))
			}
			now = m.At
			for _, c := range m.Clocks {
				count[c.Protection.On]++
			}
			p = p.Sent(m, now, s)
		}
		for surface := range on {
			if count[surface] > 2 || count[surface] == 0 {
				rt.Fatalf("%s: told %d times", surface, count[surface])
			}
		}
	})
}

// Wear never lets protection last longer than the rules allow, and a winter never
// moves a window back.
func TestWindowsAreSound(t *testing.T) {
	s := setting(t)
	rapid.Check(t, func(rt *rapid.T) {
		kind, _ := s.Rules.Protection(rapid.SampledFrom(kinds).Draw(rt, "kind"))
		applied := time.Date(2026, 1, 1, 0, 0, 0, 0, s.Zone).Add(time.Duration(rapid.IntRange(0, 1500*24).Draw(rt, "hour")) * time.Hour)
		car := rapid.SliceOfNDistinct(rapid.SampledFrom(wears), 0, 4, rapid.ID).Draw(rt, "car")
		a := reminders.Applied{Kind: kind.ID, At: applied}
		w := s.Window(a, kind, car...)
		if w.To.Before(w.From) || w.From.Before(applied) || w.From.Hour() != s.Rules.Nudges.FromHour {
			rt.Fatalf("%s of %s: %s to %s", kind.ID, show(applied), show(w.From), show(w.To))
		}
		if !slices.Contains(car, "salted-winter") {
			return
		}
		// The same wear by another name, without the salt.
		dry := pricing.Protection{ID: kind.ID, On: kind.On, MonthsLow: kind.MonthsLow, MonthsHigh: kind.MonthsHigh}
		still := s
		rules := *s.Rules
		rules.Nudges.Winter.Wear = "none"
		still.Rules = &rules
		if o := still.Window(a, dry, car...); w.From.After(o.From) || w.To.After(o.To) {
			rt.Fatalf("%s of %s: winter moved %s back to %s", kind.ID, show(applied), show(o.From), show(w.From))
		}
	})
}
