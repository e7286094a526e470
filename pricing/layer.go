package pricing

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"example.org/dryhand/pricing/plainyaml"
)

// Layer is what lies over a rules file: what the owner has changed from the chat,
// and what was learnt from his jobs and he agreed to. What is nil or empty leaves
// the file as it is.
type Layer struct {
	// Version counts the changes, from 1; in 0 nothing was ever changed.
	Version int `json:"version,omitempty"`

	Rate    *Pence `json:"rate,omitempty"`    // an hour
	Skilled *Pence `json:"skilled,omitempty"` // an hour
	Minimum *Pence `json:"minimum,omitempty"`
	// Notice is in hours, FreeMiles and MostMiles are one way; a MostMiles of 0 is
	// no limit.
	Notice    *int     `json:"notice,omitempty"`
	FreeMiles *float64 `json:"free_miles,omitempty"`
	MostMiles *float64 `json:"most_miles,omitempty"`
	// Hours are the working hours of single days of the week, by name; none is a
	// day off.
	Hours map[string][]Span `json:"hours,omitempty"`
	// Unused are the kinds of protection that are not offered.
	Unused []string `json:"unused,omitempty"`

	// Language is what the owner reads, as a BCP 47 tag; empty is that of the business.
	// No price depends on it.
	Language string `json:"language,omitempty"`

	// Answers are the gradings of the areas for which the owner has agreed to
	// reckon with them.
	Answers map[Area]Gradings `json:"answers,omitempty"`
	// Pace is by how much his minutes differ from the file's, by area; 1 is not at
	// all. The empty area is the work in none.
	Pace map[Area]float64 `json:"pace,omitempty"`
}

// layered is what of a layer has no place in a rules file.
type layered struct {
	own    map[Area]table
	pace   map[Area]float64
	unused []bool // by task; nil if all are in use
}

// The bounds of a pace. Nobody is ten times as quick as his own rules: such a
// figure is a slip of the thumb.
const (
	paceLeast = 0.3
	paceMost  = 3
)

// Under are the rules with a layer over them. The layer should have passed
// [Rules.CheckLayer]; names the file no longer knows change nothing. It is cheap
// enough to be done for every message.
func (r *Rules) Under(l Layer) *Rules {
	if l.Version == 0 {
		return r
	}
	over := *r
	l.onto(&over.book)
	over.Money, over.Diary, over.Place = over.book.Money, over.book.Diary, over.book.Place
	over.version = fmt.Sprintf("%s+%d", r.version, l.Version)
	over.layered = layered{own: r.learnt(l.Answers), pace: l.Pace, unused: r.without(l.Unused)}
	return &over
}

// CheckLayer looks at a layer as strictly as at a file. The error is a [FieldError],
// the first thing that is wrong.
func (r *Rules) CheckLayer(l Layer) error {
	b := r.book
	l.onto(&b)
	f := plainyaml.Blank("settings")
	check(f, &b)
	for _, id := range l.Unused {
		oneOf(f, "unused", id, r.optional())
	}
	areas := r.areaIDs()
	for _, a := range slices.Sorted(maps.Keys(l.Answers)) {
		oneOf(f, "answers", string(a), areas)
	}
	for _, a := range slices.Sorted(maps.Keys(l.Pace)) {
		if a != "" && !oneOf(f, "pace", string(a), areas) {
			continue
		}
		within(f, bound{"pace." + string(a), l.Pace[a], paceLeast, paceMost})
	}
	var m *plainyaml.Mistake
	if err := f.Err(); errors.As(err, &m) {
		path, text, _ := strings.Cut(m.Text, ": ")
		return &FieldError{path, text}
	}
	return nil
}

// onto writes what a layer changes into a copy of what the file says.
func (l Layer) onto(b *book) {
	set(&b.Money.Rate, l.Rate)
	set(&b.Money.SkilledRate, l.Skilled)
	set(&b.Money.Minimum, l.Minimum)
	set(&b.Money.FreeMiles, l.FreeMiles)
	set(&b.Diary.NoticeHours, l.Notice)
	set(&b.Place.MostMiles, l.MostMiles)
	if len(l.Hours) == 0 {
		return
	}
	b.Diary.Hours = maps.Clone(b.Diary.Hours)
	for day, spans := range l.Hours {
		if len(spans) == 0 {
			delete(b.Diary.Hours, day)
		} else {
			b.Diary.Hours[day] = spans
		}
	}
}

func set[T any](into *T, to *T) {
	if to != nil {
		*into = *to
	}
}

// learnt are the tables of answers after the gradings. All of them together move
// the file's table ([table.learned]); the moved table, worth as many cars as the
// file says, is what each area starts from. So an area few cars tell of
// borrows from the others, and one with many stands on its own.
func (r *Rules) learnt(gradings map[Area]Gradings) map[Area]table {
	if len(gradings) == 0 {
		return nil
	}
	var all table
	for _, g := range gradings {
		for i := range g {
			for k := range g[i] {
				all[i][k] += float64(g[i][k])
			}
		}
	}
	shared := r.answers.learned(&all, r.book.Answers.Worth)
	out := map[Area]table{}
	for _, a := range r.book.Areas {
		if g, ok := gradings[a.ID]; ok {
			out[a.ID] = shared.moved(g, r.usually(a), r.book.Answers.Worth)
		}
	}
	return out
}

// answersAbout is the table of answers for an area.
func (r *Rules) answersAbout(a Area) table {
	if t, ok := r.own[a]; ok {
		return t
	}
	return r.answers
}

// paceOf is by how much a task's minutes differ from those of the file.
func (r *Rules) paceOf(t *task) float64 {
	if p, ok := r.pace[t.Area]; ok {
		return p
	}
	return 1
}

// without marks the tasks that are only there to apply a protection not in use.
func (r *Rules) without(unused []string) []bool {
	if len(unused) == 0 {
		return nil
	}
	out := make([]bool, len(r.tasks))
	for i := range r.tasks {
		out[i] = r.optionalTask(i) && slices.Contains(unused, r.tasks[i].Applies)
	}
	return out
}

func (r *Rules) isUnused(i int) bool { return r.unused != nil && r.unused[i] }

// Optional are the protections an owner may take out of use: those that are put on
// by work that does nothing else.
func (r *Rules) Optional() []Protection {
	ids := r.optional()
	return slices.DeleteFunc(r.Protections(), func(p Protection) bool { return !slices.Contains(ids, p.ID) })
}

func (r *Rules) optional() []string {
	var ids []string
	for i, t := range r.tasks {
		if r.optionalTask(i) && !slices.Contains(ids, t.Applies) {
			ids = append(ids, t.Applies)
		}
	}
	return ids
}

// optionalTask tells whether a task can be taken out without leaving a hole:
// nothing brings it in by itself, or its family has something else to put on.
func (r *Rules) optionalTask(i int) bool {
	t := &r.tasks[i]
	if t.Applies == "" {
		return false
	}
	return len(t.For) == 0 || t.Family != "" && slices.ContainsFunc(r.tasks, func(o task) bool {
		return o.Family == t.Family && o.Applies != "" && o.Applies != t.Applies
	})
}

// InUse tells whether a protection is offered.
func (r *Rules) InUse(protection string) bool {
	for i, t := range r.tasks {
		if t.Applies == protection && !r.isUnused(i) {
			return true
		}
	}
	return false
}
