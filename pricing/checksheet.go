package pricing

import (
	"fmt"
	"maps"
	"slices"

	"example.org/dryhand/pricing/plainyaml"
)

// checkSheet looks through how the work is done, if the file says.
func checkSheet(f *plainyaml.File, b *book) {
	s := &b.Sheet
	if len(s.Steps) == 0 {
		return
	}
	for _, x := range []bound{
		{"sheet.lance.flow", s.Lance.Flow, 1, 100},
		{"sheet.lance.ml", s.Lance.ML, 100, 10_000},
		{"sheet.lance.empties", s.Lance.Empties, 5, 3600},
		{"sheet.warm-times", s.WarmTimes, 0.1, 1},
	} {
		within(f, x)
	}
	checkContainers(f, s)
	checkPieces(f, s)
	checkProducts(f, b)
	flags := flagIDs(b)
	cautions := slices.Collect(maps.Keys(b.Cautions))
	for _, id := range slices.Sorted(maps.Keys(s.OnFlag)) {
		oneOf(f, "sheet.on-flag."+id, id, flags)
		for _, c := range s.OnFlag[id] {
			oneOf(f, "sheet.on-flag."+id, c, cautions)
		}
	}
	checkSteps(f, b)
}

func checkContainers(f *plainyaml.File, s *SheetRules) {
	for _, c := range s.Containers {
		path := "sheet.containers." + c.ID + ".ml"
		last := 0.0
		for _, ml := range c.ML {
			if ml <= last || ml > 1e6 {
				f.Wrong(path, "must be sizes in ml, above 0, smallest first, as in [500, 1000]")
			}
			last = ml
		}
		if c.Lance && len(c.ML) > 0 {
			f.Wrong(path, "the lance's bottle is measured under sheet.lance; leave its sizes out here")
		}
	}
}

// counted are the pieces of which the car decides how many there are.
func counted() []string { return []string{"wheel", "lamp", "seat"} }

func checkPieces(f *plainyaml.File, s *SheetRules) {
	for _, p := range s.Pieces {
		if len(p.Names) == 0 && !slices.Contains(counted(), p.ID) {
			f.Wrong("sheet.pieces."+p.ID, "needs names, one for each, as nothing else says how many there are")
		}
	}
}

// checkProducts holds mixes and products together: every mix is of a product we
// know the hazards of, and every task that uses it says so.
func checkProducts(f *plainyaml.File, b *book) {
	s := &b.Sheet
	used := map[string]bool{}
	for _, t := range b.Tasks {
		for i, m := range t.Mixes {
			used[m.What] = true
			p, ok := s.Product(m.What)
			if !ok {
				f.Wrong(fmt.Sprintf("tasks.%s.mixes.%d.what", t.ID, i), "%q is not among sheet.products, so nobody knows what care it needs", m.What)
			}
			for _, h := range p.Is {
				if !slices.Contains(t.Cautions, h.Caution()) {
					f.Wrong("tasks."+t.ID, "uses %q, which is %s; its cautions must name %q", m.What, h, h.Caution())
				}
			}
		}
	}
	for _, p := range s.Products {
		path := "sheet.products." + p.What
		if !used[p.What] {
			f.Wrong(path, "no mix is called %q", p.What)
		}
		for _, h := range p.Is {
			oneOf(f, path+".is", string(h), []string{string(Acid), string(Bleach), string(Caustic), string(Solvent), string(Biocide)})
		}
		oneOf(f, path+".in", p.In, ids(s.Containers, func(c Container) string { return c.ID }))
	}
}

func ids[T any](list []T, id func(T) string) []string {
	var out []string
	for _, x := range list {
		out = append(out, id(x))
	}
	return out
}

func checkSteps(f *plainyaml.File, b *book) {
	s, tasks := &b.Sheet, taskIDs(b)
	before := Before(b.Tasks)
	for _, t := range b.Tasks {
		if step, _ := s.Step(t.ID); len(t.After) > 0 && step.Why == "" {
			f.Wrong("sheet.steps."+t.ID, "why is missing: %s comes after something else, so say why", t.ID)
		}
	}
	for _, x := range s.Steps {
		path := "sheet.steps." + x.Task
		if !oneOf(f, path, x.Task, tasks) {
			continue
		}
		t := b.Tasks[slices.Index(tasks, x.Task)]
		for i, a := range x.Apply {
			checkApply(f, fmt.Sprintf("%s.apply.%d", path, i), s, t, a)
		}
		for _, m := range x.Meanwhile {
			if !oneOf(f, path+".meanwhile", m, tasks) {
				continue
			}
			if other, _ := s.Step(m); len(other.Apply) > 0 {
				f.Wrong(path+".meanwhile", "%s has waiting of its own", m)
			}
			if before[m][x.Task] || before[x.Task][m] || m == x.Task {
				f.Wrong(path+".meanwhile", "%s cannot be done meanwhile: one must be finished before the other", m)
			}
		}
	}
}

func checkApply(f *plainyaml.File, path string, s *SheetRules, t Task, a Apply) {
	var with []string
	for _, m := range t.Mixes {
		if m.Seconds[1] > 0 {
			with = append(with, m.What)
		}
	}
	oneOf(f, path+".what", a.What, with)
	oneOf(f, path+".by", a.By, ids(s.Pieces, func(p Piece) string { return p.ID }))
	within(f, bound{path + ".on", float64(a.On), 1, 3600})
	within(f, bound{path + ".off", float64(a.Off), 1, 3600})
}

// Before tells for each task which others must be finished first, directly or
// through others, whether or not those are done.
func Before(tasks []Task) map[string]map[string]bool {
	out := map[string]map[string]bool{}
	after := map[string][]string{}
	for _, t := range tasks {
		after[t.ID] = t.After
	}
	for _, t := range tasks {
		out[t.ID] = map[string]bool{}
		todo := slices.Clone(t.After)
		for len(todo) > 0 {
			id := todo[0]
			todo = todo[1:]
			if !out[t.ID][id] {
				out[t.ID][id] = true
				todo = append(todo, after[id]...)
			}
		}
	}
	return out
}
