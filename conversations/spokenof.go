package conversations

import (
	"cmp"
	"fmt"
	"hash/fnv"
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

// The presses that pass a written line on, as a word or as a no. They carry a sum of
// the line, so that an old button sends nothing newer.
const (
	pressSend   = "send:"
	pressSendNo = "send-no:"
)

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

// passSaid takes a line for somebody, "tell Ann I'm round the back", and shows it
// before it goes. It reports whether the text was one.
func (t *turn) passSaid(c *Chat, text string) bool {
	words := strings.Fields(text)
	n := 0
	for _, p := range t.typed(wording.SayTell) {
		if k := len(strings.Fields(p)); k < len(words) && k > n && wording.Plain(strings.Join(words[:k], " ")) == p {
			n = k
		}
	}
	if n == 0 {
		return false
	}
	whom := wording.Plain(words[n])
	line := t.withoutLeadIn(words[n+1:])
	var of []*Enquiry
	if slices.Contains(t.typed(wording.SayThem), whom) {
		if of = t.atHand(c); len(of) == 0 {
			of = t.nearestEach(t.visitsKnown())
		}
	} else if of, _ = t.spokenOf([]string{whom}); len(of) == 0 {
		if talks := t.talkedWith(whom); len(talks) > 0 && line != "" {
			t.drafted(c, talks, line, t.talkRows(talks, sends(line)))
			return true
		}
		if line == "" || slices.Contains(t.typed(wording.SayBeside), whom) {
			return false
		}
		t.tell(c.ID, wording.OwnerNoSuch, wording.Facts{Name: strings.Trim(words[n], ",:;.")}, t.deskWays()...)
		return true
	}
	if line == "" || len(of) == 0 {
		return false
	}
	rows := t.visitRows(of, sends(line))
	for _, e := range t.talkedWith(whom) { // of the same name, without a time
		if !slices.ContainsFunc(of, func(o *Enquiry) bool { return o.Chat == e.Chat }) {
			of, rows = append(of, e), slices.Concat(rows, t.talkRows([]*Enquiry{e}, sends(line)))
		}
	}
	t.drafted(c, of, line, rows)
	return true
}

// withoutLeadIn is a line without the word that only leads to it: "let Ann know I'm here".
func (t *turn) withoutLeadIn(words []string) string {
	if len(words) > 1 && slices.Contains(t.typed(wording.SayLeadIn), wording.Plain(words[0])) {
		words = words[1:]
	}
	return strings.Join(words, " ")
}

// drafted shows the owner a line before it goes, or asks for whom of several it is.
func (t *turn) drafted(c *Chat, of []*Enquiry, line string, whom [][]bot.Choice) {
	c.Draft = line
	f := wording.Facts{Text: line}
	if len(of) > 1 {
		t.tell(c.ID, wording.OwnerDraftWhom, f, whom...)
		return
	}
	if isGuest(of[0].Chat) { // there is nowhere to send it
		c.Draft = ""
		t.sendOn(of[0], line)
		return
	}
	f.Name = of[0].Name
	c.Typing = &Typing{What: typingDraft, Enquiry: of[0].ID}
	t.tell(c.ID, wording.OwnerDraft, f, []bot.Choice{{Label: t.label(wording.LabelSendIt), Data: sends(line)(of[0])}, t.own(of[0], pressWrite)})
}

// sends makes the press that passes a line on to a visit's customer.
func sends(line string) func(*Enquiry) string {
	return func(e *Enquiry) string { return press{e.ID, e.Rev, pressOwner, pressSend + lineSum(line)}.data() }
}

func lineSum(line string) string {
	h := fnv.New32a()
	h.Write([]byte(line))
	return fmt.Sprintf("%08x", h.Sum32())
}

// sendDraft passes the written line on, if it is the one the button was made for.
func (t *turn) sendDraft(c *Chat, e *Enquiry, sum string, w bot.Tap) {
	if line, ok := t.takeDraft(c, sum, w); ok {
		t.sendOn(e, line)
		return
	}
	t.staleVisit(c, e)
}

// takeDraft takes the written line from the owner's chat, if it is the one a button was
// made for.
func (t *turn) takeDraft(c *Chat, sum string, w bot.Tap) (line string, ok bool) {
	if c.Draft == "" || lineSum(c.Draft) != sum {
		return "", false
	}
	t.takeOff(w)
	line, c.Draft = c.Draft, ""
	return line, true
}

// draftSaid takes the owner's word behind a line he was shown: to send it, or not to. It
// reports whether the text was one.
func (t *turn) draftSaid(c *Chat, e *Enquiry, text string) bool {
	switch {
	case c.Draft == "":
		return false
	case t.saysJust(text, slices.Concat(t.typed(wording.SayYes), t.typed(wording.SaySendIt), t.typed(wording.LabelSendIt))):
		t.sendDraft(c, e, lineSum(c.Draft), bot.Tap{})
	case t.saysJust(text, t.typed(wording.SayNo)):
		c.Draft = ""
		t.tell(c.ID, wording.OwnerDraftLeft, wording.Facts{}, t.deskWays()...)
	default:
		return false
	}
	return true
}

// tellPieces tells a customer the owner's words, in as many messages as they need.
func (t *turn) tellPieces(e *Enquiry, text string) {
	for _, part := range pieces(text) {
		t.tell(e.Chat, wording.FromThePerson, wording.Facts{Text: part})
	}
}

// sendOn hands the owner's words to a customer.
func (t *turn) sendOn(e *Enquiry, text string) {
	if isGuest(e.Chat) {
		t.toOwner(wording.OwnerTellThem, e, wording.Facts{Text: text, Day: e.Phone})
		return
	}
	t.tellPieces(e, text)
	t.keepsHisWords(e, text)
	their, terms := t.chat(e.Chat), t.speaksOfTerms(e, text)
	their.Spoke, their.Unanswered = their.Spoke || terms, false
	their.Awaited, their.Queried = their.Person, !their.Person && strings.Contains(text, "?")
	presses := []string{pressWrite}
	if their.Person {
		presses = append(presses, pressHand)
	}
	t.toOwner(wording.OwnerSentOn, e, wording.Facts{}, presses...)
	if terms && !their.Person { // the desk goes on at once
		t.putStands(e)
	}
	t.offerPromised(e, text)
}

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
