package pricing

import (
	"fmt"
	"slices"

	"example.org/dryhand/pricing/minutes"
)

// task is a task prepared for reckoning.
type task struct {
	Task
	shapes  [4]minutes.Shape // by grade, light first
	present [4]bool          // whether there is anything to do at that grade
	needs   [][]int          // of each group one, by index
	without int              // what to do instead without water, -1 for nothing
	area    int              // index into the areas, -1 for none
}

// prepare puts the tasks in the order they are done and works out their curves.
func prepare(b book) []task {
	sorted := inOrder(b.Tasks)
	index := map[string]int{}
	for i, t := range sorted {
		index[t.ID] = i
	}
	out := make([]task, len(sorted))
	for i, t := range sorted {
		p := task{Task: t, without: -1, area: -1}
		p.area = slices.IndexFunc(b.Areas, func(a AreaRule) bool { return a.ID == t.Area })
		if t.WithoutWater != "" {
			p.without = index[t.WithoutWater]
		}
		for _, group := range t.groups() {
			var ids []int
			for _, id := range group {
				ids = append(ids, index[id])
			}
			p.needs = append(p.needs, ids)
		}
		p.shape()
		out[i] = p
	}
	return out
}

// shape prepares the minutes of the four grades: of one left out above the
// others, those of the highest given; below the others, nothing.
func (t *task) shape() {
	var last *minutes.Shape
	for g := range 4 {
		m, ok := t.Minutes[fmt.Sprint(g+1)]
		if !ok && g == 0 {
			m, ok = t.Minutes["any"]
		}
		if ok {
			s := minutes.Prepare(minutes.Estimate{Low: m[0], Likely: m[1], High: m[2]})
			last = &s
		}
		if last != nil {
			t.shapes[g], t.present[g] = *last, true
		}
	}
}

// mean is the expected minutes for one unit at a grade index, 0 to 3.
func (t *task) mean(g int) float64 {
	if !t.present[g] {
		return 0
	}
	return t.shapes[g].Estimate().Mean()
}

// inOrder sorts tasks so that each comes after those it must follow, and
// otherwise as the file has them.
func inOrder(tasks []Task) []Task {
	var out []Task
	done := map[string]bool{}
	byID := map[string]Task{}
	for _, t := range tasks {
		byID[t.ID] = t
	}
	var place func(t Task)
	place = func(t Task) {
		if done[t.ID] {
			return
		}
		done[t.ID] = true
		for _, id := range t.After {
			place(byID[id])
		}
		out = append(out, t)
	}
	for _, t := range tasks {
		place(t)
	}
	return out
}

// brought tells whether a want brings the task in at a grade.
func (t *task) brought(want string, g Grade) bool { return slices.Contains(t.For[want], g) }

// AreasOf are the areas whose state can change the price of a want: those of the
// tasks it brings in, and of what these need.
func (r *Rules) AreasOf(want string) []Area {
	in := make([]bool, len(r.tasks))
	for i, t := range r.tasks {
		in[i] = t.ID == want || len(t.For[want]) > 0
	}
	// Needs stand in any order, so go round until nothing is added.
	for more := true; more; {
		more = false
		for i := range r.tasks {
			for _, group := range r.tasks[i].needs {
				if in[i] && !in[group[0]] {
					in[group[0]], more = true, true
				}
			}
		}
	}
	var out []Area
	for a, rule := range r.book.Areas {
		if slices.ContainsFunc(r.tasks, func(t task) bool { return t.area == a && in[r.index(t.ID)] }) {
			out = append(out, rule.ID)
		}
	}
	return out
}

// index is where a task stands in the order of work, -1 if there is none.
func (r *Rules) index(id string) int {
	return slices.IndexFunc(r.tasks, func(t task) bool { return t.ID == id })
}

// units is how many units of a task a car has.
func (v Vehicle) units(per string) float64 {
	switch per {
	case "outside":
		return v.OutsideSize()
	case "inside":
		return v.InsideSize()
	case "m2":
		return v.PaintedArea()
	case "soft-top":
		return v.SoftTopArea()
	case "wheel":
		return float64(v.Wheels)
	case "lamp":
		return float64(v.Lamps)
	case "seat":
		return float64(v.Seats)
	}
	return 1
}
