package conversations

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/conversations/wording"
)

// While he works the owner has one message: the step in hand, with one large
// button below it. Every press changes that message into what comes next.

// The steps of every sheet that the code knows by name: the walk round the car, which may
// have been done before the work is begun, and the setting up.
const (
	taskCheckIn = "check-in"
	taskSetUp   = "set-up"
)

// slack is by how much a job may run over before anybody is told.
const slack = 10 * time.Minute

// startPressed begins the work, unless the customer has yet to answer to a price.
func (t *turn) startPressed(c *Chat, e *Enquiry, kind string, w bot.Tap) {
	t.takeOff(w)
	if e.Seen != nil && kind == jobStart && !e.working() {
		t.tell(t.Owner, wording.OwnerStartOpen, t.changed(e), t.presses(e, pressGrade, named{gradePhoned, wording.LabelTheySaidYes})[0],
			t.jobRow(e, named{jobAnyway, wording.LabelStartAnyway}))
		return
	}
	j := e.onDay()
	if j.Started.IsZero() {
		if j.Begun.IsZero() {
			j.Begun = t.now
		}
		j.Started, j.Absent = t.now, time.Time{}
		t.unset(CameAbsent, e)
		if at, ok := t.course(e); ok && len(j.Shots) > 0 && slices.ContainsFunc(at.sheet.Steps, func(x jobsheet.Step) bool { return x.Task == taskCheckIn }) {
			j.Steps = append(j.Steps, StepDone{taskCheckIn, t.now}) // he has just been round it
		}
	}
	c.Job, c.Writing, c.Finishing, c.Noting = e.ID, "", "", ""
	lead := ""
	if j.Started.Equal(t.now) {
		lead = t.word(wording.StepOrJob, wording.Facts{})
	}
	t.showStep(e, 0, lead)
}

// workPressed takes the presses under a step. Each is answered by the step in
// hand, whether it did anything or had been overtaken.
func (t *turn) workPressed(c *Chat, e *Enquiry, kind, rest string, w bot.Tap) {
	switch kind {
	case "done":
		t.stepDone(e, rest)
	case "undo":
		if n := len(e.Job.Steps); n > 0 && e.Job.Steps[n-1].Task == rest {
			e.Job.Steps = e.Job.Steps[:n-1]
		}
	case "on", "off":
		t.clockPressed(e, kind == "on", rest)
	case jobWarm:
		e.Job.Warm = !e.Job.Warm
	case jobExtra:
		t.offerExtras(e, 0)
		return
	case jobTry:
		t.takeOff(w)
		c.Noting, c.Writing, c.Finishing = jobTry, "", ""
		t.tell(t.Owner, wording.OwnerTry, wording.Facts{Name: e.Name}, t.jobRow(e, named{jobStep, wording.LabelBack}))
		return
	}
	t.showStep(e, w.Message, "")
}

// stepDone marks the step in hand as done. A press that names another has been
// overtaken. What is still on is off by then.
func (t *turn) stepDone(e *Enquiry, task string) {
	if at, ok := t.course(e); !ok || at.at < 0 || at.sheet.Steps[at.at].Task != task {
		return
	}
	e.Job.Steps = append(e.Job.Steps, StepDone{task, t.now})
	for i := range e.Job.Clocks {
		if c := &e.Job.Clocks[i]; c.Task == task && c.Off.IsZero() {
			c.Off = t.now
			t.unsetClock(e, i)
		}
	}
	t.handsFree(e)
}

// showStep puts the step in hand before the owner, in the place of the message it
// was pressed on if there is one.
func (t *turn) showStep(e *Enquiry, edit bot.MessageID, lead string) {
	c, ok := t.course(e)
	if !ok || t.Owner == 0 {
		return
	}
	t.watch(e, c)
	text, rows := t.allDone(e)
	if c.at >= 0 {
		text, rows = t.step(e, c)
	}
	if lead != "" {
		text = lead + "\n\n" + text
	}
	t.say(bot.Message{Chat: t.Owner, Text: text, Choices: rows, Edit: edit, Kind: "step"})
}

