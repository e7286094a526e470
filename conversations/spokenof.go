package conversations

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// The owner speaks of a customer by name, or of the job before him without one: "tell
// Ann I'm round the back", "Bob?", "done", "nobody here". What is plain is done as its
// button does it; anything else is answered with that visit and its buttons, so that
// nothing is guessed at.

// spokenBack is how many days back a visit may lie that he speaks of.
const spokenBack = 14

// mostSpokenOf is how many visits are offered where it is not plain which is meant.
const mostSpokenOf = 6

// visitsKnown are the visits the owner may speak of, held, asked for, booked or done, the
// earliest first.
func (t *turn) visitsKnown() []*Enquiry {
	var out []*Enquiry
	for _, date := range diary.Keys(t.now.AddDate(0, 0, -spokenBack), t.Zone, spokenBack+t.Rules.Diary.HorizonDays+1) {
		for _, en := range t.day(date).Entries {
			e := t.enquiry(strings.TrimSuffix(en.ID, "~"))
			if e == nil || e.Slot == nil || e.Quote == nil || en.Kind == diary.Off || e.Stage != Held && e.Stage != Waits && e.Stage != Booked && e.Stage != Done || slices.Contains(out, e) {
				continue
			}
			out = append(out, e)
		}
	}
	return out
}

// spokenOf are the visits whose customer some words name, or else whose car, one for
// each customer, and the words that are left.
func (t *turn) spokenOf(words []string) (of []*Enquiry, rest []string) {
	all := t.visitsKnown()
	for _, called := range []func(*Enquiry) string{func(e *Enquiry) string { return e.Name }, carName} {
		var own []string
		for _, e := range all {
			names := t.namesIn(called(e))
			if slices.ContainsFunc(words, func(w string) bool { return isName(names, w) }) {
				of, own = append(of, e), append(own, names...)
			}
		}
		if of != nil {
			return t.nearestEach(of), slices.DeleteFunc(slices.Clone(words), func(w string) bool { return isName(own, w) })
		}
	}
	return nil, words
}

// namesIn are the words of a name that name somebody: not "the" of "the lads".
func (t *turn) namesIn(name string) []string {
	return slices.DeleteFunc(strings.Fields(wording.Plain(name)), func(w string) bool {
		return len(w) < 2 || isSum(w) || slices.Contains(t.typed(wording.SayBeside), w) || slices.Contains(t.typed(wording.SayRoughly), w)
	})
}

// isName tells whether a word is one of some names, or belongs to one: "ann", "anns".
func isName(names []string, word string) bool {
	return slices.Contains(names, word) || slices.Contains(names, strings.TrimSuffix(word, "s"))
}

// nearestEach leaves of each customer's visits the one that is meant most likely: what
// is still to do before what is done, and then the nearest.
func (t *turn) nearestEach(of []*Enquiry) []*Enquiry {
	done := func(e *Enquiry) int {
		if e.Stage == Done {
			return 1
		}
		return 0
	}
	of = slices.Clone(of)
	slices.SortStableFunc(of, func(a, b *Enquiry) int {
		return cmp.Or(done(a)-done(b), cmp.Compare(a.Slot.Start.Sub(t.now).Abs(), b.Slot.Start.Sub(t.now).Abs()))
	})
	var out []*Enquiry
	for _, e := range of {
		if !slices.ContainsFunc(out, func(o *Enquiry) bool { return o.Chat == e.Chat }) {
			out = append(out, e)
		}
	}
	return out
}

// atHand are the jobs of today the owner may be at: the one he is at, or those whose
// time has come.
func (t *turn) atHand(c *Chat) []*Enquiry {
	if e := t.enquiry(c.Job); e != nil && t.atTheCar(e) {
		return []*Enquiry{e}
	}
	return slices.DeleteFunc(t.jobsOn(diary.Key(t.now, t.Zone)), func(e *Enquiry) bool {
		return e.Stage != Booked || e.Slot.Start.After(t.now.Add(waitFor))
	})
}

