package conversations

import (
	"maps"
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

// found is how a car was: what the owner graded, and where he graded some of it and
// so has looked at it, the rest as it was said.
func (t *turn) found(e *Enquiry) map[pricing.Area]pricing.Grade {
	out := maps.Clone(e.Graded)
	if len(out) == 0 {
		return nil
	}
	for _, a := range t.gradable(e) {
		if said := a.Counted(e.said(a.ID)); out[a.ID] == pricing.Unknown && said != pricing.Unknown {
			out[a.ID] = said
		}
	}
	return out
}

// learnGradings counts what was found against what was said.
func (t *turn) learnGradings(e *Enquiry, l *Learned) {
	found := t.found(e)
	if len(found) == 0 {
		return
	}
	b := Beside{Graded: map[pricing.Area][2]pricing.Grade{}}
	for _, a := range t.gradable(e) {
		said, seen := a.Counted(e.said(a.ID)), found[a.ID]
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

// learnPace counts the minutes against those of the file, for the work that was
// agreed on the car as it was found: what was learnt before has no say in it.
func (t *turn) learnPace(e *Enquiry, l *Learned) {
	done := t.priced(e)
	done.Wants, done.Budget, done.Graded = e.Quote.Tasks, 0, t.found(e)
	q, err := t.file.Quote(done)
	if err != nil || q.Refused != "" {
		return // priced by rules that have changed since; there is nothing to compare with
	}
	rest := t.file.Timed(q, float64(e.Work.Minutes))
	for _, a := range slices.Sorted(maps.Keys(e.Work.ByArea)) {
		reckoned, took := rest.Parts[a], float64(e.Work.ByArea[a])
		if reckoned <= 0 || took <= 0 || took > rest.Taken {
			continue
		}
		l.Pace.Add(pricing.Timing{Parts: map[pricing.Area]float64{a: reckoned}, Taken: took})
		rest.Taken -= took
		delete(rest.Parts, a)
	}
	l.Pace.Add(rest)
}

// pace is everything known of how quick the owner is, remembered jobs included.
func (l Learned) pace() pricing.Pace {
	p := l.Pace.Clone()
	for _, r := range l.Recalled {
		p.Add(r)
	}
	return p
}

// early tells that there is little but memory to go by.
func (l Learned) early() bool {
	timed := 0
	for _, n := range l.Pace.Jobs {
		timed = max(timed, n)
	}
	return len(l.Recalled) >= enoughRecalled && timed < leastGraded
}

// From how many jobs on something is said of an area, and by how much a pace must
// differ to be worth a word; it must also differ by more than it is uncertain.
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
			id: string(a.ID), words: gradingWords(t.Words, a, g), jobs: g.Jobs(), used: ok && agreed == g,
			apply: func(l *pricing.Layer) { l.Answers = with(l.Answers, a.ID, g) },
		})
	}
	if l.early() {
		return append(out, t.firstSetting(l)...)
	}
	factors := l.pace().Factors()
	for _, a := range t.kinds() {
		f, ok := factors[a.ID]
		agreed, used := t.layer.Pace[a.ID]
		if !ok || f.Jobs < leastTimed || !sure(f) && !used {
			continue
		}
		times := percent(f.Times)
		out = append(out, lesson{
			id: paceMark + string(a.ID), words: paceWords(t.Words, a.Name, times, f.Jobs), jobs: f.Jobs, used: used && agreed == times,
			apply: func(l *pricing.Layer) { l.Pace = with(l.Pace, a.ID, times) },
		})
	}
	return out
}

// firstSetting is what a few remembered jobs say: too few to tell one kind of work
// from another.
func (t *turn) firstSetting(l Learned) []lesson {
	f, ok := l.pace().Overall()
	if !ok || !sure(f) {
		return nil
	}
	times := percent(f.Times)
	return []lesson{{
		id: paceMark + learnAll, words: paceWords(t.Words, t.label(wording.LabelAllWork), times, f.Jobs), jobs: f.Jobs, used: sameAll(t.layer.Pace, times),
		apply: func(l *pricing.Layer) {
			for _, a := range t.kinds() {
				l.Pace = with(l.Pace, a.ID, times)
			}
		},
	}}
}

// kinds are the kinds of work a pace is known for: those in an area, and the rest.
func (t *turn) kinds() []pricing.AreaRule { return kindsOf(t.Words, t.file) }

func kindsOf(w *wording.Words, file *pricing.Rules) []pricing.AreaRule {
	return append(file.Areas(), pricing.AreaRule{Name: w.Label(wording.LabelTheRest)})
}

// sure tells whether a pace is worth a word.
func sure(f pricing.Factor) bool {
	return math.Abs(percent(f.Times)-1) >= leastOff && math.Abs(math.Log(f.Times)) > f.SD
}

// percent is a factor to the hundredth.
func percent(times float64) float64 { return math.Round(100*times) / 100 }

// sameAll tells that all kinds of work have one pace.
func sameAll(pace map[pricing.Area]float64, times float64) bool {
	for _, p := range pace {
		if p != times {
			return false
		}
	}
	return len(pace) > 0
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

// gradingWords say how customers see an area: of how many cars it was worse than
// they said, and by how much they call it too clean if that is worth a word.
func gradingWords(w *wording.Words, a pricing.AreaRule, g pricing.Gradings) string {
	f := wording.Facts{Text: a.Name, Count: g.Jobs()}
	worse, better := g.Off()
	f.Minutes = worse
	if better > 0 {
		f.Now = strconv.Itoa(better)
	}
	switch off := g.TooClean(); {
	case off >= 1.4:
		f.Was = w.Label(wording.LabelMoreThanAGrade)
	case off >= 0.75:
		f.Was = w.Label(wording.LabelAGrade)
	case off >= 0.4:
		f.Was = w.Label(wording.LabelHalfAGrade)
	}
	return w.Say(wording.LineGrading, f)
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
			out = append(out, w.Say(wording.LineTaught, wording.Facts{Text: gradingWords(w, a, g)}))
		}
	}
	kinds := kindsOf(w, file)
	if len(l.Pace) == len(kinds) && sameAll(l.Pace, l.Pace[""]) {
		return append(out, w.Say(wording.LineTaught, wording.Facts{Text: paceWords(w, w.Label(wording.LabelAllWork), l.Pace[""], 0)}))
	}
	for _, a := range kinds {
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
