package conversations

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// The card is an enquiry as it is put before the owner, with what he can do about
// it: agree, adjust, ask the customer something, decline with a reason, or talk
// himself.

// card are the facts an owner decides by.
func (t *turn) card(e *Enquiry) wording.Facts {
	kept := e.Quote
	e.Quote = t.readable(e)
	defer func() { e.Quote = kept }()
	f := t.agreed(e)
	f.In = nil
	if e.Phone != "" {
		f.In = append(f.In, t.word(wording.LinePhone, wording.Facts{Text: e.Phone}))
	}
	if e.First != "" {
		f.In = append(f.In, t.word(wording.LineFirst, wording.Facts{Text: e.First}))
	}
	if by := t.neededWords(e); by != "" {
		needed := wording.Facts{Until: by}
		if e.Ahead > e.Needed {
			needed.When = t.aheadWords(e)
		}
		f.In = append(f.In, t.word(wording.LineNeeded, needed))
	}
	if e.Cab != "" {
		f.In = append(f.In, t.word(wording.LineCab, wording.Facts{Text: e.Cab}))
	}
	if line := t.fittedWords(e); line != "" {
		f.In = append(f.In, line)
	}
	var unasked []string // in one line, as there is nothing to read in it
	unwanted := t.sparedNames(e)
	for _, a := range t.gradable(e) {
		switch line := t.restsOn(e, a); {
		case line == a.Name && slices.Contains(unwanted, short([]string{a.Name})[0]):
		case line == a.Name:
			unasked = append(unasked, a.Name)
		case line != "":
			f.In = append(f.In, line)
		}
	}
	if len(unasked) > 0 {
		f.In = append(f.In, firstUpper(t.label(wording.RestsUnasked))+": "+strings.Join(unasked, ", "))
	}
	if len(unwanted) > 0 {
		f.In = append(f.In, firstUpper(t.label(wording.RestsUnwanted))+": "+strings.Join(unwanted, ", "))
	}
	f.In = append(f.In, t.notSure(e)...)
	for _, n := range t.standingNotes(e) {
		if n.text == e.First {
			continue
		}
		f.In = append(f.In, t.word(wording.LineNoted, wording.Facts{Text: n.text, Earlier: n.before}))
	}
	f.In = append(f.In, t.hisWords(e, wording.LineWrote)...)
	f.Hours = t.takes(e.Quote)
	if e.Quote.Low != e.Quote.High { // what does not move is moved by nothing
		f.Why = e.Quote.Why
	}
	f.Refer = e.Quote.Refer
	f.Stays = t.warned(e)
	f.Out = nil
	for _, q := range e.Queries {
		if q.Answer != "" {
			f.Out = append(f.Out, t.word(wording.LineQuery, wording.Facts{Question: t.asked(q), Text: q.Answer}))
		}
	}
	f.Count = len(worthSeeing(e.Photos))
	return f
}

// fittedWords say what figure the work of an enquiry was fitted to, and what it leaves out;
// empty if it was to none.
func (t *turn) fittedWords(e *Enquiry) string {
	q := e.Quote
	if q.Budget == 0 || q.Small {
		return ""
	}
	f := wording.Facts{Budget: t.pounds(q.Budget), Items: short(q.Over)}
	if len(f.Items) > mostLeftOut {
		f.Items, f.Count = f.Items[:mostLeftOut], len(f.Items)-mostLeftOut
	}
	return t.word(wording.LineFitted, f)
}

// Takes says how long the work of a quote takes, as the owner reads it on his card.
func Takes(talk Talk, q *Quoted) string {
	t := turn{Talk: talk}
	return t.takes(q)
}

// takes is how long the work takes, and how far it may be off.
func (t *turn) takes(q *Quoted) string {
	return t.word(wording.CardMinutes, wording.Facts{Hours: t.exactly(q.reckoned()), Was: t.exactly(toFive(q.P10)), Now: t.exactly(toFive(q.P90))})
}

// toFive is what was reckoned, to the five minutes: to the minute would be a precision
// nobody has.
func toFive(minutes float64) int {
	const grid = 5
	return int(math.Round(minutes/grid)) * grid
}

