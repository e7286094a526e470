package conversations

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/photos"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Every finished job teaches two things: how customers describe their cars, and
// how quick the owner is. Both are counted with the job's end. Nothing of it moves
// a price until he has read it and said so.

const learnedKey = "learned"

// Learned is the content of the document "learned": counts, and nothing about
// anybody.
type Learned struct {
	// Seen is how areas were found against what was said of them.
	Seen map[pricing.Area]pricing.Gradings `json:"seen,omitempty"`
	// Pace is what jobs took against the file's minutes, Recalled the jobs the owner
	// remembers from before he had us.
	Pace     pricing.Pace     `json:"pace,omitzero"`
	Recalled []pricing.Timing `json:"recalled,omitempty"`
	// Beside are the latest gradings with what the photos of the car measured, to
	// see one day whether the measures tell anything.
	Beside []Beside `json:"beside,omitempty"`
}

// Beside are the gradings of one job beside the measures of its photos.
type Beside struct {
	// Graded are by area what was said and what was found, 0 where nothing was said.
	Graded map[pricing.Area][2]pricing.Grade `json:"graded"`
	Photos []Measures                        `json:"photos,omitempty"`
}

// Measures are what a photo measured, see [photos.Report].
type Measures struct {
	Mean   float64 `json:"mean"`
	P95    float64 `json:"p95"`
	Bright float64 `json:"bright"`
	Reblur float64 `json:"reblur"`
	VarLap float64 `json:"var_lap"`
}

// mostBeside is how many jobs' gradings are kept beside their photos' measures.
const mostBeside = 200

func measuresOf(r photos.Report) Measures {
	return Measures{Mean: r.Mean, P95: r.P95, Bright: r.BrightShare, Reblur: r.Reblur, VarLap: r.VarLap}
}

// learn counts what a job that has just ended teaches.
func (t *turn) learn(e *Enquiry) {
	if e.Car == nil || e.Quote == nil || e.Work == nil {
		return
	}
	var l Learned
	t.read(learnedKey, &l)
	t.learnGradings(e, &l)
	t.learnPace(e, &l)
	t.write(learnedKey, nil, l)
}

// learnGradings counts what was found. Where the owner graded some of a car, he has
// looked at it: what he left alone is as it was said.
func (t *turn) learnGradings(e *Enquiry, l *Learned) {
	if len(e.Graded) == 0 {
		return
	}
	b := Beside{Graded: map[pricing.Area][2]pricing.Grade{}}
	for _, a := range t.gradable(e) {
		said := a.Counted(e.said(a.ID))
		seen, graded := e.Graded[a.ID]
		if !graded {
			seen = said
		}
		if seen == pricing.Unknown {
			continue
		}
		b.Graded[a.ID] = [2]pricing.Grade{said, seen}
		if said == pricing.Unknown {
			continue
		}
		if l.Seen == nil {
			l.Seen = map[pricing.Area]pricing.Gradings{}
		}
		g := l.Seen[a.ID]
		g.Count(seen, said)
		l.Seen[a.ID] = g
	}
	for _, p := range e.Photos {
		if p.Report != nil && !p.Same {
			b.Photos = append(b.Photos, measuresOf(*p.Report))
		}
	}
	l.Beside = append(l.Beside, b)
	if extra := len(l.Beside) - mostBeside; extra > 0 {
		l.Beside = l.Beside[extra:]
	}
}

// learnPace counts the minutes against those of the file, for the car as it was
// found: what was learnt before has no say in it.
func (t *turn) learnPace(e *Enquiry, l *Learned) {
	fitted, err := t.file.Fit(t.priced(e))
	if err != nil {
		return // priced by rules that have changed since; there is nothing to compare with
	}
	l.Pace.Add(t.file.Timed(fitted.Quote, float64(e.Work.Minutes)))
}

// pace is everything known of how quick the owner is.
func (l Learned) pace() map[pricing.Area]pricing.Factor {
	p := l.Pace.Clone()
	for _, r := range l.Recalled {
		p.Add(r)
	}
	return p.Factors()
}

// From how many jobs on something is said of an area, and by how much a pace must
// differ to be worth a word.
const (
	leastGraded = 5
	leastTimed  = 3
	leastOff    = 0.03
)

// lesson is one thing learnt that the owner can agree to.
type lesson struct {
	// id is what a press carries: the area, and for a pace a mark before it.
	id    string
	words string
	jobs  int
	// used tells that prices reckon with it as it stands, apply that they will.
	used  bool
	apply func(*pricing.Layer)
}

// paceMark stands before the area in the id of a lesson about pace.
const paceMark = "~"

