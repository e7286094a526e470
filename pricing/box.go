package pricing

// box is the time agreed for open-ended work: when it is used up, the work stops.
// No minutes are no box.
type box struct {
	minutes        float64
	mean, variance [4]float64 // of the minutes then taken, by grade
}

// worthABox is how many minutes work must be able to run over to get a box:
// nobody agrees a time for five minutes' work.
const worthABox = 10

// timeBox sets a box for open-ended work: what it usually takes at the likely
// grade of its area. Polishing can go on for ever; for a fixed figure it may not.
func (j *job) timeBox() {
	j.boxes = make([]box, len(j.r.tasks))
	for i := range j.r.tasks {
		t := &j.r.tasks[i]
		likely := j.grade(i) - 1
		if !t.OpenEnded || !t.present[likely] || j.units[i] == 0 {
			continue
		}
		e := t.shapes[likely].Estimate().Times(j.units[i])
		if e.High-e.Likely < worthABox {
			continue
		}
		b := box{minutes: e.Likely}
		for g := range 4 {
			if t.present[g] {
				d := j.space.Grid(t.shapes[g], j.units[i]).AtMost(b.minutes)
				b.mean[g], b.variance[g] = d.Mean(), d.Variance()
			}
		}
		j.boxes[i] = b
	}
}
