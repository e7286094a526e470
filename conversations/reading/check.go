package reading

import (
	"fmt"
	"maps"
	"slices"

	"example.org/dryhand/pricing"
	"example.org/dryhand/pricing/plainyaml"
)

// wholeCar is the area of what has no place.
const wholeCar = "car"

// check finds what makes no sense in a file. What the business's rules do not
// have, though the shipped ones do, is no mistake: it is passed over when reading.
func (r *Reader) check(f *plainyaml.File, more *book) {
	areas := append(areaNames(r.rules), wholeCar)
	for _, b := range more.Bodies {
		as := r.book.body(b.ID).As
		if !slices.Contains(pricing.Bodies(), as) {
			f.Wrong("bodies."+b.ID+".as", "%q is no body style; %s", as, plainyaml.Suggest(string(as), names(pricing.Bodies())))
		}
	}
	for _, s := range slices.Sorted(maps.Keys(more.Spots)) {
		oneOf(f, "spots."+s, s, areas)
	}
	for _, a := range slices.Sorted(maps.Keys(more.Tells)) {
		oneOf(f, "tells."+a, a, areas)
	}
	for _, a := range slices.Sorted(maps.Keys(more.Nothing)) {
		oneOf(f, "nothing."+a, a, areas)
	}
	for _, h := range more.Hints {
		at := "hints." + h.ID
		oneOf(f, at+".area", r.book.hint(h.ID).Area, areas)
		for i, a := range h.Also {
			oneOf(f, fmt.Sprintf("%s.also.%d", at, i), a, areas)
		}
		for group, grades := range map[string]map[string]int{"answers": h.Answers, "nearest": h.Nearest, "answers-there": h.There} {
			for _, a := range slices.Sorted(maps.Keys(grades)) {
				field := at + "." + group + "." + a
				oneOf(f, field, a, areas)
				if g := grades[a]; g < 1 || g > 4 {
					f.Wrong(field, "must be the number of one of the four descriptions, 1 to 4, not %d", g)
				}
			}
		}
		if h.Want != "" {
			oneOf(f, at+".want", h.Want, r.book.wantIDs())
		}
		r.checkFlag(f, at, h.Flag)
	}
	for section, lists := range map[string]map[string][]string{"tasks": more.Tasks, "pieces": more.Pieces} {
		for _, id := range slices.Sorted(maps.Keys(lists)) {
			if _, ok := r.rules.Task(id); !ok {
				if _, ok := pricing.DefaultRules().Task(id); !ok {
					f.Wrong(section+"."+id, "the rules file has no task %q", id)
				}
			}
		}
	}
	r.checkNames(f, more)
}

func (r *Reader) checkFlag(f *plainyaml.File, at, flag string) {
	if flag == "" {
		return
	}
	if _, ok := r.rules.Flag(flag); !ok {
		if _, ok := pricing.DefaultRules().Flag(flag); !ok {
			f.Wrong(at+".flag", "the rules file has no flag %q", flag)
		}
	}
}

// checkNames holds the lists whose names the code knows against those names.
func (r *Reader) checkNames(f *plainyaml.File, more *book) {
	for _, s := range slices.Sorted(maps.Keys(more.Surfaces)) {
		oneOf(f, "surfaces."+s, s, []string{"driveway", "garage", "shared", "street"})
	}
	kinds := names(smallKinds())
	for _, s := range slices.Sorted(maps.Keys(more.Small)) {
		oneOf(f, "small."+s, s, kinds)
	}
	for _, c := range slices.Sorted(maps.Keys(more.Cars)) {
		if n := number(c); n < 2 || n > 9 {
			f.Wrong("cars."+c, "must be how many cars, 2 to 9")
		}
	}
}

func oneOf(f *plainyaml.File, at, got string, possible []string) {
	if !slices.Contains(possible, got) {
		f.Wrong(at, "%q is unknown; %s", got, plainyaml.Suggest(got, possible))
	}
}

func names[S ~string](all []S) []string {
	var out []string
	for _, s := range all {
		out = append(out, string(s))
	}
	return out
}

// areaNames are the areas of the rules, and those every business may have.
func areaNames(rules *pricing.Rules) []string {
	out := names([]pricing.Area{pricing.Paintwork, pricing.Wheels, pricing.Headlights, pricing.SoftTop, pricing.Interior, pricing.Glass, pricing.Trim,
		pricing.EngineBay, pricing.Swirls, pricing.PetHair, pricing.Stains, pricing.Smell, pricing.Mould})
	for _, a := range rules.Areas() {
		if !slices.Contains(out, string(a.ID)) {
			out = append(out, string(a.ID))
		}
	}
	return out
}

func (b *book) body(id string) bodyWords {
	for _, x := range b.Bodies {
		if x.ID == id {
			return x
		}
	}
	return bodyWords{}
}

func (b *book) hint(id string) hintWords {
	for _, x := range b.Hints {
		if x.ID == id {
			return x
		}
	}
	return hintWords{}
}

func (b *book) wantIDs() []string {
	var out []string
	for _, w := range b.Wants {
		out = append(out, w.ID)
	}
	return out
}
