package pricing

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"example.org/dryhand/pricing/plainyaml"
)

// FieldError is something wrong with one field of an enquiry.
type FieldError struct {
	// Field is the path of the field, such as "grades.wheels".
	Field string
	// Text says what is wrong and what would be right.
	Text string
}

// Error is "field: text".
func (e *FieldError) Error() string { return e.Field + ": " + e.Text }

// Check finds everything in an enquiry that the rules cannot work with. The
// error joins [FieldError]s.
func (r *Rules) Check(e Enquiry) error {
	c := checker{areas: r.areaIDs()}
	c.vehicle(e.Vehicle)
	c.grades("grades", e.Graded, Light)
	c.grades("answers", e.Said, Unknown)
	c.grades("earlier", e.Earlier, Light)
	c.each("wants", e.Wants, r.wantable)
	c.each("flags", e.Flags, func() []string { return flagIDs(&r.book) })
	for i, a := range e.Priorities {
		c.oneOf(fmt.Sprintf("priorities[%d]", i), string(a), c.areas)
	}
	c.oneOf("place.surface", e.Site.Surface, []string{"", "driveway", "garage", "shared", "street"})
	c.oneOf("place.drain", e.Site.Drain, []string{"", "unknown", "soil", "foul", "surface"})
	if !(e.Site.Miles >= 0 && e.Site.Miles <= 1000) {
		c.add("place.miles", "must be between 0 and 1000, not %g", e.Site.Miles)
	}
	if e.Budget < 0 || e.Budget > mostPounds*100 {
		c.add("budget", "must be between £0 and £%d, not %v", mostPounds, e.Budget)
	}
	return errors.Join(c.errs...)
}

type checker struct {
	areas []string
	errs  []error
}

func (c *checker) add(field, format string, args ...any) {
	c.errs = append(c.errs, &FieldError{field, fmt.Sprintf(format, args...)})
}

func (c *checker) oneOf(field, got string, possible []string) {
	if slices.Contains(possible, got) {
		return
	}
	possible = slices.DeleteFunc(possible, func(s string) bool { return s == "" })
	c.add(field, "%q is unknown; %s", got, plainyaml.Suggest(got, possible))
}

// each checks a list; what is possible is worked out only if there is something
// to check.
func (c *checker) each(field string, got []string, possible func() []string) {
	if len(got) == 0 {
		return
	}
	all := possible()
	for i, x := range got {
		if !slices.Contains(all, x) {
			c.oneOf(fmt.Sprintf("%s[%d]", field, i), x, all)
		}
	}
}

// sizes no road vehicle leaves, in millimetres and pieces.
func (c *checker) vehicle(v Vehicle) {
	if _, ok := shapeOf(v.Body); !ok {
		var all []string
		for _, b := range Bodies() {
			all = append(all, string(b))
		}
		c.oneOf("vehicle.body", string(v.Body), all)
	}
	for _, x := range []struct {
		field          string
		got, low, high int
	}{
		{"vehicle.length_mm", v.LengthMM, 2000, 8000},
		{"vehicle.width_mm", v.WidthMM, 1000, 2600},
		{"vehicle.height_mm", v.HeightMM, 900, 3500},
		{"vehicle.seats", v.Seats, 1, 9},
		{"vehicle.wheels", v.Wheels, 3, 6},
		{"vehicle.lamps", v.Lamps, 1, 8},
	} {
		if x.got < x.low || x.got > x.high {
			c.add(x.field, "must be between %d and %d, not %d", x.low, x.high, x.got)
		}
	}
}

func (c *checker) grades(field string, m map[Area]Grade, least Grade) {
	for _, a := range slices.Sorted(maps.Keys(m)) {
		c.oneOf(field, string(a), c.areas)
		if g := m[a]; g < least || g > Severe {
			c.add(field+"."+string(a), "must be between %d and 4, not %d", least, g)
		}
	}
}

func (r *Rules) areaIDs() []string {
	var ids []string
	for _, a := range r.book.Areas {
		ids = append(ids, string(a.ID))
	}
	return ids
}

// wantable is everything that may be asked for.
func (r *Rules) wantable() []string {
	return slices.Concat(slices.Sorted(maps.Keys(r.book.Wants)), r.areaIDs(), taskIDs(&r.book))
}