// spokenDeeds are the words that do what a button does on the day.
var spokenDeeds = []struct {
	say wording.Key
	do  func(*turn, *Chat, *Enquiry)
}{
	{wording.SayJobDone, (*turn).saysDone},
	{wording.SayNobodyThere, (*turn).saysNobody},
	{wording.SayTheyCame, (*turn).saysHere},
	{wording.SayStarting, func(t *turn, c *Chat, e *Enquiry) { t.startPressed(c, e, jobStart, bot.Tap{}) }},
}

// daySaid takes a word about the job before him, "done", "nobody here", with a name or
// without, and reports whether it was one.
func (t *turn) daySaid(c *Chat, text string) bool {
	words := strings.Fields(wording.Plain(text))
	do := t.anyDeed(text)
	if do == nil && len(words) > mostDeedWords || c.Noting != "" {
		return false // no need to look for names
	}
	of, rest := t.spokenOf(words)
	if of != nil {
		do = t.anyDeed(strings.Join(rest, " "))
	}
	if do == nil || of == nil && t.isAtWork(c) {
		return false
	}
	if of == nil {
		of = t.atHand(c)
	}
	switch {
	case len(of) == 0:
		return false
	case len(of) > 1:
		t.whichVisit(c, of)
	case of[0].Stage != Booked || diary.Key(of[0].Slot.Start, t.Zone) > diary.Key(t.now, t.Zone):
		t.opened(c, of[0])
	default:
		do(t, c, of[0])
	}
	return true
}

// mostDeedWords is of how many words such a word is at most, with a name in it.
const mostDeedWords = 6

func (t *turn) anyDeed(text string) func(*turn, *Chat, *Enquiry) {
	for _, d := range spokenDeeds {
		if t.saysJust(text, t.typed(d.say)) {
			return d.do
		}
	}
	return nil
}

// saysJust is [turn.allOf], and the text may also be as it was typed: what is spelled
// loses the marks that other languages need.
func (t *turn) saysJust(text string, phrases []string) bool {
	return t.allOf(text, phrases) || t.madeOf(strings.Fields(wording.Plain(text)), phrases)
}

func (t *turn) saysDone(c *Chat, e *Enquiry) {
	if e.Slot.Start.After(t.now) && !t.atTheCar(e) {
		t.opened(c, e)
		return
	}
	t.askMinutes(c, e)
}

func (t *turn) saysNobody(c *Chat, e *Enquiry) {
	switch {
	case e.Job != nil && !e.Job.Absent.IsZero() && !t.now.Before(e.Job.Absent.Add(waitFor)):
		t.stillAbsent(e)
	case e.working(), t.now.Before(e.Slot.Start.Add(-waitFor)), e.Move != nil && e.Move.Wet:
		t.opened(c, e)
	default:
		t.absentPressed(c, e, jobNobody, bot.Tap{})
	}
}

func (t *turn) saysHere(c *Chat, e *Enquiry) {
	if e.working() {
		t.opened(c, e)
		return
	}
	t.arrive(c, e)
}

// namedSaid shows the visit of whoever is named, or moves it where a time is, and reports whether anybody was.
func (t *turn) namedSaid(c *Chat, text string) bool {
	of, _ := t.spokenOf(strings.Fields(wording.Plain(text)))
	switch len(of) {
	case 0:
		return false
	case 1:
		if !t.wetNamed(c, of[0], text) && !t.moveNamed(c, of[0], text) {
			t.opened(c, of[0])
		}
	default:
		t.whichVisit(c, of)
	}
	return true
}

// whichVisit asks which of several visits is meant.
func (t *turn) whichVisit(c *Chat, of []*Enquiry) {
	t.tell(c.ID, wording.OwnerWhichVisit, wording.Facts{}, t.visitRows(of, func(e *Enquiry) string {
		return press{e.ID, e.Rev, pressOwner, pressOpen}.data()
	})...)
}