// step words the step in hand, with its buttons: the large one first.
func (t *turn) step(e *Enquiry, c course) (string, [][]bot.Choice) {
	x := c.sheet.Steps[c.at]
	f := wording.Facts{
		Count: len(e.Job.Steps) + 1, Minutes: len(c.sheet.Steps), Text: t.stepName(x),
		When: c.from.In(t.Zone).Format("15:04"), Until: c.until.In(t.Zone).Format("15:04"), Day: t.until(t.now, c.end),
	}
	if t.Sheet != nil {
		how := t.sheetWords().Step(c.sheet, c.at)
		f.Items, f.Stays, f.Why, f.Refer = how.Mixes, how.Gentlest, how.Impossible, how.Cautions
	}
	var told []toldOfPart
	if task, _ := t.Rules.Task(x.Task); t.onlyIfTold(task.Area) {
		told = t.toldOfParts(e)
	}
	f.Out = t.stepSaid(e, x.Task, told)
	if f.In = t.clockLines(e); f.In != nil {
		// With something on there is only one thing to read. The rest was said
		// before it went on.
		f.Items, f.Stays, f.Refer, f.Why, f.Out = nil, nil, nil, nil, nil
	}
	for _, next := range c.sheet.Steps[c.at+1:] {
		if !e.Job.did(next.Task) {
			f.Question = t.stepName(next)
			break
		}
	}
	var rows [][]bot.Choice
	rows = append(rows, t.clockRows(e, x)...)
	rows = append(rows, t.jobRow(e, named{jobDone + x.Task, wording.LabelStepDone}))
	late, next := t.lateness(e, c.end)
	if c.guesses(e) {
		late = 0
	}
	if c.end.After(e.Slot.End.Add(slack)) {
		f.Budget = t.word(wording.JobOver, wording.Facts{Minutes: ceil5(t.worked(e.Slot.End, c.end)), Name: nameOf(next), When: startOf(t, next)})
	}
	if late > 0 {
		rows = append(rows, t.lateRow(e, next, late))
	}
	row := []named{{jobTry, wording.LabelTrial}, {jobExtra, wording.LabelExtra}}
	if n := len(e.Job.Steps); n > 0 {
		row = append([]named{{jobUndo + e.Job.Steps[n-1].Task, wording.LabelStepBack}}, row...)
	}
	rows = append(rows, t.jobRow(e, row...))
	// Whoever has not tapped every step can finish all the same.
	ending := []named{{jobFinish, wording.LabelFinishJob}}
	if len(x.Waiting) > 0 {
		k := wording.LabelWarm
		if e.Job.Warm {
			k = wording.LabelNotWarm
		}
		ending = append([]named{{jobWarm, k}}, ending...)
	}
	rows = append(rows, t.jobRow(e, ending...))
	return t.word(wording.JobStep, f), rows
}

// did tells whether a step has been marked as done.
func (j *Job) did(task string) bool {
	return slices.ContainsFunc(j.Steps, func(d StepDone) bool { return d.Task == task })
}

// stepName is what a step is called while he works: the packing away that is reckoned with
// the setting up comes at the end.
func (t *turn) stepName(x jobsheet.Step) string {
	if x.Task == taskSetUp {
		return t.word(wording.StepSetUp, wording.Facts{})
	}
	return x.Words
}

// allDone says that every step is done, and how long they took.
func (t *turn) allDone(e *Enquiry) (string, [][]bot.Choice) {
	rows := [][]bot.Choice{t.jobRow(e, named{jobFinish, wording.LabelFinishJob})}
	if n := len(e.Job.Steps); n > 0 {
		rows = append(rows, t.jobRow(e, named{jobUndo + e.Job.Steps[n-1].Task, wording.LabelStepBack}, named{jobExtra, wording.LabelExtra}))
	}
	return t.word(wording.JobAllDone, wording.Facts{Name: e.Name, Car: carName(e), Minutes: t.byClock(e)}), rows
}

// byClock is how many minutes the job has taken, by the working hours of each day if it
// is several: from when he began the work, or else to look the car over, until the last
// step, or until now if there are steps nobody has marked as done.
func (t *turn) byClock(e *Enquiry) int {
	if e.Job == nil || e.Job.Started.IsZero() && !t.atTheCar(e) {
		return 0
	}
	from, until := e.Job.Started, t.now
	if from.IsZero() {
		from = e.Job.Begun
	}
	if t.allMarked(e) {
		until = e.Job.Steps[len(e.Job.Steps)-1].At
	}
	n := int(math.Round(t.worked(from, until).Minutes()))
	if e.Job.Started.IsZero() && 2*n < e.Quote.reckoned() {
		return 0 // a look round the car, and nothing since
	}
	return n
}

// worked is the time from one moment to another, without the nights and the days on
// which there is no work.
func (t *turn) worked(from, to time.Time) time.Duration {
	if diary.Key(from, t.Zone) == diary.Key(to, t.Zone) {
		return to.Sub(from)
	}
	var sum time.Duration
	for _, s := range t.diaryRules().Stretches(from, to) {
		sum += max(0, s.End.Sub(s.Start))
	}
	return sum
}

// allMarked tells whether every step has been marked as done.
func (t *turn) allMarked(e *Enquiry) bool {
	if e.Job == nil || len(e.Job.Steps) == 0 {
		return false
	}
	c, ok := t.course(e)
	return ok && c.at < 0
}

