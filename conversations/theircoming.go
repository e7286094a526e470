package conversations

import (
	"regexp"
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
	hour, named := clockIn(text, e.Slot.Start.In(t.Zone)) // "10 to 10" is no ten minutes
	named = named && hour.After(t.now) && hour.Before(e.Slot.Start.Add(mostLate*time.Minute))
	f := wording.Facts{Text: text}
	var theirs, ours wording.Key
	switch {
	case len(words) > most:
		return false
	case t.saysLate(said, n) || named && t.saysLate(said, 1) || named && hour.After(e.Slot.Start) && t.speaksOf(said, wording.SayBeThere):
		theirs, ours = wording.ComeLater, wording.OwnerComesLater
		if f.Until = t.about(e.Slot.Start, n); named {
			f.Until = hour.Format("15:04")
		}
	case t.speaksOf(said, wording.SayOnWay):
		theirs, ours = wording.SeeYouSoon, wording.OwnerOnWay
		if f.Until = t.about(t.now, n); named {
			f.Until = hour.Format("15:04")
		}
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

// The ways a time of day is written: "10 to 10", "quarter past nine", "half 9", "9.50", "at 10".
var (
	pastOrTo  = regexp.MustCompile(`\b(?:(\d{1,2}|five|ten|quarter|twenty|half)(?: minutes?| mins?)? )(to|past) (\d{1,2}|[a-z]+)\b`)
	halfHour  = regexp.MustCompile(`\bhalf (\d{1,2}|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)\b`)
	clockHour = regexp.MustCompile(`\b(\d{1,2})[.:](\d{2})\b`)
	atHour    = regexp.MustCompile(`\b(?:at|by|for|nearer|about|around) (\d{1,2}|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)(?: ?[ap]m| oclock)?(?: +(\S+)|$)`)
)

// clockIn is the time of day some words name, on the day of a visit and in that half of the
// day which brings it nearest; false if they name none.
func clockIn(text string, visit time.Time) (time.Time, bool) {
	said := strings.Join(strings.Fields(strings.ToLower(strings.NewReplacer(",", " ", "’", "", "'", "", "-", " ").Replace(text))), " ")
	number := func(w string) int {
		if n, ok := numbers[w]; ok && w != "a" && w != "an" {
			return int(60 * n) // a half and a quarter are of an hour
		}
		return 60 * atoi(w)
	}
	hour, minutes := 0, 0
	if m := pastOrTo.FindStringSubmatch(said); m != nil {
		hour, minutes = number(m[3])/60, number(m[1])
		if m[1] != "half" && m[1] != "quarter" {
			minutes /= 60
		}
		if m[2] == "to" {
			minutes = -minutes
		}
	} else if m := halfHour.FindStringSubmatch(said); m != nil {
		hour, minutes = number(m[1])/60, 30
	} else if m := clockHour.FindStringSubmatch(said); m != nil {
		hour, minutes = atoi(m[1]), atoi(m[2])
	} else if m := atHour.FindStringSubmatch(said); m != nil && !lengthWords.MatchString(m[2]) {
		hour = number(m[1]) / 60
	}
	if hour < 1 || hour > 23 || minutes > 59 {
		return time.Time{}, false
	}
	y, m, d := visit.Date()
	best := time.Date(y, m, d, hour, minutes, 0, 0, visit.Location())
	if other := best.Add(12 * time.Hour); hour <= 12 && other.Sub(visit).Abs() < best.Sub(visit).Abs() {
		best = other
	}
	if other := best.Add(-12 * time.Hour); hour == 12 && other.Sub(visit).Abs() < best.Sub(visit).Abs() {
		best = other
	}
	return best, true
}