// visitRows are a button for each of some visits, with its day unless that is today.
func (t *turn) visitRows(of []*Enquiry, data func(*Enquiry) string) [][]bot.Choice {
	var rows [][]bot.Choice
	for _, e := range of[:min(mostSpokenOf, len(of))] {
		at := e.Slot.Start.In(t.Zone)
		f := wording.Facts{Name: e.Name, When: at.Format("15:04")}
		if diary.Key(at, t.Zone) != diary.Key(t.now, t.Zone) {
			f.When = t.Words.Moment(at)
		}
		rows = append(rows, []bot.Choice{{Label: t.word(wording.OpenButton, f), Data: data(e)}})
	}
	return rows
}

// waiting are the requests that wait for the owner's tap, the earliest first.
func (t *turn) waiting() []*Enquiry {
	return slices.DeleteFunc(t.visitsKnown(), func(e *Enquiry) bool { return e.Stage != Waits })
}

// decides answers a yes or a no that is typed: it books nobody and turns nobody away,
// but the buttons that do are put under it again. It reports whether the text was one.
func (t *turn) decides(c *Chat, text string) bool {
	said := wording.Plain(text)
	yes := t.saysJust(text, t.typed(wording.SayBookIt)) || t.speaksOf(said, wording.SayBookIt)
	of := t.waiting()
	no := t.saysJust(text, t.typed(wording.SayTurnDown)) ||
		len(of) > 0 && longestOf(t.typed(wording.SayTurnDown), strings.Fields(said)) > 0 // "no cant do that time, can he do Friday"
	if !yes && !no {
		return false
	}
	if named, _ := t.spokenOf(strings.Fields(said)); len(named) > 0 {
		if yes && len(named) == 1 && t.moveNamed(c, named[0], text) {
			return true
		}
		of = slices.DeleteFunc(named, func(e *Enquiry) bool { return e.Stage != Waits })
	}
	const few = 3 // words: who writes more than a yes under a question answers that
	switch {
	case len(of) == 0 && !yes:
		return false
	case (len(of) == 0 || yes && len(strings.Fields(said)) > few) && t.answersThem(c, text):
	case len(of) == 0:
		t.tell(c.ID, wording.OwnerNoneWaits, wording.Facts{}, t.deskWays()...)
	case len(of) == 1 && of[0].Seen != nil:
		t.panel(of[0]) // what he has set since waits for their yes, not for his
	case len(of) == 1 && yes && c.Meant == meant(of[0]):
		c.Meant = ""
		t.ownerTapped(c, bot.Tap{Data: t.own(of[0], pressApprove).Data}) // he has read whom it is for
	case len(of) == 1:
		e := of[0]
		c.Meant = meant(e)
		t.tell(c.ID, wording.OwnerTapIt, wording.Facts{Name: e.Name, Car: carName(e), When: t.Words.Moment(e.Slot.Start.In(t.Zone))}, t.cardWays(e)...)
	default:
		t.whichVisit(c, of)
	}
	return true
}

// meant is a request as the owner was asked whether he means it: another time is another.
func meant(e *Enquiry) string { return fmt.Sprint(e.ID, "@", e.Rev) }

// maybeRows are buttons for what something that was not understood may be about: the job
// at hand, and what waits for a yes.
func (t *turn) maybeRows(c *Chat) [][]bot.Choice {
	of := t.atHand(c)
	for _, e := range t.waiting() {
		if !slices.Contains(of, e) {
			of = append(of, e)
		}
	}
	const most = 3
	return t.visitRows(of[:min(most, len(of))], func(e *Enquiry) string { return press{e.ID, e.Rev, pressOwner, pressOpen}.data() })
}

// mayBegin tells whether a visit is about to begin, or has, and nobody is at the car.
func (t *turn) mayBegin(e *Enquiry) bool {
	return e.Stage == Booked && !t.atTheCar(e) && !t.now.Before(e.Slot.Start.Add(-waitFor)) && t.now.Before(e.Slot.End) && t.now.Sub(e.Slot.Start) < 24*time.Hour
}