// lessons are what the jobs say, against the file.
func (t *turn) lessons(l Learned) []lesson {
	var out []lesson
	for _, a := range t.file.Areas() {
		g := l.Seen[a.ID]
		if g.Jobs() < leastGraded {
			continue
		}
		agreed, ok := t.layer.Answers[a.ID]
		out = append(out, lesson{
			id: string(a.ID), words: t.word(wording.LineGrading, gradingFacts(a, g)), jobs: g.Jobs(), used: ok && agreed == g,
			apply: func(l *pricing.Layer) { l.Answers = with(l.Answers, a.ID, g) },
		})
	}
	factors := l.pace()
	for _, a := range append(t.file.Areas(), pricing.AreaRule{Name: t.label(wording.LabelTheRest)}) {
		f, ok := factors[a.ID]
		agreed, used := t.layer.Pace[a.ID]
		times := math.Round(100*f.Times) / 100
		if !ok || f.Jobs < leastTimed || math.Abs(times-1) < leastOff && !used {
			continue
		}
		out = append(out, lesson{
			id: paceMark + string(a.ID), words: paceWords(t.Words, a.Name, times, f.Jobs), jobs: f.Jobs, used: used && math.Abs(agreed-times) < 0.005,
			apply: func(l *pricing.Layer) { l.Pace = with(l.Pace, a.ID, times) },
		})
	}
	return out
}

// with is a map with one more entry, the old one left alone.
func with[K comparable, V any](m map[K]V, k K, v V) map[K]V {
	out := map[K]V{k: v}
	for x, y := range m {
		if x != k {
			out[x] = y
		}
	}
	return out
}

// gradingFacts are how customers see an area, in halves of a grade: Minutes is how
// many halves too clean.
func gradingFacts(a pricing.AreaRule, g pricing.Gradings) wording.Facts {
	return wording.Facts{Text: a.Name, Count: g.Jobs(), Minutes: int(math.Round(2 * g.TooClean()))}
}

// paceWords say by how many per cent somebody is quicker than the file: Count is
// above 0 for slower, Minutes for quicker.
func paceWords(w *wording.Words, area string, times float64, jobs int) string {
	off := int(math.Round(100 * (times - 1)))
	return w.Say(wording.LinePace, wording.Facts{Text: area, Count: off, Minutes: -off, Now: strconv.Itoa(jobs)})
}

// taught is what of a layer was learnt, in words.
func taught(w *wording.Words, file *pricing.Rules, l pricing.Layer) []string {
	var out []string
	for _, a := range file.Areas() {
		if g, ok := l.Answers[a.ID]; ok {
			out = append(out, w.Say(wording.LineTaught, wording.Facts{Text: w.Say(wording.LineGrading, gradingFacts(a, g))}))
		}
	}
	for _, a := range append(file.Areas(), pricing.AreaRule{Name: w.Label(wording.LabelTheRest)}) {
		if times, ok := l.Pace[a.ID]; ok {
			out = append(out, w.Say(wording.LineTaught, wording.Facts{Text: paceWords(w, a.Name, times, 0)}))
		}
	}
	return out
}

// showLearned puts before the owner what his jobs say.
func (t *turn) showLearned(c *Chat) {
	var l Learned
	t.read(learnedKey, &l)
	if len(t.out.Need) > 0 {
		return // comes again with it
	}
	t.tellLearned(c, l)
}

func (t *turn) tellLearned(c *Chat, l Learned) {
	all := t.lessons(l)
	var f wording.Facts
	var rows [][]bot.Choice
	var row []bot.Choice
	var open int
	for _, x := range all {
		if x.used {
			f.Out = append(f.Out, x.words)
			continue
		}
		open++
		f.Items = append(f.Items, strconv.Itoa(open)+". "+x.words)
		label := t.word(wording.LabelUseOne, wording.Facts{Count: open})
		row = append(row, bot.Choice{Label: label, Data: press{noEnquiry, 0, pressRun, runLearn + x.id + ":" + strconv.Itoa(x.jobs)}.data()})
		if len(row) == 3 {
			rows, row = append(rows, row), nil
		}
	}
	if row != nil {
		rows = append(rows, row)
	}
	if open > 1 {
		rows = append(rows, t.runRow(named{runLearn + learnAll + ":" + strconv.Itoa(sumOf(all)), wording.LabelUseAll}))
	}
	f.Count = len(l.Recalled)
	t.tell(c.ID, wording.OwnerLearned, f, append(rows, t.runRow(named{runShow, wording.LabelWhatIsSet}))...)
}

// learnAll agrees to everything at once.
const learnAll = "*"

// sumOf changes with every job that is counted, so that nobody agrees to more than
// he has read.
func sumOf(all []lesson) (n int) {
	for _, x := range all {
		n += x.jobs
	}
	return n
}

// agreeTo lets prices reckon with what was learnt, as the owner has read it.
func (t *turn) agreeTo(c *Chat, choice string, w bot.Tap) {
	var l Learned
	t.read(learnedKey, &l)
	if len(t.out.Need) > 0 {
		return
	}
	id, jobs, _ := strings.Cut(choice, ":")
	all := t.lessons(l)
	chosen := slices.DeleteFunc(slices.Clone(all), func(x lesson) bool {
		return x.used || id != learnAll && (x.id != id || strconv.Itoa(x.jobs) != jobs)
	})
	if len(chosen) == 0 || id == learnAll && strconv.Itoa(sumOf(all)) != jobs {
		t.showLearned(c)
		return
	}
	next := t.layer
	var f wording.Facts
	for _, x := range chosen {
		x.apply(&next)
		f.Items = append(f.Items, x.words)
	}
	if t.setLayer(c, next, t.word(wording.LineLearned, f)) {
		t.takeOff(w)
		t.tell(c.ID, wording.OwnerLearnedUsed, f, t.undoRow())
	}
}