// shotOfWork files a photograph with the step in hand: the first before, every
// further one after it, unless the caption says otherwise.
func (t *turn) shotOfWork(e *Enquiry, s *Shot, caption string) {
	c, ok := t.course(e)
	if !ok {
		return
	}
	switch {
	case c.at >= 0:
		s.Of = c.sheet.Steps[c.at].Task
	case len(e.Job.Steps) > 0:
		s.Of = e.Job.Steps[len(e.Job.Steps)-1].Task
	}
	s.Words = brief(caption)
	said := " " + wording.Plain(caption) + " "
	s.After = slices.ContainsFunc(e.Job.Shots, func(o Shot) bool { return o.Of == s.Of && !o.After })
	if c.at < 0 || strings.Contains(said, " after ") {
		s.After = true
	} else if strings.Contains(said, " before ") {
		s.After = false
	}
}

// watch asks to be reminded when the job should be finished.
func (t *turn) watch(e *Enquiry, c course) {
	if c.at < 0 {
		t.unset(CameOver, e)
		return
	}
	t.set(c.end.Add(slack), Came{Kind: CameOver, Enquiry: e.ID})
}

// over tells the owner that a job has passed its time, at most once a quarter of
// an hour.
func (t *turn) over(e *Enquiry) {
	if !e.working() || t.Owner == 0 || t.chat(t.Owner).Finishing == e.ID || e.Job.Until.After(t.now) || t.now.Sub(e.Job.Warned) < 15*time.Minute {
		return
	}
	c, ok := t.course(e)
	if !ok || c.at < 0 {
		return
	}
	e.Job.Warned = t.now
	late, next := t.lateness(e, c.end)
	left := 0
	for _, x := range c.sheet.Steps[c.at:] {
		if !slices.ContainsFunc(e.Job.Steps, func(d StepDone) bool { return d.Task == x.Task }) {
			left++
		}
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), Count: left, Minutes: ceil5(t.worked(t.now, c.end)), Day: t.until(t.now, c.end),
		Until: t.until(t.now, e.Slot.End), Text: c.sheet.Steps[c.at].Words, Question: nameOf(next), When: startOf(t, next)}
	k := wording.OwnerOver
	var rows [][]bot.Choice
	if c.guesses(e) {
		k = wording.OwnerOverUnmarked
	} else if late > 0 {
		rows = append(rows, t.lateRow(e, next, late))
	}
	rows = append(rows, t.jobRow(e, named{jobStep, wording.LabelCarryOn}, named{jobFinish, wording.LabelFinishJob}))
	t.tell(t.Owner, k, f, rows...)
}

// lateness is by how many minutes, rounded up to five, the next customer of the
// day has to wait if a job ends then; 0 and who it is, if anybody, otherwise.
func (t *turn) lateness(e *Enquiry, end time.Time) (int, *Enquiry) {
	if e.Slot.Start.After(t.now) {
		return 0, nil // begun early: nobody waits yet
	}
	date := diary.Key(t.now, t.Zone)
	point := func(id string) (p diary.Point) {
		for _, en := range t.day(date).Entries {
			if en.ID == id {
				p = en.Point
			}
		}
		return p
	}
	for _, next := range t.jobsOn(date) {
		if next.ID == e.ID || !next.Slot.Start.After(t.now) {
			continue
		}
		way := t.diaryRules().Travel.Between(point(e.ID), point(next.ID))
		if by := end.Add(way).Sub(next.Slot.Start); by > 0 {
			return ceil5(by), next
		}
		return 0, next
	}
	return 0, nil
}

func ceil5(d time.Duration) int { return int(math.Ceil(d.Minutes()/5)) * 5 }

func nameOf(e *Enquiry) string {
	if e == nil {
		return ""
	}
	return e.Name
}

func startOf(t *turn, e *Enquiry) string {
	if e == nil {
		return ""
	}
	return e.Slot.Start.In(t.Zone).Format("15:04")
}

// lateRow tells the next customer with one press.
func (t *turn) lateRow(e, next *Enquiry, minutes int) []bot.Choice {
	label := t.word(wording.LabelTellLate, wording.Facts{Name: next.Name, Minutes: minutes})
	return []bot.Choice{{Label: label, Data: press{e.ID, 0, pressJob, fmt.Sprint(jobLate, minutes)}.data()}}
}

// lateTapped tells the next customer, unless that has been done meanwhile.
func (t *turn) lateTapped(c *Chat, e *Enquiry, rest string) {
	n := atoi(rest)
	const most = 240
	if n <= 0 || n > most || !e.working() {
		t.staleVisit(c, e)
		return
	}
	t.runningLate(c, n)
}
