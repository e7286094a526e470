package pricing

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/pricing/plainyaml"
)

// WinterRules move a nudge forward, so that protection is fresh before the roads
// are salted.
type WinterRules struct {
	// Wear is the circumstance that tells of salted roads.
	Wear string `yaml:"wear"`
	// From and To are the first and last day on which roads are salted.
	From MonthDay `yaml:"from"`
	To   MonthDay `yaml:"to"`
	// WeeksBefore From is when to nudge, if it would otherwise be in between.
	WeeksBefore int `yaml:"weeks-before"`
	// AtLeast is the share of its time that a protection must have had, however
	// near the winter.
	AtLeast float64 `yaml:"at-least"`
}

// In tells whether the roads are salted on a day, both ends included.
func (w WinterRules) In(d MonthDay) bool { return between(d, w.From, w.To) }

// ServiceRules are when messages about an appointment or about work just done
// leave. They are no nudges: whoever has an appointment gets them.
type ServiceRules struct {
	// FromHour and ToHour are the hours of the day between which to write.
	FromHour int `yaml:"from-hour"`
	ToHour   int `yaml:"to-hour"`
	// DayBeforeHour is the hour of the day before at which to say what to prepare.
	DayBeforeHour int `yaml:"day-before-hour"`
	// MorningHours before the start is when to say that we are on our way.
	MorningHours int `yaml:"morning-hours"`
	// CareHour is the hour of the day for care messages after the day of the job.
	CareHour int `yaml:"care-hour"`
	// QuoteDays after a guide price without an answer is when to ask after it, once.
	QuoteDays int `yaml:"quote-days"`
	// Sweep is when to look for what is due without having been woken, as a cron line
	// by the business's clock; empty is every minute. Whoever runs the sweep checks it.
	Sweep string `yaml:"sweep,optional"`
}

// Care is what to tell a customer, and on which day, after a piece of work.
type Care struct {
	ID string `yaml:",key"`
	// About is what the lines are about, as the customer reads it.
	About string `yaml:"about,optional"`
	// After are the tasks done and the protections applied, any of which brings
	// the lines in; Unless those, any of which keeps them out.
	After  []string `yaml:"after,optional"`
	Unless []string `yaml:"unless,optional"`
	// Always lines come after every job.
	Always bool       `yaml:"always,optional"`
	Say    []CareLine `yaml:"say"`
}

// CareLine is one thing to say.
type CareLine struct {
	// Day is how many days after the job; 0 is at the handover.
	Day   int    `yaml:"day"`
	Words string `yaml:"words"`
	// GoodFor is for how many days more it makes sense, should it be late.
	GoodFor int `yaml:"good-for,optional"`
}

// Aftercare is the table of what to tell after which work, in the order in which
// it is told.
func (r *Rules) Aftercare() []Care { return slices.Clone(r.book.Aftercare) }

// Surfaces are what protection can lie on, sorted.
func (r *Rules) Surfaces() []string { return surfaces(&r.book) }

func surfaces(b *book) []string {
	on := map[string]bool{}
	for _, p := range b.Protections {
		on[p.On] = true
	}
	return slices.Sorted(maps.Keys(on))
}

// between tells whether a day of the year lies from one to another, both
// included. They may run over the end of the year.
func between(d, from, to MonthDay) bool {
	at := func(m MonthDay) int { return int(m.Month)*32 + m.Day }
	if at(from) <= at(to) {
		return at(from) <= at(d) && at(d) <= at(to)
	}
	return at(d) >= at(from) || at(d) <= at(to)
}

// checkCare looks for reminders and care that can be read but make no sense.
func checkCare(f *plainyaml.File, b *book) {
	n, w, s := b.Nudges, b.Nudges.Winter, b.Service
	for _, x := range []bound{
		{"nudges.still-fine-weeks", float64(n.StillFineWeeks), 1, 52},
		{"nudges.silence-months", float64(n.SilenceMonths), 1, 60},
		{"nudges.winter.weeks-before", float64(w.WeeksBefore), 0, 26},
		{"nudges.winter.at-least", w.AtLeast, 0, 1},
		{"service.from-hour", float64(s.FromHour), 0, 23},
		{"service.to-hour", float64(s.ToHour), float64(s.FromHour) + 1, 24},
		{"service.day-before-hour", float64(s.DayBeforeHour), float64(s.FromHour), float64(s.ToHour) - 1},
		{"service.care-hour", float64(s.CareHour), float64(s.FromHour), float64(s.ToHour) - 1},
		{"service.morning-hours", float64(s.MorningHours), 1, 12},
		{"service.quote-days", float64(s.QuoteDays), 1, 60},
	} {
		within(f, x)
	}
	checkSeasons(f, b)
	for _, on := range n.Leads {
		oneOf(f, "nudges.leads", on, surfaces(b))
	}
	for _, c := range b.Aftercare {
		checkCareOf(f, b, c)
	}
}

// checkSeasons looks for a year that leaves no day to nudge on, and for a winter
// nobody can tell of.
func checkSeasons(f *plainyaml.File, b *book) {
	var wears []string
	for _, w := range b.Wear.When {
		wears = append(wears, w.ID)
	}
	oneOf(f, "nudges.winter.wear", b.Nudges.Winter.Wear, wears)
	const few = 60
	free := 0
	for month := range 12 {
		for day := range 28 {
			if !between(MonthDay{time.Month(month + 1), day + 1}, b.Nudges.NotFrom, b.Nudges.NotTo) {
				free++
			}
		}
	}
	if free < few {
		f.Wrong("nudges.not-to", "leaves hardly a day of the year to write on; check the two dates")
	}
}

// furthest is the last day after a job on which care is still about that job.
const furthest = 120

// wordiest is the most characters one line of a care message may have.
const wordiest = 240

func checkCareOf(f *plainyaml.File, b *book, c Care) {
	path := "aftercare." + c.ID
	possible := slices.Concat(taskIDs(b), protectionIDs(b))
	for _, id := range slices.Concat(c.After, c.Unless) {
		oneOf(f, path, id, possible)
	}
	if c.Always == (len(c.After) > 0) {
		f.Wrong(path, "needs either after, with what brings it in, or always: true")
	}
	last := -1
	for i, l := range c.Say {
		at := fmt.Sprintf("%s.say.%d", path, i)
		within(f, bound{at + ".day", float64(l.Day), 0, furthest})
		within(f, bound{at + ".good-for", float64(l.GoodFor), 0, furthest})
		if l.Day <= last {
			f.Wrong(at+".day", "the days must follow each other, each once")
		}
		last = l.Day
		if n := len([]rune(l.Words)); n == 0 || n > wordiest {
			f.Wrong(at+".words", "must have 1 to %d characters, not %d; a chat is no leaflet", wordiest, n)
		}
		if strings.Contains(l.Words, "{{") {
			f.Wrong(at+".words", "is said as it stands; {{…}} is not understood here")
		}
	}
	if len(c.Say) == 0 {
		f.Wrong(path+".say", "says nothing")
	}
}

func protectionIDs(b *book) []string {
	var ids []string
	for _, p := range b.Protections {
		ids = append(ids, p.ID)
	}
	return ids
}
