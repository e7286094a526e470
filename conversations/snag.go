package conversations

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// A snag is something a customer finds not right afterwards. It goes to the owner,
// gets a date, and ends when the customer says that it is right.

// snagsFor is for how long after a job a photograph or a complaint is taken to be
// about it.
const snagsFor = 28 * 24 * time.Hour

// Snag is what a customer found.
type Snag struct {
	At    time.Time    `json:"at"`
	Words string       `json:"words,omitempty"`
	Files []bot.FileID `json:"files,omitempty"`
	// Shown is how many of the photographs the owner has been shown.
	Shown int `json:"shown,omitempty"`
	// By is when it is to be put right, Done when the owner says he has, Right
	// when the customer says it is.
	By    time.Time `json:"by,omitzero"`
	Done  time.Time `json:"done,omitzero"`
	Right time.Time `json:"right,omitzero"`
	// Come is the hour agreed on for it, on the day of By.
	Come time.Time `json:"come,omitzero"`
}

// The owner's presses about a snag.
const (
	pressSnag = "snag"
	snagBy    = "by:" // in so many days
	snagDone  = "done"
	snagLater = "later"
)

// recent is the enquiry a complaint of this customer is likely to be about, nil if
// nothing was done of late: the job in hand, or the last one before what they ask now.
func (t *turn) recent(c *Chat) *Enquiry {
	ours := func(e *Enquiry) bool {
		return e != nil && e.Stage == Done && e.Work != nil && t.now.Sub(e.Work.At) <= snagsFor
	}
	if e := t.current(c); ours(e) {
		return e
	}
	if all := t.jobs(c); len(all) > 0 && ours(all[len(all)-1]) {
		return all[len(all)-1]
	}
	return nil
}

// snag is the one that is open, nil if none is.
func (e *Enquiry) snag() *Snag {
	if n := len(e.Snags); n > 0 && e.Snags[n-1].Right.IsZero() {
		return &e.Snags[n-1]
	}
	return nil
}

// snagSaid takes a customer's words about something that is not right, or those
// that say that something is. It reports false if they are about anything else.
func (t *turn) snagSaid(c *Chat, text string) bool {
	if e := t.enquiry(c.Snag); e != nil && e.Stage == Done {
		if t.means(wording.Plain(text), wording.LabelSnagNothing) || t.saysNothingWrong(text) {
			t.noSnag(c, e)
			return true
		}
		t.snagTold(c, e, text)
		return true
	}
	e := t.recent(c)
	if e != nil && t.saysNothingWrong(text) {
		return t.withdraws(c, e, text)
	}
	if e == nil || t.praises(text) {
		return false
	}
	if t.asksIfDamp(c, e, text) {
		return true
	}
	if !t.complains(text) && !t.faultLeft(e, text) && !t.findsFault(c, e, text) {
		return t.leavesSale(c, e, text)
	}
	if now := t.current(c); now != e && now != nil && now.Stage != Closed && !t.speaksOf(wording.Plain(text), wording.SayComplain) {
		return t.leavesSale(c, e, text) // else it may be the state of the next car
	}
	t.openSnag(e)
	t.snagTold(c, e, text)
	return true
}

// complains tells whether somebody says that something is not right.
func (t *turn) complains(text string) bool {
	said := " " + t.lessPraise(text) + " "
	return slices.ContainsFunc(t.typed(wording.SayNotRight), func(w string) bool { return strings.Contains(said, " "+wording.Plain(w)+" ") })
}

// saysNothingWrong tells whether somebody says that nothing is wrong, and complains of
// nothing beside it.
func (t *turn) saysNothingWrong(text string) bool {
	rest := t.lessNothingWrong(text)
	return rest != wording.Plain(text) && !t.complains(rest)
}

// lessNothingWrong is a text without the words that say that nothing is wrong.
func (t *turn) lessNothingWrong(text string) string {
	rest := " " + wording.Plain(text) + " "
	for _, w := range t.typed(wording.SayNothingWrong) {
		rest = strings.ReplaceAll(rest, " "+wording.Plain(w)+" ", " ")
	}
	return strings.TrimSpace(rest)
}

