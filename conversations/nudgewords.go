package conversations

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/reminders"
)

// A nudge is answered in words as well as with its buttons.

// listening is for how long after a nudge what somebody writes may be its answer.
const listening = 120 * 24 * time.Hour

// nudged is the job whose nudge a chat may still be answering, nil if there is none.
func (t *turn) nudged(c *Chat) (e *Enquiry) {
	for _, j := range t.jobs(c) {
		if j.Plan == nil || t.now.Sub(j.Plan.Said) >= listening || e != nil && !j.Plan.Said.After(e.Plan.Said) {
			continue
		}
		// After the second one it counts only while nothing has been begun since.
		if j.Plan.Stage == reminders.Nudged || j.Plan.Unanswered() && c.Enquiry == j.ID {
			e = j
		}
	}
	return e
}

// nudgeWrote takes a text as the answer to the last nudge, and reports whether it
// was one. What says nothing about it is somebody's new enquiry.
func (t *turn) nudgeWrote(c *Chat, text string) bool {
	e := t.nudged(c)
	if e == nil {
		return false
	}
	said := wording.Plain(text)
	if weeks, months, ok := laterSaid(said); ok {
		t.nudgeLater(c, e, weeks, months)
		return true
	}
	if weeks, ok := t.laterIn(text); ok {
		t.nudgeLater(c, e, weeks, 0)
		return true
	}
	if t.stillFine(c, e, text) {
		return true
	}
	for _, a := range []struct {
		say    wording.Key
		choice string
	}{
		{wording.LabelStillBeads, nudgeFine}, {wording.LabelStillFine, nudgeFine}, {wording.LabelElsewhere, nudgeElse}, {wording.LabelSold, nudgeSold},
		{wording.LabelNoMore, nudgeNever}, {wording.LabelLater, nudgeLater}, {wording.SayTopUpOnly, nudgeTop}, {wording.SayAfresh, nudgeAnew},
	} {
		if t.means(said, a.say) || t.saysJust(text, t.typed(a.say)) || a.choice == nudgeLater && t.putsOff(text) {
			t.nudgePressed(c, e, press{e.ID, e.Rev, pressNudge, a.choice}, bot.Tap{})
			return true
		}
	}
	yes := slices.Concat(t.typed(wording.LabelTopUp), t.typed(wording.SayYes), t.typed(wording.SayOnceMore))
	switch {
	case t.means(said, wording.LabelTopUp), t.saysJust(text, yes):
		e.Wish = ""
	case t.sameAfterNudge(c, e, text):
		return true
	case t.namesNone(text) && t.onlyTimes(text):
		e.Wish = brief(text)
	default:
		return false
	}
	t.whichRenewal(c, e)
	return true
}

// sameAfterNudge takes "same again mate" after a nudge: that is the work of the last time and
// not what the nudge offers, which is often less of it. It reports whether the text was that.
func (t *turn) sameAfterNudge(c *Chat, e *Enquiry, text string) bool {
	said := wording.Plain(text)
	asks := t.speaksOf(said, wording.SaySameAgain) && !t.speaksOf(said, wording.SayNotAgain) && !t.speaksOf(said, wording.SayOtherCar)
	if !asks || t.Reader == nil || e.Car == nil || len(e.Answers[askWants]) == 0 || !t.namesNone(text) {
		return false
	}
	e.Rev++
	e.Wish = ""
	t.keepPlan(e, e.Plan.Booked(t.now, t.theirs(c)))
	t.againFor(c, e, text, true)
	return true
}

// stillFine takes a text that says that the protection still does its work, in whatever words
// stand beside it. What it asks with that is the owner's, and what we can say of it ourselves,
// why the reminder comes so soon, is said. It reports whether the text was that.
func (t *turn) stillFine(c *Chat, e *Enquiry, text string) bool {
	const most = 16 // words
	fine, asks := false, false
	for _, s := range sentences(text) {
		said := wording.Plain(s)
		tells := t.speaksOf(said, wording.LabelStillBeads) || t.speaksOf(said, wording.SayStillFine)
		asks = asks || strings.Contains(s, "?")
		fine = fine || tells && !strings.Contains(s, "?") && !t.speaksOf(said, wording.SayNotFine) && len(strings.Fields(said)) <= most
	}
	whole := wording.Plain(text)
	tells := fine || t.speaksOf(whole, wording.SayStillFine) || asks && t.speaksOf(whole, wording.LabelStillBeads)
	if !tells || !fine && !asks || t.Reader != nil && (len(t.asksFor(t.heardIn(text))) > 0 || !t.namesNone(text)) {
		return false
	}
	why := ""
	if m, ok := e.Plan.Last(t.theirs(c)); ok {
		why = t.sooner(e, m, "came")
	}
	if !fine { // "its good till march the boss said?" says neither yes nor no
		t.tellBoss(wording.OwnerOfJob, e, text, pressAnswer)
		t.tell(c.ID, wording.GivenOn, wording.Facts{Text: why})
		return true
	}
	t.keepPlan(e, e.Plan.StillFine(t.now, t.theirs(c)))
	e.Rev++
	f := wording.Facts{Car: carName(e), When: t.Words.DateYear(e.Work.Nudge.In(t.Zone))}
	if asks {
		t.tellBoss(wording.OwnerOfJob, e, text, pressAnswer)
		f.Text = strings.TrimSpace(why + " " + t.word(wording.AskedToo, wording.Facts{}))
	}
	t.tell(c.ID, wording.NudgeFine, f)
	return true
}

// nudgeLater has somebody asked again in so many weeks and months.
func (t *turn) nudgeLater(c *Chat, e *Enquiry, weeks, months int) {
	t.keepPlan(e, e.Plan.Later(t.now, weeks, months, t.theirs(c)))
	e.Rev++
	t.nudgeMoved(c, e, wording.NudgeLater)
}

// whichRenewal begins what a plain yes asks for, or asks which of the two it means.
func (t *turn) whichRenewal(c *Chat, e *Enquiry) {
	var f wording.Facts
	rows := t.priceRows(e, t.toldOf(e), &f)
	if len(rows) == 1 {
		t.nudgePressed(c, e, press{e.ID, e.Rev, pressNudge, nudgeYes}, bot.Tap{})
		return
	}
	t.tell(c.ID, wording.NudgeWhich, f, rows...)
}

var laterWords = regexp.MustCompile(`^(?:(?:please|pls|ask|ask me|ask again|remind me|again|later|try|maybe|not now|not yet)\b ?)*(?:in )?(?:about |around )?(\d{1,2}|a|an|one|two|three|four|five|six|eight|ten|a couple of|a few) (week|month)s?(?: please| time| or so)*$`)

var smallNumbers = map[string]int{"a": 1, "an": 1, "one": 1, "two": 2, "a couple of": 2, "three": 3, "a few": 3, "four": 4, "five": 5, "six": 6, "eight": 8, "ten": 10}

// laterSaid reads "ask me again in two months".
func laterSaid(said string) (weeks, months int, ok bool) {
	found := laterWords.FindStringSubmatch(said)
	if found == nil {
		return 0, 0, false
	}
	n, err := strconv.Atoi(found[1])
	if err != nil {
		n = smallNumbers[found[1]]
	}
	if found[2] == "month" {
		return 0, n, n >= 1 && n <= 24
	}
	return n, 0, n >= 1
}
