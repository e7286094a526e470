package conversations

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// A car that comes again is known: what was done, how it was found, what came out
// and what stayed. The owner sees it on the card, and it says a little beforehand
// about how the car will be found this time.

// Past is what is known of a car from the last time it was here.
type Past struct {
	// Car is the car it was looked for by; Of the enquiry that was found, empty if
	// the car has not been here.
	Car string `json:"car"`
	Of  string `json:"of,omitempty"`
	// Found is how the owner found it then.
	Found map[pricing.Area]pricing.Grade `json:"found,omitempty"`
}

// pressPast is the question name of the buttons about a car's history, the rest
// what they carry.
const (
	pressPast  = "past"
	pastShow   = "show"
	pastWorked = "worked"
	pastStayed = "stayed"
)

// mostPast is how many of somebody's earlier enquiries are looked at.
const mostPast = 12

// recognise looks for the last time this customer's car was here, once for each car.
func (t *turn) recognise(e *Enquiry) {
	name := carName(e)
	if name == "" || e.Past != nil && e.Past.Car == name || e.Past == nil && e.Quote != nil {
		return
	}
	e.Past = nil
	if before := t.visitsBefore(e); len(before) > 0 {
		e.Past = &Past{Car: name, Of: before[0].ID, Found: t.found(before[0])}
	} else if t.chat(e.Chat).Count > 1 {
		e.Past = &Past{Car: name}
	}
}

// visitsBefore are the finished jobs on an enquiry's car, the latest first.
func (t *turn) visitsBefore(e *Enquiry) []*Enquiry {
	own, n, _ := strings.Cut(e.ID, "-")
	last, err := strconv.Atoi(n)
	if err != nil {
		return nil
	}
	var out []*Enquiry
	for i := last - 1; i >= 1 && i >= last-mostPast; i-- {
		b := t.enquiry(own + "-" + strconv.Itoa(i))
		if b != nil && b.Stage == Done && b.Work != nil && b.Quote != nil && carName(b) == carName(e) {
			out = append(out, b)
		}
	}
	return out
}

// earlier is how the car was found last time.
func (e *Enquiry) earlier() map[pricing.Area]pricing.Grade {
	if e.Past == nil {
		return nil
	}
	return e.Past.Found
}

// hereBefore is one line about the last time, empty if there was none.
func (t *turn) hereBefore(e *Enquiry) string {
	if e.Past == nil || e.Past.Of == "" {
		return ""
	}
	b := t.enquiry(e.Past.Of)
	if b == nil || b.Work == nil {
		return ""
	}
	return t.word(wording.LineHereBefore, t.pastFacts(b))
}

// pastFacts are the facts of a finished job.
func (t *turn) pastFacts(b *Enquiry) wording.Facts {
	f := wording.Facts{Name: b.Name, Car: carName(b), Text: t.wanted(b), Day: t.Words.DateYear(b.Work.At.In(t.Zone)), Minutes: b.Work.Minutes,
		Count: b.Quote.reckoned(), Price: t.pounds(b.Work.Price), In: b.Work.Worked, Stays: b.Work.Stayed}
	for _, a := range t.Rules.Areas() {
		if g := b.Graded[a.ID]; g > 0 {
			f.Items = append(f.Items, fmt.Sprintf("%s %d", a.Name, g))
		}
	}
	for _, id := range b.Work.Protections {
		if p, ok := t.Rules.Protection(id); ok {
			f.Out = append(f.Out, p.Words)
		}
	}
	return f
}

// pastRow is the button under a card of a car that has been here.
func (t *turn) pastRow(e *Enquiry) []bot.Choice {
	if e.Past == nil || e.Past.Of == "" {
		return nil
	}
	return slices.Concat(t.presses(e, pressPast, named{pastShow, wording.LabelPast})...)
}

// remarkRow are the buttons under a finished job, for what the next time should know.
func (t *turn) remarkRow(e *Enquiry) []bot.Choice {
	return slices.Concat(t.presses(e, pressPast, named{pastWorked, wording.LabelWorked}, named{pastStayed, wording.LabelStayed})...)
}

// pastPressed takes a press on them. What is known of a job may be added to for
// ever, so that no such button is stale.
func (t *turn) pastPressed(c *Chat, e *Enquiry, p press, _ bot.Tap) {
	switch {
	case p.choice == pastShow:
		t.showPast(c, e)
	case e.Stage != Done || e.Work == nil || p.choice != pastWorked && p.choice != pastStayed:
		t.tell(c.ID, wording.OwnerStale, wording.Facts{Text: t.ownerStanding(e)}, t.openRow(e))
	default:
		c.Remark, c.Writing = p.choice+":"+e.ID, ""
		k := wording.OwnerWorked
		if p.choice == pastStayed {
			k = wording.OwnerStayed
		}
		t.tell(c.ID, k, wording.Facts{Name: e.Name, Car: carName(e)})
	}
}

// longestRemark is how much of a remark is kept, in runes.
const longestRemark = 300

// remarked takes the owner's next text as what he has been asked to say of a job.
func (t *turn) remarked(c *Chat, text string) bool {
	what, id, asked := strings.Cut(c.Remark, ":")
	c.Remark = ""
	e := t.enquiry(id)
	if !asked || e == nil || e.Work == nil || strings.TrimSpace(text) == "" {
		return false
	}
	if r := []rune(text); len(r) > longestRemark {
		text = string(r[:longestRemark])
	}
	text = strings.Join(strings.Fields(text), " ")
	if what == pastStayed {
		e.Work.Stayed = append(e.Work.Stayed, text)
	} else {
		e.Work.Worked = append(e.Work.Worked, text)
	}
	t.tell(c.ID, wording.OwnerRemarked, wording.Facts{Name: e.Name, Car: carName(e)}, t.remarkRow(e))
	return true
}

// showPast tells all that is known of a car.
func (t *turn) showPast(c *Chat, e *Enquiry) {
	f := wording.Facts{Name: e.Name, Car: carName(e)}
	for _, b := range t.visitsBefore(e) {
		f.Items = append(f.Items, t.word(wording.LineVisit, t.pastFacts(b)))
	}
	t.tell(c.ID, wording.OwnerPast, f)
}