// withdraws ends a snag of which its customer says that nothing is wrong; the owner reads
// their words. It reports false if none is open.
func (t *turn) withdraws(c *Chat, e *Enquiry, text string) bool {
	s := e.snag()
	if s == nil || s.Words == "" {
		return false
	}
	c.Snag = ""
	s.Right = t.now
	t.unset(CameSnag, e)
	t.careAgain(c)
	t.tellBoss(wording.OwnerTheirText, e, text, pressWrite)
	t.toOwner(wording.OwnerSnagRight, e, wording.Facts{Name: e.Name, Car: carName(e)})
	t.tell(c.ID, wording.SnagNothing, wording.Facts{})
	return true
}

// findsFault tells whether a text after a job says what can be seen on the car, and asks
// for nothing: "there is still sand under the back seat".
func (t *turn) findsFault(c *Chat, e *Enquiry, text string) bool {
	if t.Reader == nil || e != t.current(c) || t.isQuestion(text) || t.isFriendly(text) {
		return false
	}
	return len(t.heardIn(t.lessPraise(text)).Hints) > 0 && !t.beginsAnew(text)
}

// openSnag begins a snag, unless one is open.
func (t *turn) openSnag(e *Enquiry) *Snag {
	if s := e.snag(); s != nil {
		return s
	}
	e.Snags = append(e.Snags, Snag{At: t.now})
	return e.snag()
}

// snagPhoto takes a photograph somebody sends after a job. It reports false if
// nothing was done of late.
func (t *turn) snagPhoto(c *Chat, w bot.Photo) bool {
	e := t.enquiry(c.Snag)
	if e == nil || e.Stage != Done {
		if e = t.recent(c); e == nil || e != t.current(c) || c.Stopped {
			return false
		}
	}
	const most = 8
	s := t.openSnag(e)
	if len(s.Files) < most {
		s.Files = append(s.Files, w.File)
	}
	if brief(w.Caption) != "" {
		t.snagTold(c, e, w.Caption)
		return true
	}
	if c.Snag == "" {
		c.Snag = e.ID
		t.askSnag(e, wording.AskSnagPhoto)
	}
	return true
}

// noSnag drops what somebody began to complain of and did not.
func (t *turn) noSnag(c *Chat, e *Enquiry) {
	c.Snag = ""
	if s := e.snag(); s != nil && s.Words == "" {
		e.Snags = e.Snags[:len(e.Snags)-1]
		t.careAgain(c)
	}
	t.tell(c.ID, wording.SnagNothing, wording.Facts{})
}

// askSnag asks what is not right.
func (t *turn) askSnag(e *Enquiry, k wording.Key) {
	t.tell(e.Chat, k, wording.Facts{Name: e.Name, Car: carName(e)}, t.theirRow(e, named{theirRight, wording.LabelSnagNothing}))
}

// snagTold puts what is not right before the owner, who says by when.
func (t *turn) snagTold(c *Chat, e *Enquiry, text string) {
	c.Snag = ""
	s := t.openSnag(e)
	said := s.Words
	more := said != ""
	if s.Words = brief(text); more {
		s.Words = brief(said + "; " + s.Words)
	}
	s.Done = time.Time{} // what was put right is not
	k := wording.SnagTaken
	if more {
		k = wording.SnagMore
	}
	t.tell(e.Chat, k, wording.Facts{Name: e.Name, Car: carName(e), When: t.dayOf(s.By)})
	for _, f := range s.Files[min(s.Shown, len(s.Files)):] {
		t.sayPhoto(t.Owner, Photo{File: f}, e)
	}
	s.Shown = len(s.Files)
	if s.By.IsZero() {
		t.remindOfSnag(e, 1)
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), Day: t.dayOf(e.Work.At)}
	for _, f.Text = range pieces(text) { // he reads all of it; what is kept to remind him by is short
		if t.Owner != 0 {
			t.tell(t.Owner, wording.OwnerSnag, f, t.snagDays(e)...)
		}
	}
}

func (t *turn) dayOf(at time.Time) string {
	if at.IsZero() {
		return ""
	}
	return t.Words.Date(at.In(t.Zone))
}

