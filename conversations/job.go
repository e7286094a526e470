package conversations

import (
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Job is a booking on its day: what was found when the car stood there, how far
// the work has come, and what waits for somebody.
type Job struct {
	// Begun is when the owner began to look the car over, zero if he has not.
	Begun time.Time `json:"begun,omitzero"`
	// Shots are his photographs, of the car as it came and of the work.
	Shots []Shot `json:"shots,omitempty"`
	// Damage is what was there before us, in his words. ToldMissing tells that he has
	// heard which views are not photographed; he hears it once.
	Damage      []string `json:"damage,omitempty"`
	ToldMissing bool     `json:"missed,omitempty"`
	Seen        *Seen    `json:"seen,omitempty"`
	Trials      []Trial  `json:"trials,omitempty"`
	// Started is when the work began; Warm tells of weather in which products dry
	// early; Steps are the tasks that are done, in the order in which they were.
	Started time.Time  `json:"started,omitzero"`
	Warm    bool       `json:"warm,omitempty"`
	Steps   []StepDone `json:"steps,omitempty"`
	// Clocks are the products put on, one each for a wheel, a side, a panel.
	Clocks []Clock  `json:"clocks,omitempty"`
	Notes  []string `json:"notes,omitempty"`
	// Until is when it will be done by the owner's own word, zero if he has said nothing.
	Until time.Time `json:"until,omitzero"`
	// Sum is what it came to, in pence, said before how long it took; 0 for nothing said.
	Sum int64 `json:"sum,omitempty"`
	// Warned is when the owner last heard that the time is over.
	Warned time.Time `json:"warned,omitzero"`
	// Absent is when the owner found nobody there, zero if somebody came after all;
	// Coming is when they answered that they are on their way.
	Absent time.Time `json:"absent,omitzero"`
	Coming time.Time `json:"coming,omitzero"`
	// Wrote is what they wrote last near the time of the visit, WroteAt when.
	Wrote   string    `json:"wrote,omitempty"`
	WroteAt time.Time `json:"wrote_at,omitzero"`
}

// Shot is one photograph the owner took: never its bytes. Of is a view of the car
// as it came, [shotDamage], or a task.
type Shot struct {
	File  bot.FileID `json:"file"`
	Of    string     `json:"of,omitempty"`
	Words string     `json:"words,omitempty"`
	After bool       `json:"after,omitempty"`
	// View is the view of the walk round that a photograph of damage shows as well.
	View string    `json:"view,omitempty"`
	At   time.Time `json:"at"`
}

// Seen is the customer's knowing of what was there before us.
type Seen struct {
	// Asked is when they were sent it; Away tells that they were not there.
	Asked time.Time `json:"asked"`
	Away  bool      `json:"away,omitempty"`
	// At is when they said that they have seen it, zero if they have not; Denied
	// tells that they do not agree with it.
	At     time.Time `json:"at,omitzero"`
	Denied bool      `json:"denied,omitempty"`
}

// Trial is a spot or a lamp done first, so that the customer can choose.
type Trial struct {
	Task  string     `json:"task,omitempty"`
	File  bot.FileID `json:"file,omitempty"`
	Words string     `json:"words,omitempty"`
	At    time.Time  `json:"at"`
	// Choice is "", "on" or "leave".
	Choice string `json:"choice,omitempty"`
}

// StepDone is a task that is done, and when it was.
type StepDone struct {
	Task string    `json:"task"`
	At   time.Time `json:"at"`
}

// Clock is one product on one piece of the car, from when it was on; Off is zero
// until it is rinsed.
type Clock struct {
	Task  string    `json:"task"`
	What  string    `json:"what"`
	Piece int       `json:"piece"`
	Name  string    `json:"name,omitempty"`
	On    time.Time `json:"on"`
	Off   time.Time `json:"off,omitzero"`
	// Least and Most are how long it must and may stay on, in seconds.
	Least int `json:"least,omitempty"`
	Most  int `json:"most,omitempty"`
	// Sharp tells that nobody may be disturbed while it is on.
	Sharp bool `json:"sharp,omitempty"`
}

// mostShots and mostNotes bound what one job keeps.
const (
	mostShots = 60
	mostNotes = 40
)

// The question names of a job's buttons: the owner's, and the customer's.
const (
	pressJob   = "job"
	pressTheir = "their"
)

// The owner's presses on the day of a job. Those with a colon carry more.
const (
	jobWalk    = "walk"
	jobView    = "view:"
	jobGrades  = "grades"
	jobShow    = "show"
	jobAway    = "away"
	jobUnsay   = "unsay"
	jobStart   = "start"
	jobAnyway  = "anyway"
	jobWarm    = "warm"
	jobDone    = "done:"
	jobUndo    = "undo:"
	jobOn      = "on:"
	jobOff     = "off:"
	jobExtra   = "extra"
	jobTry     = "try"
	jobStep    = "step"
	jobLate    = "late:"
	jobFinish  = "finish"
	jobMinutes = "minutes:"
	jobNobody  = "nobody"
	jobRebook  = "rebook"
	jobLetGo   = "let-go"
	jobPaid    = "paid"
	jobUnpaid  = "unpaid"
	jobNotPaid = "not-paid" // it was, by mistake
	jobRemind  = "remind"
	jobLeave   = "leave"
	jobMore    = "more" // than was open, likewise
	jobPart    = "part" // with the sum and what was open, in pence, behind a colon
)

// jobRow is a row of the owner's buttons on the day. They carry no revision: what
// they do is checked against where the job stands, so that a customer's answer on
// its way is not overtaken by a step being done.
func (t *turn) jobRow(e *Enquiry, list ...named) []bot.Choice {
	var row []bot.Choice
	for _, n := range list {
		row = append(row, bot.Choice{Label: t.label(n.label), Data: press{e.ID, 0, pressJob, n.key}.data()})
	}
	return row
}

// onDay is what happens on the day, from now on if nothing has yet.
func (e *Enquiry) onDay() *Job {
	if e.Job == nil {
		e.Job = &Job{}
	}
	return e.Job
}

// working tells whether the work has begun and is not finished.
func (e *Enquiry) working() bool {
	return e.Stage == Booked && e.Job != nil && !e.Job.Started.IsZero()
}

// jobPressed takes the owner's presses on the day.
func (t *turn) jobPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	kind, rest, _ := strings.Cut(p.choice, ":")
	if t.moneyPressed(e, kind, rest, w) {
		return
	}
	if e.Stage != Booked || e.Slot == nil {
		t.staleVisit(c, e)
		return
	}
	c.Noting = ""
	switch kind {
	case jobWalk, jobGrades, jobShow, jobAway, jobUnsay, "view":
		t.walkPressed(c, e, kind, rest, w)
	case "found":
		t.foundPressed(c, e, rest, w)
	case jobNobody, jobRebook, jobLetGo:
		t.absentPressed(c, e, kind, w)
	case jobStart, jobAnyway:
		t.startPressed(c, e, kind, w)
	case jobFinish:
		t.takeOff(w)
		t.finishWith(c, e, parseFigures(rest))
	case "minutes":
		t.takeOff(w)
		t.minutesTapped(c, e, rest)
	case "late":
		t.takeOff(w)
		t.lateTapped(c, e, rest)
	default:
		if !e.working() {
			t.staleVisit(c, e)
			return
		}
		c.Job, c.Finishing = e.ID, ""
		t.workPressed(c, e, kind, rest, w)
	}
}

