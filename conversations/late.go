package conversations

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// The owner is late, or runs over, and says so in his own words: "running 20 late",
// "half an hour late for Ann", "stuck in traffic", "need 2 more hours".

// pressLate is the press that tells one customer he comes later. It carries the
// minutes, 0 where they are still to be asked.
const pressLate = "late:"

// The least and the most by which he can be late, in minutes.
const (
	leastLate = 5
	mostLate  = 240
)

// howLate are the minutes that are offered.
var howLate = []int{10, 20, 30, 45, 60}

// justBegun is how long after its time a visit that nobody has begun may still be the
// one he is late for.
const justBegun = 30 * time.Minute

// lateSaid takes the owner's word that he is late, and reports whether it was that.
func (t *turn) lateSaid(c *Chat, text string) bool {
	said := wording.Plain(text)
	if !t.speaksOf(said, wording.SayLate) {
		return false
	}
	words, everybody := t.everybodySaid(strings.Fields(said))
	if !everybody {
		words = strings.Fields(said)
	}
	n, rest := t.lengthIn(words)
	named, rest := t.spokenOf(rest)
	if !t.saysJust(strings.Join(rest, " "), t.typed(wording.SayLate)) || n > mostLate {
		return false
	}
	of := t.lateFor()
	if named != nil {
		everybody = false
		of = slices.DeleteFunc(of, func(e *Enquiry) bool {
			return !slices.ContainsFunc(named, func(x *Enquiry) bool { return x.Chat == e.Chat })
		})
	} else if everybody {
	} else if len(of) > 1 && of[0].Slot.Start.After(t.now) {
		of = of[:1] // nobody is waiting yet: the next one is meant
	} else if len(of) > 2 {
		of = of[:2]
	}
	switch {
	case len(of) == 0:
		t.tell(c.ID, wording.OwnerNobodyWaits, wording.Facts{})
	case len(of) > 1 && everybody:
		t.askAllLate(c, of, n)
	case len(of) > 1:
		t.tell(c.ID, wording.OwnerWhoLate, wording.Facts{}, t.visitRows(of, func(e *Enquiry) string {
			return press{e.ID, 0, pressOwner, fmt.Sprint(pressLate, n)}.data()
		})...)
	default:
		t.beLate(c, of[0], n)
	}
	return true
}

// lateFor are the visits of today he may be late for: one whose time has just come and
// which nobody has begun, and those to come.
func (t *turn) lateFor() []*Enquiry {
	return slices.DeleteFunc(t.jobsOn(diary.Key(t.now, t.Zone)), func(e *Enquiry) bool {
		return e.Stage != Booked || t.atTheCar(e) || !e.Slot.Start.After(t.now.Add(-justBegun))
	})
}

// beLate tells one customer, or asks by how much first.
func (t *turn) beLate(c *Chat, e *Enquiry, n int) {
	if e.Stage != Booked || t.atTheCar(e) || e.Slot == nil || !e.Slot.End.After(t.now) {
		t.staleVisit(c, e)
		return
	}
	if n >= leastLate {
		t.lateBy(c, e, n)
		return
	}
	t.expect(c, typingLate, e)
	var row []bot.Choice
	for _, m := range howLate {
		row = append(row, bot.Choice{Label: t.word(wording.MinutesButton, wording.Facts{Minutes: m}), Data: press{e.ID, 0, pressOwner, fmt.Sprint(pressLate, m)}.data()})
	}
	t.tell(c.ID, wording.OwnerHowLate, wording.Facts{Name: e.Name, When: e.Slot.Start.In(t.Zone).Format("15:04")}, row[:3], row[3:])
}

// lengthIn is the length of time among some words, in minutes and 0 for none, and the
// words without it.
func (t *turn) lengthIn(words []string) (minutes int, rest []string) {
	words = strings.Fields(apart(strings.Join(words, " ")))
	for n := min(6, len(words)); n > 0; n-- {
		for i := 0; i+n <= len(words); i++ {
			if slices.ContainsFunc(words[i:i+n], func(w string) bool { return !ofLength(w) }) {
				continue
			}
			part := strings.Join(words[i:i+n], " ")
			if m, ok := lengthSaid(part); ok && m > 0 {
				return m, slices.Concat(words[:i], words[i+n:])
			}
			if m, ok := lasting(part); ok && m > 0 && hoursSaid.MatchString(part) {
				return m, slices.Concat(words[:i], words[i+n:])
			}
		}
	}
	return 0, words
}

