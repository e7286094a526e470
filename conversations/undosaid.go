package conversations

import (
	"slices"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// A slip of the thumb is put right with a word: what can be taken back is, and of the rest
// it is said that it cannot be, and what can still be changed.

// takesBack are the buttons that take back what has just been done; a mere way back comes
// last.
var takesBack = []wording.Key{wording.LabelNotPaid, wording.LabelUndo, wording.LabelStepBack, wording.LabelNotDamage, wording.LabelDepositNot, wording.LabelForgetThat, wording.LabelBack}

// undoSaid takes "undo that" or "oops, wrong one" and reports whether the text was that. A
// change of the settings is taken back where those are read.
func (t *turn) undoSaid(c *Chat, text string) bool {
	slips := slices.Concat(t.typed(wording.SayUndo), t.typed(wording.SayOops))
	if t.leavesTyping(c, text, slices.Concat(slips, t.typed(wording.SayBack))) {
		return true
	}
	oops := t.saysJust(text, t.typed(wording.SayOops))
	if !oops && !t.saysJust(text, slips) {
		return false
	}
	if c.Shown == nil {
		return oops && t.cannotUndo(c, nil)
	}
	i, e := t.backButton(c.Shown), t.shownOf(c.Shown)
	switch p, _ := parsePress(c.Shown.at(i)); {
	case i >= 0 && e != nil && p.question != pressRun:
		n := len(t.out.Say)
		t.ownerTapped(c, bot.Tap{Data: c.Shown.Data[i]})
		t.sayWhose(n, e)
	case i >= 0:
		t.ownerTapped(c, bot.Tap{Data: c.Shown.Data[i]})
	case e == nil && !oops:
		return false
	default:
		return t.cannotUndo(c, e)
	}
	return true
}

// leavesTyping leaves what he was to type for somebody, if that is what he asks for.
func (t *turn) leavesTyping(c *Chat, text string, ways []string) bool {
	free := []string{typingPrice, typingMinutes, typingReason, typingQuery, typingSaidPrice, typingSaidTime}
	typing := c.Typing != nil && slices.Contains(free, c.Typing.What)
	if c.Writing == "" && !typing && c.Remark == "" || !t.saysJust(text, ways) {
		return false
	}
	id := c.Writing
	if typing {
		id = c.Typing.Enquiry
	}
	e := t.enquiry(id)
	if e != nil && c.Writing != "" {
		if their := t.chat(e.Chat); their.Person && !their.Passed { // he has not taken them over, then
			their.Person = false
		}
	}
	c.Writing, c.Typing, c.Remark = "", nil, ""
	var rows [][]bot.Choice
	if e != nil {
		rows = append(rows, t.openRow(e))
	}
	t.tell(c.ID, wording.OwnerLeftAlone, wording.Facts{}, rows...)
	return true
}

// cannotUndo says that what was done last is not taken back with a word, and shows what
// there is to change it with.
func (t *turn) cannotUndo(c *Chat, e *Enquiry) bool {
	var rows [][]bot.Choice
	f := wording.Facts{}
	switch {
	case e == nil:
		rows = t.deskWays()
	case e.Stage == Booked:
		f.Name, f.Car, rows = e.Name, carName(e), t.ownerWays(e)
	default:
		f.Name, f.Car, rows = e.Name, carName(e), [][]bot.Choice{t.openRow(e)}
	}
	t.tell(c.ID, wording.OwnerNoUndo, f, rows...)
	return true
}

// backButton is which of the buttons he was shown last takes back what was done, -1 for
// none.
func (t *turn) backButton(s *Shown) int {
	for _, k := range takesBack {
		for _, words := range t.hears() {
			if i := slices.Index(s.Labels, words.Label(k)); i >= 0 {
				return i
			}
		}
	}
	return -1
}

// shownOf is the enquiry the buttons he was shown last are about, nil for none.
func (t *turn) shownOf(s *Shown) *Enquiry {
	if ids := s.about(); len(ids) > 0 {
		return t.enquiry(ids[0])
	}
	return nil
}

// at is what a button carries, empty for none.
func (s *Shown) at(i int) string {
	if i < 0 || i >= len(s.Data) {
		return ""
	}
	return s.Data[i]
}
