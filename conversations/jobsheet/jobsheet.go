// Package jobsheet turns agreed work into the page that leads through it: the
// steps in a safe order with the reason for their place, minutes and clock, mixes
// for the container at hand, when to put a product on which piece and when to
// rinse it, what to bring, what to beware of, when to stop, and what is not to be
// done at all.
//
// [New] makes a [Sheet] from a [Job]; [Words.Messages] writes it for a chat and
// [Words.Page] as one HTML page to print. The package is pure. What it knows of
// the work stands in the rules file, what it says around that in a file of words.
package jobsheet

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"example.org/dryhand/pricing"
)

// Job is one piece of agreed work.
type Job struct {
	// Customer, Car and Place are for the heading, in anybody's words.
	Customer, Car, Place string
	Vehicle              pricing.Vehicle
	Site                 pricing.Site
	// Grades are the states of the areas; of one absent nothing is known.
	Grades map[pricing.Area]pricing.Grade
	// Flags are circumstances of the rules file.
	Flags []string
	Work  []Work
	// Start is when the work begins, in the time zone the sheet is to show.
	Start time.Time
	// Sunset is when daylight ends, zero where that does not matter.
	Sunset time.Time
	// Warm tells of heat, wind or sun, in which products dry early.
	Warm bool
	// Sizes are the containers at hand, in ml by their id in the rules, where
	// they are not those of the rules.
	Sizes map[string]float64
	// Refused, NeedToSee, Refer, Left, Stays and Notes are what the quote said.
	Refused, NeedToSee string
	Refer              []pricing.Referral
	Left               []pricing.Left
	Stays, Notes       []string
	// Said are lines of what the owner has promised besides, in anybody's words.
	Said []string
}

// Work is one task with its hands-on minutes. What is no task of the rules, such
// as setting up, carries its own words.
type Work struct {
	Task    string
	Words   string
	Minutes float64
}

// FromQuote is the job a quote of an enquiry describes. The areas nobody has
// graded take their most probable state.
func FromQuote(r *pricing.Rules, q pricing.Quote, e pricing.Enquiry, start time.Time) Job {
	j := Job{
		Car: e.Vehicle.Name, Vehicle: e.Vehicle, Site: e.Site, Flags: raised(r, e), Start: start,
		Grades:  map[pricing.Area]pricing.Grade{},
		Refused: q.Refused, NeedToSee: q.NeedToSee, Refer: q.Refer, Left: q.Out, Stays: q.WontComeOut, Notes: q.Notes,
	}
	for _, l := range q.In {
		if l.Minutes > 0 {
			j.Work = append(j.Work, Work{l.Task, l.Words, l.Minutes})
		}
	}
	for a, odds := range q.Grades {
		j.Grades[a] = pricing.Grade(1 + slices.Index(odds[:], slices.Max(odds[:])))
	}
	for a, g := range e.Graded {
		if g != pricing.Unknown {
			j.Grades[a] = g
		}
	}
	return j
}

// raised are the flags named in an enquiry, and those its answers raise.
func raised(r *pricing.Rules, e pricing.Enquiry) []string {
	flags := e.Flags
	for _, a := range r.Areas() {
		if e.Graded[a.ID] == pricing.Unknown {
			flags = add(flags, a.Raises[int(e.Said[a.ID])])
		}
	}
	return flags
}

// Sheet is a job made ready to be read. Texts from the rules and from people are
// as they were given; nothing is escaped.
type Sheet struct {
	Business, Customer, Car, Place string
	Start, End                     time.Time
	// Refused, if not empty, is why no work is to be done; there are no steps.
	Refused string
	// LookFirst, if not empty, is why the price must wait for a look.
	LookFirst string
	Steps     []Step
	// Bring is what is used or needed, and Products the shelf, both once each.
	Bring    []string
	Products []Amount
	// Cautions are for the whole job; each step has its own as well.
	Cautions []string
	// AcidAndBleach tells that the job uses both; they must never meet.
	AcidAndBleach bool
	// Dark is the number, from 1, of the first step that reaches past daylight,
	// 0 if none does or it does not matter.
	Dark   int
	Sunset time.Time
	Warm   bool
	// Stop is when to stop, whatever the step.
	Stop []string
	// Elsewhere is what other trades have to do, Dropped the tasks that are not
	// to be done because of it, NotAgreed what nobody asked for, Stays what will
	// not come out.
	Elsewhere []string
	Dropped   []Dropped
	NotAgreed []string
	Stays     []string
	Notes     []string
	// Said is what was promised besides, see Job.
	Said []string
}

