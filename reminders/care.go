package reminders

import (
	"slices"
	"time"

	"example.org/dryhand/pricing"
)

// Job is a job that is done, as far as looking after it goes.
type Job struct {
	// At is when it was handed over.
	At time.Time
	// Tasks and Protections are ids of the rules: what was done, what was applied.
	Tasks       []string
	Protections []string
	// Since are ids of what was done to the same car later: it brings its own care,
	// and what it replaces is no longer spoken of.
	Since []string
}

// Tip is one thing to tell about looking after a job.
type Tip struct {
	// ID is the entry of the rules it stands in.
	ID string
	// About is what it is about as the customer reads it, empty for a line about
	// the job as a whole.
	About string
	Words string
}

// CareMessage is what to tell on one day.
type CareMessage struct {
	At   time.Time
	Tips []Tip
}

// dated is a tip with the days after the job on which it makes sense.
type dated struct {
	Tip
	day, until int
}

// Care is everything to tell after a job, one message a day: at the handover,
// then at the care hour of later days.
func (s Setting) Care(j Job) []CareMessage {
	var out []CareMessage
	tips := s.tips(j)
	for _, d := range daysOf(tips) {
		m := CareMessage{At: s.careAt(j, d)}
		for _, t := range tips {
			if t.day == d {
				m.Tips = append(m.Tips, t.Tip)
			}
		}
		out = append(out, m)
	}
	return out
}

// NextCare is when to tell something again after a job of which something was told
// last at some moment; false if all is told. A zero last is before the handover.
func (s Setting) NextCare(j Job, last time.Time) (time.Time, bool) {
	since := s.dayOf(j, last)
	for _, d := range daysOf(s.tips(j)) {
		if d > since {
			return s.careAt(j, d), true
		}
	}
	return time.Time{}, false
}

// CareNow is what to tell at now, if something was told last at some moment: what
// this day brings, and what earlier days brought that could not be sent and still
// makes sense. It is nothing on a day on which something was told already.
func (s Setting) CareNow(j Job, last, now time.Time) []Tip {
	since, today := s.dayOf(j, last), s.dayOf(j, now)
	var out []Tip
	for _, t := range s.tips(j) {
		if since < t.day && t.day <= today && today <= t.until {
			out = append(out, t.Tip)
		}
	}
	return out
}

// careAt is the moment of a day's message. The handover's is at once: it answers
// somebody who is there.
func (s Setting) careAt(j Job, day int) time.Time {
	if day == 0 {
		return j.At
	}
	return onDay(j.At.In(s.Zone), day, s.Rules.Service.CareHour)
}

// dayOf is how many days after the job a moment is, -1 for the zero moment.
func (s Setting) dayOf(j Job, at time.Time) int {
	if at.IsZero() {
		return -1
	}
	return daysBetween(j.At.In(s.Zone), at.In(s.Zone))
}

// tips are all that a job brings: first what the protections applied need, then
// the table of the rules.
func (s Setting) tips(j Job) []dated {
	var out []dated
	for _, id := range j.Protections {
		p, _ := s.Rules.Protection(id)
		for _, words := range p.Care {
			out = append(out, dated{Tip{id, p.Words, words}, 0, 0})
		}
	}
	for _, c := range s.Rules.Aftercare() {
		if !concerns(c, j) {
			continue
		}
		for _, l := range c.Say {
			out = append(out, dated{Tip{c.ID, c.About, l.Words}, l.Day, l.Day + l.GoodFor})
		}
	}
	return out
}

// concerns tells whether an entry of the table belongs to a job.
func concerns(c pricing.Care, j Job) bool {
	since := func(id string) bool { return slices.Contains(j.Since, id) }
	did := func(id string) bool { return slices.Contains(j.Tasks, id) || slices.Contains(j.Protections, id) }
	if slices.ContainsFunc(c.Unless, since) || slices.ContainsFunc(c.After, since) || c.Always && len(j.Since) > 0 {
		return false
	}
	return !slices.ContainsFunc(c.Unless, did) && (c.Always || slices.ContainsFunc(c.After, did))
}

// daysOf are the days on which there is something to tell, in order.
func daysOf(tips []dated) []int {
	var days []int
	for _, t := range tips {
		days = append(days, t.day)
	}
	slices.Sort(days)
	return slices.Compact(days)
}
