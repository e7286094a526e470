package pricing

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"example.org/dryhand/pricing/plainyaml"
)

// units are what a task's minutes may be for.
func units() []string {
	return []string{"car", "outside", "inside", "m2", "soft-top", "wheel", "lamp", "seat"}
}

func checkTasks(f *plainyaml.File, b *book) {
	known := names{tasks: taskIDs(b), flags: flagIDs(b), cautions: slices.Collect(maps.Keys(b.Cautions))}
	for _, a := range b.Areas {
		known.areas = append(known.areas, string(a.ID))
	}
	known.wants = append(slices.Collect(maps.Keys(b.Wants)), known.areas...)
	for _, w := range slices.Sorted(maps.Keys(b.Wants)) {
		if slices.Contains(known.areas, w) || slices.Contains(known.tasks, w) {
			f.Wrong("wants."+w, "is already the name of an area or a task")
		}
	}
	for _, p := range b.Protections {
		known.protections = append(known.protections, p.ID)
	}
	levels := map[string]string{}
	for _, t := range b.Tasks {
		checkTask(f, t, known)
		checkMinutes(f, t)
		if t.Family == "" {
			continue
		}
		level := fmt.Sprintf("%s %d", t.Family, t.Level)
		if other, ok := levels[level]; ok {
			f.Wrong("tasks."+t.ID+".level", "%s has level %d of family %q already; levels must differ", other, t.Level, t.Family)
		}
		levels[level] = t.ID
	}
	checkOrder(f, b)
}

// names are what a task may refer to.
type names struct{ tasks, flags, areas, wants, cautions, protections []string }

func checkTask(f *plainyaml.File, t Task, known names) {
	path := "tasks." + t.ID
	oneOf(f, path+".per", t.Per, units())
	if t.Area != "" {
		oneOf(f, path+".area", string(t.Area), known.areas)
	}
	for _, w := range slices.Sorted(maps.Keys(t.For)) {
		oneOf(f, path+".for."+w, w, known.wants)
		for _, g := range t.For[w] {
			within(f, bound{path + ".for." + w, float64(g), 1, 4})
		}
	}
	if len(t.For) > 0 && t.Area == "" {
		f.Wrong(path, "has no area, so there is no state of it that could bring the task in")
	}
	for _, g := range t.OnlyAt {
		within(f, bound{path + ".only-at", float64(g), 1, 4})
	}
	for _, o := range t.Offer {
		oneOf(f, path+".offer", o, known.wants)
	}
	for _, c := range t.Cautions {
		oneOf(f, path+".cautions", c, known.cautions)
	}
	for i, v := range t.Value {
		within(f, bound{fmt.Sprintf("%s.value.%d", path, i), v, 0, 10})
	}
	if t.Applies != "" {
		oneOf(f, path+".applies", t.Applies, known.protections)
	}
	if t.WithoutWater != "" {
		oneOf(f, path+".without-water", t.WithoutWater, known.tasks)
	}
	for _, id := range slices.Concat(append(t.groups(), t.After)...) {
		oneOf(f, path, id, known.tasks)
	}
	if (t.Family == "") != (t.Level == 0) {
		f.Wrong(path, "family and level belong together")
	}
	for i, m := range t.Mixes {
		checkMix(f, fmt.Sprintf("%s.mixes.%d", path, i), m)
	}
}

func checkMix(f *plainyaml.File, path string, m Mix) {
	if m.Parts[0] < 0 || m.Parts[1] < m.Parts[0] || m.Parts[2] < m.Parts[1] {
		f.Wrong(path+".parts", "must be parts of water for strong, usual, weak, not falling, as in [5, 10, 20]")
	}
	if m.ML[0] < 0 || m.ML[1] < m.ML[0] {
		f.Wrong(path+".ml", "must be least and most, as in [40, 60]")
	}
	if m.Seconds[0] < 0 || m.Seconds[1] < m.Seconds[0] {
		f.Wrong(path+".seconds", "must be least and most, as in [60, 180]")
	}
}

// checkMinutes wants either any, or 1 to 4 without a gap.
func checkMinutes(f *plainyaml.File, t Task) {
	path := "tasks." + t.ID + ".minutes"
	keys := slices.Sorted(maps.Keys(t.Minutes))
	for _, k := range keys {
		if oneOf(f, path+"."+k, k, []string{"1", "2", "3", "4", "any"}) {
			three(f, path+"."+k, t.Minutes[k])
		}
	}
	switch all := strings.Join(keys, ""); {
	case len(keys) == 0:
		f.Wrong(path, "is empty; give 1 to 4, or any")
	case all == "any":
	case strings.Contains(all, "any"):
		f.Wrong(path, "has both any and single states; it must be one or the other")
	case t.Area == "":
		f.Wrong(path, "a task without an area cannot know the state; use any")
	case !strings.Contains("1234", all):
		f.Wrong(path, "has a gap: a state between two others is missing")
	}
}

// checkOrder finds tasks that must come before each other, or that need
// themselves. Two that need each other are fine: there is none without the other.
func checkOrder(f *plainyaml.File, b *book) {
	before := map[string][]string{}
	for _, t := range b.Tasks {
		before[t.ID] = t.After
		if slices.Contains(slices.Concat(t.groups()...), t.ID) {
			f.Wrong("tasks."+t.ID+".needs", "%s can't need itself", t.ID)
		}
	}
	for _, t := range b.Tasks {
		if c := circle(before, t.ID); c != nil {
			f.Wrong("tasks."+t.ID+".after", "goes round in a circle: %s", strings.Join(c, " after "))
			break // the others in the circle would say the same
		}
	}
}

// circle is a way from id back to itself, nil if there is none.
func circle(next map[string][]string, id string) []string {
	seen := map[string]bool{}
	var walk func(at string, way []string) []string
	walk = func(at string, way []string) []string {
		for _, n := range next[at] {
			if n == id {
				return append(way, n)
			}
			if seen[n] {
				continue
			}
			seen[n] = true
			if found := walk(n, append(slices.Clone(way), n)); found != nil {
				return found
			}
		}
		return nil
	}
	return walk(id, []string{id})
}