// ofLength tells whether a word may be part of a length of time.
func ofLength(word string) bool {
	_, number := numbers[word]
	return number || word != "" && word[0] >= '0' && word[0] <= '9' || lengthWords.MatchString(word)
}

var lengthWords = regexp.MustCompile(`^(h|hr|hrs|hours?|m|mins?|minutes?|half|quarter|an?|and|of|godz|godzin[ay]?|minut[ay]?)$`)

// overSaid takes the owner's word that the job at hand takes longer, gives it the time
// in the diary where there is room, and says who comes next. It reports whether the text
// was that.
func (t *turn) overSaid(c *Chat, text string) bool {
	words := strings.Fields(wording.Plain(text))
	left := t.among(words, wording.SayLeft)
	if !left && !t.among(words, wording.SayMore) && !t.among(words, wording.SayOver) {
		return false
	}
	phrases := slices.Concat(t.typed(wording.SayOver), t.typed(wording.SayMore), t.typed(wording.SayLeft), t.typed(wording.SayOverBeside))
	n, rest := t.lengthWithin(words)
	of, rest := t.spokenOf(rest)
	if n > mostMinutes || !t.saysJust(strings.Join(append(rest, phrases[0]), " "), phrases) {
		return false
	}
	if of == nil {
		of = t.atHand(c)
	}
	if len(of) != 1 || of[0].Stage != Booked || of[0].Slot.Start.After(t.now) {
		return false
	}
	e := of[0]
	if n == 0 {
		t.opened(c, e) // at work it says by how much, and who is next
		return e.working()
	}
	end := e.plannedEnd()
	if t.now.Sub(end) > longOver {
		t.opened(c, e)
		return true
	}
	if left || end.Before(t.now) { // "an hour to go" is from now, "another hour" on top
		end = t.now
	}
	t.longer(c, e, end.Add(time.Duration(n)*time.Minute).Round(leastLate*time.Minute))
	return true
}

// longOver is after how long a job that nobody has ended is forgotten rather than longer.
const longOver = 12 * time.Hour

// overBehind takes it behind a note on the job at hand, "sap on the roof, needs another half
// hour", and keeps the note.
func (t *turn) overBehind(c *Chat, text string) bool {
	i, e := strings.LastIndexAny(text, ",;."), t.enquiry(c.Job)
	if i < 0 || e == nil || !e.working() || !t.overSaid(c, text[i+1:]) {
		return false
	}
	t.takeNote(e, brief(text))
	t.tell(c.ID, wording.JobNoted, wording.Facts{Text: brief(text)})
	return true
}

// plannedEnd is when a booked visit ends as it stands: as the diary has it, or later by
// the owner's own word.
func (e *Enquiry) plannedEnd() time.Time {
	if e.Job != nil && e.Job.Until.After(e.Slot.End) {
		return e.Job.Until
	}
	return e.Slot.End
}

// lengthWithin is the length of time among words that may stand in it as well: "2 more
// hours", "another hour".
func (t *turn) lengthWithin(words []string) (minutes int, rest []string) {
	within := func(w string) bool { return slices.Contains(t.typed(wording.SayMore), w) }
	if n, rest := t.lengthIn(slices.DeleteFunc(slices.Clone(words), within)); n > 0 {
		return n, rest
	}
	for i, w := range words {
		if within(w) && i+1 < len(words) && lengthWords.MatchString(words[i+1]) {
			one := slices.Clone(words)
			one[i] = "1"
			if n, rest := t.lengthIn(one); n > 0 {
				return n, rest
			}
		}
	}
	return 0, words
}

// longer tells the owner what comes of a job that ends later than it was to.
func (t *turn) longer(c *Chat, e *Enquiry, end time.Time) {
	late, next := t.lateness(e, end)
	if span := (Span{e.Slot.Start, end}); end.After(e.Slot.End) && t.occupy(e, e.ID, span, diary.Booked) {
		e.Slot = &span
		t.keepInMind(e)
	}
	e.onDay().Until = end // where the diary has no room the day shows it all the same
	if e.working() {
		t.set(end.Add(slack), Came{Kind: CameOver, Enquiry: e.ID})
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), Until: t.until(t.now, end), Question: nameOf(next), When: startOf(t, next)}
	var row []bot.Choice
	if late > 0 {
		label := t.word(wording.LabelTellLate, wording.Facts{Name: next.Name, Minutes: late})
		row = []bot.Choice{{Label: label, Data: press{next.ID, 0, pressOwner, fmt.Sprint(pressLate, late)}.data()}}
	}
	t.tell(c.ID, wording.OwnerLonger, f, row, []bot.Choice{t.own(e, pressWrite)})
}
