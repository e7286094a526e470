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
	per     int              // index into the units
	family  int              // a number for each family, 0 for none
}

// prepare puts the tasks in the order they are done and works out their curves.
func prepare(b book) []task {
	sorted := inOrder(b.Tasks)
	index := map[string]int{}
	for i, t := range sorted {
		index[t.ID] = i
	}
	out, families := make([]task, len(sorted)), map[string]int{"": 0}
	for i, t := range sorted {
		if _, ok := families[t.Family]; !ok {
			families[t.Family] = len(families)
		}
		p := task{Task: t, without: -1, per: slices.Index(units(), t.Per), family: families[t.Family]}
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

// bringing is a task a want brings in, at which grades.
type bringing struct {
	task int
	at   grades
}

// grades are some of the four, a bit for each.
type grades uint8

// atAny are all four.
const atAny grades = 1<<Light | 1<<Fair | 1<<Poor | 1<<Severe

func (g grades) has(x Grade) bool { return g>>x&1 == 1 }

// wanted are the tasks that each want brings in: those the rules file names for
// it, and, for the name of a task, that task at any grade.
func wanted(tasks []task) map[string][]bringing {
	out := map[string][]bringing{}
	for i := range tasks {
		for want, at := range tasks[i].For {
			b := bringing{task: i}
			for _, g := range at {
				b.at |= 1 << g
			}
			if b.at != 0 {
				out[want] = append(out[want], b)
			}
		}
	}
	for i := range tasks {
		id := tasks[i].ID
		out[id] = append(out[id], bringing{i, atAny})
	}
	return out
}

// brought tells whether a want brings the task in at a grade.
func (t *task) brought(want string, g Grade) bool { return slices.Contains(t.For[want], g) }

// AreasOf are the areas whose state can change the price of a want: those of the
// tasks it brings in, and of what these need.
func (r *Rules) AreasOf(want string) []Area {
	touched := make([]bool, len(r.book.Areas))
	r.touch(want, touched)
	var out []Area
	for a, on := range touched {
		if on {
			out = append(out, r.book.Areas[a].ID)
		}
	}
	return out
}

// touch marks the areas of a want, by their index.
func (r *Rules) touch(want string, areas []bool) {
	in := make([]bool, len(r.tasks))
	for _, b := range r.wanted[want] {
		in[b.task] = true
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
	for i, on := range in {
		if a := r.tasks[i].area; on && a >= 0 {
			areas[a] = true
		}
	}
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