// snagDays are the days by which the owner may put something right.
func (t *turn) snagDays(e *Enquiry) [][]bot.Choice {
	var rows [][]bot.Choice
	last := 0
	for _, pair := range [][]int{{1, 3}, {7, 14}} {
		var row []bot.Choice
		for _, n := range pair {
			n = t.workday(max(n, last+1)) // over holidays two of them may fall on one day
			last = n
			row = append(row, t.byButton(e, n))
		}
		rows = append(rows, row)
	}
	return append(rows, []bot.Choice{{Label: t.label(wording.LabelWrite), Data: press{e.ID, e.Rev, pressOwner, pressWrite}.data()}})
}

// byButton promises something put right in so many days.
func (t *turn) byButton(e *Enquiry, n int) bot.Choice {
	label := t.word(wording.LabelBy, wording.Facts{When: t.Words.Date(t.now.AddDate(0, 0, n))})
	return bot.Choice{Label: label, Data: press{e.ID, 0, pressSnag, snagBy + strconv.Itoa(n)}.data()}
}

// workday is the first day of work in so many days or more.
func (t *turn) workday(n int) int {
	rules := t.diaryRules()
	const week = 7
	for more := range week {
		day := t.now.AddDate(0, 0, n+more)
		if len(rules.Hours[day.Weekday()]) > 0 && !rules.Closed[diary.Key(day, t.Zone)] {
			return n + more
		}
	}
	return n
}

// snagAnswered takes the owner's presses about a snag.
func (t *turn) snagAnswered(c *Chat, e *Enquiry, p press, w bot.Tap) {
	s := e.snag()
	if s == nil || e.Stage != Done {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	f := wording.Facts{Name: e.Name, Car: carName(e), Text: s.Words}
	kind, rest, _ := strings.Cut(p.choice, ":")
	switch kind {
	case "by":
		n := atoi(rest)
		if n < 1 || n > 60 {
			t.staleVisit(c, e)
			return
		}
		y, m, d := t.now.AddDate(0, 0, n).Date()
		t.snagNotThen(e, s)
		s.By, s.Done = t.setting().Serviceable(time.Date(y, m, d, 0, 0, 0, 0, t.Zone)), time.Time{}
		t.set(s.By, Came{Kind: CameSnag, Enquiry: e.ID})
		f.When = t.dayOf(s.By)
		t.tell(e.Chat, wording.SnagBy, f)
		t.tell(t.Owner, wording.OwnerSnagBy, f)
	case "at":
		t.snagAgreed(c, e, s, rest)
	case snagDone:
		t.snagNotThen(e, s)
		s.Done = t.now
		t.unset(CameSnag, e)
		t.tell(e.Chat, wording.AskSnagRight, f, t.theirRow(e, named{theirRight, wording.LabelSnagRight}, named{theirNot, wording.LabelSnagNot}))
		t.tell(t.Owner, wording.OwnerSnagAsked, f)
		t.careAgain(t.chat(e.Chat))
	default:
		t.tell(t.Owner, wording.OwnerSnagWhen, f, t.snagDays(e)...)
	}
}

// snagPressed takes the customer's presses: that something is not right, that it
// is right now, or that it still is not.
func (t *turn) snagPressed(c *Chat, e *Enquiry, kind string, w bot.Tap) {
	if e.Stage != Done || e.Work == nil {
		t.staleVisit(c, e)
		return
	}
	s := e.snag()
	f := wording.Facts{Name: e.Name, Car: carName(e)}
	switch {
	case kind == theirSnag:
		c.Snag = e.ID
		t.askSnag(e, wording.AskSnag)
	case c.Snag == e.ID && (s == nil || s.Words == ""):
		t.takeOff(w)
		t.noSnag(c, e)
	case s == nil || s.Words == "" || kind == theirNot && s.Done.IsZero():
		t.staleVisit(c, e)
	case kind == theirRight:
		t.takeOff(w)
		c.Snag = ""
		s.Right = t.now
		t.snagNotThen(e, s)
		t.unset(CameSnag, e)
		t.careAgain(c)
		t.tell(e.Chat, wording.SnagRight, f)
		t.toOwner(wording.OwnerSnagRight, e, f)
	default:
		t.takeOff(w)
		s.Done, s.By = time.Time{}, time.Time{}
		t.remindOfSnag(e, 1)
		t.tell(e.Chat, wording.SnagStill, f)
		f.Text = s.Words
		t.tell(t.Owner, wording.OwnerSnagStill, f, t.snagDays(e)...)
	}
}