// theirPressed takes a customer's press about a job: what was seen, a trial, that
// they are on their way, that something is not right.
func (t *turn) theirPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	kind, rest, _ := strings.Cut(p.choice, ":")
	switch kind {
	case theirSeen, theirPhotos, theirDenied:
		t.seenPressed(c, e, kind, w)
	case theirTrial:
		t.trialChosen(c, e, rest, w)
	case theirComing, theirOther:
		t.comingPressed(c, e, kind, w)
	case theirSnag, theirRight, theirNot:
		t.snagPressed(c, e, kind, w)
	default:
		t.staleVisit(c, e)
	}
}

// The customer's presses about a job.
const (
	theirSeen   = "seen"
	theirPhotos = "photos"
	theirDenied = "denied"
	theirTrial  = "trial"
	theirComing = "coming"
	theirOther  = "other"
	theirSnag   = "snag"
	theirRight  = "right"
	theirNot    = "not"
)

// theirRow is a row of a customer's buttons about a job.
func (t *turn) theirRow(e *Enquiry, list ...named) []bot.Choice {
	row := t.jobRow(e, list...)
	for i, n := range list {
		row[i].Data = press{e.ID, 0, pressTheir, n.key}.data()
	}
	return row
}

// jobPhoto takes a photograph of the owner's, if he is at a car. It is answered
// when no more have come for a moment.
func (t *turn) jobPhoto(c *Chat, w bot.Photo) bool {
	e := t.enquiry(c.Job)
	if e == nil || e.Stage != Booked || e.Job == nil {
		return false
	}
	if c.Noting == jobTry {
		t.tried(c, e, w.File, w.Caption)
		return true
	}
	if len(e.Job.Shots) >= mostShots {
		t.tell(t.Owner, wording.OwnerShotsEnough, wording.Facts{Count: mostShots})
		return true
	}
	s := Shot{File: w.File, At: t.now}
	if e.working() {
		t.shotOfWork(e, &s, w.Caption)
	} else {
		t.shotOnArrival(e, &s, w.Caption)
	}
	e.Job.Shots = append(e.Job.Shots, s)
	t.set(t.now.Add(quiet), Came{Kind: CameShots, Enquiry: e.ID})
	return true
}