// reckoned is how many minutes the work was to take. What the owner has set himself is as
// he set it.
func (q *Quoted) reckoned() int {
	if q.P10 == q.P90 {
		return int(math.Round(q.P50))
	}
	return toFive(q.P50)
}

// warned are the flags of the rules an enquiry has raised, in their words.
func (t *turn) warned(e *Enquiry) []string {
	ids := flagged(e)
	for _, a := range t.Rules.Areas() {
		if raised, ok := a.Raises[int(t.gradeOf(e, a.ID))]; ok && !slices.Contains(ids, raised) {
			ids = append(ids, raised)
		}
	}
	var out []string
	for _, id := range ids {
		if f, ok := t.Rules.Flag(id); ok && f.Words != "" && !slices.Contains(e.Quote.Refer, f.Words) {
			out = append(out, f.Words)
		}
	}
	for _, n := range e.Quote.Notes {
		if !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// gradeOf is the grade an area counts with as far as anybody has named one, the
// owner before the customer; 0 if nobody has.
func (t *turn) gradeOf(e *Enquiry, a pricing.Area) pricing.Grade {
	if g := e.Graded[a]; g > 0 {
		return g
	}
	n, _ := strconv.Atoi(e.answer(askCond + string(a)))
	return pricing.Grade(n)
}

// restsOn is one area's grade, the words for it, and what it rests on. Areas that
// cost nothing unless somebody mentions them are left out until somebody does. Of one that
// nobody was asked about it is the name alone.
func (t *turn) restsOn(e *Enquiry, a pricing.AreaRule) string {
	said := e.answer(askCond + string(a.ID))
	g := t.gradeOf(e, a.ID)
	f := wording.Facts{Text: t.grading(a, strconv.Itoa(int(g)))}
	switch {
	case e.Graded[a.ID] > 0:
		f.Question = t.label(wording.RestsSeen)
	case g > 0 && len(worthSeeing(e.Photos)) > 0:
		f.Question = t.label(wording.RestsPhoto)
	case g > 0:
		f.Question = t.label(wording.RestsSaid)
	case said != "" && said != choiceTell:
		return a.Name + ": " + t.label(wording.RestsUnsure)
	case a.OnlyIfTold:
		return ""
	default:
		return a.Name
	}
	return t.word(wording.LineRests, f)
}

// grading is one area's grade in figures and words.
func (t *turn) grading(a pricing.AreaRule, answer string) string {
	n, err := strconv.Atoi(answer)
	if err != nil || n < 1 || n > len(a.Grades) {
		return a.Name + ": " + t.label(wording.LabelNotSure)
	}
	return t.word(wording.LineGrade, wording.Facts{Text: a.Name, Count: n, Question: a.Grades[n-1]})
}

// showCard puts an enquiry before the owner, with the pictures first.
func (t *turn) showCard(e *Enquiry, k wording.Key, f wording.Facts) {
	if t.Owner == 0 {
		return
	}
	t.showPhotos(e, worthSeeing(e.Photos))
	f.Name, f.Car = e.Name, carName(e)
	t.tell(t.Owner, k, f, append(t.cardWays(e), t.pastRow(e))...)
}

// cardWays are the owner's buttons under an enquiry that waits for him.
func (t *turn) cardWays(e *Enquiry) [][]bot.Choice {
	own := func(list ...string) (row []bot.Choice) {
		for _, p := range list {
			row = append(row, t.own(e, p))
		}
		return row
	}
	if isGuest(e.Chat) {
		rows := [][]bot.Choice{own(pressWrite, pressHand)} // he asks them himself
		if e.Stage == Asking && e.Quote != nil && e.Quote.NeedSee != "" {
			b := t.own(e, pressSaidPrice)
			b.Label = t.label(wording.LabelSetPrice)
			rows = slices.Insert(rows, 0, []bot.Choice{b})
		}
		return rows
	}
	if e.Stage != Waits {
		rows := [][]bot.Choice{own(pressAsk, pressWrite, pressHand)}
		if e.Stage == Asking && e.Quote != nil && e.Quote.NeedSee != "" {
			rows = slices.Insert(rows, 0, t.termsRow(e))
		}
		return rows
	}
	return [][]bot.Choice{own(pressApprove, pressAdjust, pressDecline), own(pressAsk, pressWrite)}
}

// showPhotos shows the owner pictures of an enquiry, as albums.
func (t *turn) showPhotos(e *Enquiry, list []Photo) {
	const mostInAlbum = 10 // core.telegram.org/bots/api#sendmediagroup
	var files []Photo
	list = slices.DeleteFunc(slices.Clone(list), func(p Photo) bool {
		if p.AsFile { // the platform shows no file among photos
			files = append(files, p)
		}
		return p.AsFile
	})
	for _, p := range files {
		t.sayPhoto(t.Owner, p, e)
	}
	for chunk := range slices.Chunk(list, mostInAlbum) {
		if len(chunk) == 1 {
			t.sayPhoto(t.Owner, chunk[0], e)
			continue
		}
		m := bot.Message{Chat: t.Owner, Text: t.word(wording.OwnerPhoto, wording.Facts{Name: e.Name, Car: carName(e)}), Kind: "photo"}
		for _, p := range chunk {
			m.Album = append(m.Album, p.File)
		}
		t.say(m)
	}
}

// cardSaid takes what the owner types while one of the card's questions to him is
// open. It reports false if none is.
func (t *turn) cardSaid(c *Chat, text string) bool {
	open := c.Typing
	if open == nil || open.What == typingWhy {
		return false
	}
	c.Typing = nil
	e := t.enquiry(open.Enquiry)
	if e == nil {
		t.tell(c.ID, wording.OwnerStale, wording.Facts{})
		return true
	}
	switch kind, rest, _ := strings.Cut(open.What, ":"); kind {
	case typingLate:
		n, left := t.lengthIn(strings.Fields(wording.Plain(text)))
		if n < leastLate || n > mostLate || len(left) > 0 && !t.saysJust(strings.Join(append(left, "late"), " "), []string{"late"}) {
			return false // he has gone on to something else
		}
		t.beLate(c, e, n)
		return true
	case typingAllLate:
		return t.allLateTyped(c, rest, text)
	case typingGrade:
		return t.gradeTyped(e, rest, text)
	case typingDraft:
		return t.draftSaid(c, e, text)
	case typingPanel:
		return t.panelTyped(c, e, text) || t.tasksTyped(e, text)
	case typingTasks:
		return t.tasksTyped(e, text)
	case typingFound:
		return t.foundAnswered(c, e, text)
	case typingEnd:
		return t.endAnswered(c, e, rest, text)
	}
	switch open.What {
	case typingPrice, typingMinutes:
		t.byHandTyped(c, e, open.What, text)
	case typingSaidPrice, typingSaidTime, typingKeptPrice:
		t.standsTyped(c, e, open.What, text)
	case typingReason:
		t.declineFor(e, reasonOwn, text)
	default:
		t.query(e, Query{Asked: text})
	}
	return true
}

// Typing is what the owner's next text is.
type Typing struct {
	What    string `json:"what"`
	Enquiry string `json:"enquiry"`
}

// What the owner's next text can be.
const (
	typingPrice   = "price"
	typingMinutes = "minutes"
	typingReason  = "reason"
	typingQuery   = "query"
	typingLate    = "late"
	// What he has agreed himself, see handback.go.
	typingSaidPrice = "said-price"
	typingSaidTime  = "said-time"
	typingKeptPrice = "kept-price" // of a time he has just kept
	// What the first three take must be written for them; other words are read as if
	// nothing had been asked.
	typingGrade = "grade" // with the area behind a colon
	typingPanel = "panel"
	typingTasks = "tasks"
	typingWhy   = "why"
	typingDraft = "draft"
	// With the minutes and a sum of the visits behind colons, once they have been shown.
	typingAllLate = "all-late"
)

// expect makes the owner's next text an answer to one of the card's questions.
func (t *turn) expect(c *Chat, what string, e *Enquiry) {
	c.Typing = &Typing{What: what, Enquiry: e.ID}
	c.Writing, c.Finishing = "", ""
}
