package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// On the day a customer writes from the car: that they are on their way, come later, or
// stand outside. The owner is told what it is, in their words, and they hear that he knows.

// tellsComing takes such a word about a visit of today, and reports whether it was one.
func (t *turn) tellsComing(c *Chat, e *Enquiry, text string) bool {
	if e == nil || !t.isToday(e) || t.atTheCar(e) || e.Move != nil || t.isQuestion(text) {
		return false
	}
	said := wording.Plain(text)
	words := strings.Fields(said)
	const most = 16 // words; who says more says something else too
	n, _ := t.lengthIn(words)
	f := wording.Facts{Text: text}
	var theirs, ours wording.Key
	switch {
	case len(words) > most:
		return false
	case t.saysLate(said, n):
		theirs, ours = wording.ComeLater, wording.OwnerComesLater
		f.Until = t.about(e.Slot.Start, n)
	case t.speaksOf(said, wording.SayOnWay):
		theirs, ours = wording.SeeYouSoon, wording.OwnerOnWay
		f.Until = t.about(t.now, n)
	case t.saysJust(text, t.typed(wording.SayImHere)):
		theirs, ours = wording.ToldYoureHere, wording.OwnerIsHere
	default:
		return false
	}
	t.wroteNear(e, text)
	t.toOwner(ours, e, f, pressArrived, pressWrite)
	if e.Job != nil && !e.Job.Absent.IsZero() && !e.working() { // he had found nobody there
		t.comingPressed(c, e, theirComing, bot.Tap{})
		return true
	}
	if t.nearVisit(e) {
		e.onDay().Coming = t.now
	}
	t.tell(c.ID, theirs, wording.Facts{Name: c.Name}, t.theirWays(e)...)
	return true
}

// saysLate tells whether somebody says that they come late: by how much, or in more than
// the one word that "sorry for the late reply" has as well.
func (t *turn) saysLate(said string, minutes int) bool {
	phrases := t.typed(wording.SayLate)
	if minutes == 0 {
		phrases = slices.DeleteFunc(slices.Clone(phrases), func(p string) bool { return !strings.Contains(p, " ") })
	}
	return slices.ContainsFunc(phrases, func(p string) bool { return strings.Contains(" "+said+" ", " "+wording.Plain(p)+" ") })
}

// about is the time so many minutes after another, empty for none.
func (t *turn) about(from time.Time, minutes int) string {
	if minutes == 0 {
		return ""
	}
	return from.Add(time.Duration(minutes) * time.Minute).In(t.Zone).Format("15:04")
}