// isAtWork tells whether the owner has begun the work on a car: what he writes is about
// that, if it is about nothing else.
func (t *turn) isAtWork(c *Chat) bool {
	e := t.enquiry(c.Job)
	return c.Noting != "" || e != nil && e.working()
}

// jobSaid takes what the owner writes at a car: how a trial came out, damage he
// sees, or a note. It reports false if he is at none.
func (t *turn) jobSaid(c *Chat, text string) bool {
	e := t.enquiry(c.Job)
	if e == nil || e.Stage != Booked || e.Job == nil {
		return false
	}
	text = brief(text)
	switch {
	case text == "":
		return false
	case c.Noting == jobTry:
		t.tried(c, e, "", text)
	case t.extraSaid(c, e, text):
	case e.working() && t.means(wording.Plain(text), wording.LabelFinishJob), t.allMarked(e) && t.means(wording.Plain(text), wording.LabelStepDone):
		t.askMinutes(c, e)
	case e.working() && t.means(wording.Plain(text), wording.LabelStepDone) && t.means(wording.Plain(text), wording.SayJobDone) && t.wholeJob(e):
		t.tell(c.ID, wording.OwnerStepOrJob, wording.Facts{Name: e.Name, Car: carName(e)}, t.stepOrJob(e)...)
	case e.working() && t.means(wording.Plain(text), wording.LabelStepDone):
		if at, ok := t.course(e); ok && at.at >= 0 {
			t.stepDone(e, at.sheet.Steps[at.at].Task)
		}
		t.showStep(e, 0, "")
	case e.working() && t.saysJust(text, t.typed(wording.SayCarryOn)):
		t.showStep(e, 0, "")
	case e.working() && t.moneyAtWork(c, e, text):
	case e.working():
		t.takeNote(e, text)
		t.showStep(e, 0, t.word(wording.JobNoted, wording.Facts{Text: text}))
	default:
		return t.walkSaid(c, e, text)
	}
	return true
}

// takeNote keeps a note on a job.
func (t *turn) takeNote(e *Enquiry, text string) {
	if len(e.Job.Notes) < mostNotes {
		e.Job.Notes = append(e.Job.Notes, text)
	}
}

// tellsDamage tells whether words may be of damage: the customer reads them as such.
func (t *turn) tellsDamage(text string) bool {
	return strings.ContainsFunc(text, unicode.IsLetter) && !strings.Contains(text, "?") && !t.pleased(text)
}

// brief is somebody's words in one line of bearable length.
func brief(text string) string {
	const longest = 300
	r := []rune(strings.Join(strings.Fields(text), " "))
	if len(r) > longest {
		r = append(r[:longest-1], '…')
	}
	return string(r)
}

// shotsQuiet answers photographs once no more have come for a moment.
func (t *turn) shotsQuiet(e *Enquiry) {
	switch {
	case e.Stage != Booked || e.Job == nil || t.Owner == 0:
	case e.working() && len(e.Job.Shots) == 0: // they were of the visit before it was moved
	case e.working():
		last := e.Job.Shots[len(e.Job.Shots)-1]
		k := wording.JobShotBefore
		if last.After {
			k = wording.JobShotAfter
		}
		t.showStep(e, 0, t.word(k, wording.Facts{Text: t.taskWords(last.Of)}))
	default:
		t.showWalk(e, 0)
	}
}

func (t *turn) taskWords(id string) string {
	task, _ := t.Rules.Task(id)
	return task.Words
}

// areaOf is the area a task of the rules belongs to, empty for none.
func (t *turn) areaOf(id string) pricing.Area {
	task, _ := t.Rules.Task(id)
	return task.Area
}

// areaName is how an area is called.
func (t *turn) areaName(a pricing.Area) string {
	all := t.Rules.Areas()
	if i := slices.IndexFunc(all, func(r pricing.AreaRule) bool { return r.ID == a }); i >= 0 {
		return all[i].Name
	}
	return ""
}

func atoi(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		return -1
	}
	return n
}