// Dropped is a task that was in the work and must not be done.
type Dropped struct{ Words, Why string }

// Step is one task of the job.
type Step struct {
	// Task is its id in the rules.
	Task, Words string
	Start, End  time.Time
	// Hands is the hands-on time that belongs to the task, Ahead how much of it
	// is done while an earlier step waits, and Idle how long this one waits
	// with nothing to do.
	Hands, Ahead, Idle time.Duration
	// Why is why it stands here, After the tasks of this job it must follow.
	Why      string
	After    []string
	Mixes    []Mix
	Waiting  []Waiting
	Gentlest []string
	Cautions []string
	Dries    string
	// Said are lines of what was promised or told of this step, in anybody's words.
	Said []string

	hazards []pricing.Hazard
}

// New makes the sheet. The error tells of work that is no task of the rules and
// has no words, of a task twice, and of minutes that are not above 0.
func New(r *pricing.Rules, j Job) (Sheet, error) {
	if err := j.check(r); err != nil {
		return Sheet{}, err
	}
	m := maker{rules: r, how: r.Sheet(), job: j}
	s := Sheet{
		Business: r.Business.Name, Customer: j.Customer, Car: j.Car, Place: j.Place, Start: j.Start, End: j.Start,
		Refused: j.Refused, LookFirst: j.NeedToSee, Stop: m.how.Stop, Stays: j.Stays, Notes: j.Notes, Said: j.Said, Warm: j.Warm,
	}
	for _, x := range j.Refer {
		s.Elsewhere = add(s.Elsewhere, x.Words)
	}
	for _, x := range j.Left {
		s.NotAgreed = add(s.NotAgreed, x.Words)
	}
	m.flags(&s)
	if s.Refused != "" {
		return s, nil
	}
	m.steps(&s)
	m.clock(&s)
	m.gather(&s)
	return s, nil
}

func (j Job) check(r *pricing.Rules) error {
	var wrong []error
	seen := map[string]bool{}
	for _, w := range j.Work {
		if _, ok := r.Task(w.Task); !ok && w.Words == "" {
			wrong = append(wrong, fmt.Errorf("jobsheet: %q is no task of the rules and has no words", w.Task))
		}
		if seen[w.Task] {
			wrong = append(wrong, fmt.Errorf("jobsheet: %q is in the work twice", w.Task))
		}
		if !(w.Minutes > 0 && w.Minutes < 10_000) {
			wrong = append(wrong, fmt.Errorf("jobsheet: %q takes %v minutes; it must be above 0", w.Task, w.Minutes))
		}
		seen[w.Task] = true
	}
	return errors.Join(wrong...)
}

// maker makes one sheet.
type maker struct {
	rules *pricing.Rules
	how   *pricing.SheetRules
	job   Job
	// stopped are the tasks that must not be done, with the reason.
	stopped map[string]string
}

// flags writes what the circumstances forbid, send elsewhere or ask for.
func (m *maker) flags(s *Sheet) {
	m.stopped = map[string]string{}
	for _, id := range m.job.Flags {
		f, ok := m.rules.Flag(id)
		if !ok {
			continue
		}
		switch f.Outcome {
		case pricing.Refuse:
			s.Refused = f.Words
		case pricing.Refer:
			s.Elsewhere = add(s.Elsewhere, f.Words)
		case pricing.See:
			s.LookFirst = f.Words
		case pricing.Note:
			s.Notes = add(s.Notes, f.Words)
		}
		for _, t := range f.Stops {
			m.stopped[t] = f.Words
		}
		for _, c := range m.how.OnFlag[id] {
			s.Cautions = add(s.Cautions, m.rules.Caution(c))
		}
	}
}

// add appends a text that is neither empty nor there already.
func add(list []string, text string) []string {
	if text == "" || slices.Contains(list, text) {
		return list
	}
	return append(slices.Clip(list), text)
}
