package conversations

import (
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What customers ask everywhere, beside the matter: how to pay, what if it rains, whether
// they have to be there. What rules and diary can answer is answered at once, whatever is
// on the table; what they cannot is the boss's, and that is said too.

// known is one such question: the words it is asked with, and the answer, empty where it is
// not asked of this enquiry. Boss tells that he is to hear of it as well. Tells: it says
// something of the car, too.
type known struct {
	say    wording.Key
	answer func(t *turn, e *Enquiry, text string) (words string, boss bool)
	tells  bool
}

var commonly = []known{
	{wording.SayHowPay, (*turn).howPaid, false},
	{wording.SayWhenPay, (*turn).whenPaid, false},
	{wording.SayIfRain, (*turn).ifItRains, false},
	{wording.SayBeIn, (*turn).haveToBeIn, false},
	{wording.SayStillComing, (*turn).stillComing, false},
	{wording.SayAreYouFree, (*turn).whetherFree, true},
	{wording.SayWhatFor, (*turn).whatFor, false},
	{wording.SayWantPhoto, (*turn).wantPhoto, false},
	{wording.SayComeToUs, (*turn).comeToThem, true},
	{wording.SayComeOut, (*turn).comesOut, true},
	{wording.SayMayCancel, (*turn).whetherToCancel, false},
	{wording.SayClearOut, (*turn).clearOut, false},
	{wording.SayHowSoon, (*turn).firstFree, false},
	{wording.SayIfWorse, (*turn).ifWorse, false},
	{wording.SayAmIBooked, (*turn).whetherBooked, false},
	{wording.SayCheaperThere, (*turn).cheaperThere, false},
	{wording.SayBeforehand, (*turn).beforehand, false},
}

// asksCommon answers what is asked of these in a text, and hands on what he has to hear;
// empty if nothing is. Whatever else is asked in it is his, too.
func (t *turn) asksCommon(e *Enquiry, text string) string {
	said, tell := wording.Plain(text), false
	var words []string
	for _, k := range commonly {
		if t.asksWith(said, text, k.say) == 0 {
			continue
		}
		w, boss := k.answer(t, e, text)
		if w != "" && !slices.Contains(words, w) {
			words, tell = append(words, w), tell || boss
		}
	}
	if len(words) == 0 {
		return ""
	}
	if tell || t.isQuestion(t.less(text, true)) {
		k := wording.OwnerAsks
		if !e.open() {
			k = wording.OwnerTheirText
		}
		t.tellBoss(k, e, text, pressAnswer)
		words = append(words, t.word(wording.AskedToo, wording.Facts{}))
	}
	return strings.Join(words, " ")
}

// asksWith is of how many words the phrase is with which something is asked, 0 if it is
// not: one that is a question by itself, or stands within one, or nearly alone.
func (t *turn) asksWith(said, text string, k wording.Key) int {
	asks, spelled := t.typed(wording.SayAsks), t.spelled(text)
	const beside = 2
	for _, p := range t.typed(k) {
		p = wording.Plain(p)
		if !strings.Contains(" "+said+" ", " "+p+" ") && !strings.Contains(" "+spelled+" ", " "+p+" ") {
			continue
		}
		n := len(strings.Fields(p))
		asked := slices.ContainsFunc(sentences(text), func(s string) bool { // "Saturday please. do I need to clear it out"
			return strings.Contains(" "+wording.Plain(s)+" ", " "+p+" ") && t.isQuestion(strings.TrimSpace(s))
		})
		if longestOf(asks, strings.Fields(p)) > 0 || asked || t.isQuestion(text) || len(strings.Fields(said)) <= n+beside {
			return n
		}
	}
	return 0
}

// sentenceEnds is where something else may begin in a text.
var sentenceEnds = regexp.MustCompile(`[.?!,;\n]+|\s(?:and|also|but|plus)\s`)

// lessCommon is a text without the parts that only ask one of these: "12 Mill Lane. do i
// have to be in?" tells an address. What says more than the question stays.
func (t *turn) lessCommon(text string) string { return t.less(text, false) }

// less is lessCommon, of those that tell something as well if all are meant.
func (t *turn) less(text string, all bool) string {
	const most = 6 // words that may stand beside the phrase
	common := func(part string) bool {
		return slices.ContainsFunc(commonly, func(k known) bool {
			n := t.asksWith(wording.Plain(part), part, k.say)
			return n > 0 && (all || !k.tells) && len(strings.Fields(part)) <= n+most
		})
	}
	var rest strings.Builder
	begun := 0
	for _, at := range append(sentenceEnds.FindAllStringIndex(text, -1), []int{len(text), len(text)}) {
		if part := text[begun:at[1]]; !common(part) {
			rest.WriteString(part)
		}
		begun = at[1]
	}
	beside := slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayAnd), t.typed(wording.SayPleased))
	left := strings.Trim(rest.String(), " ,;\n")
	if small, _ := usedUp(strings.Fields(wording.Plain(left)), func(words []string) (int, bool) { return longestOf(beside, words), false }); small {
		return ""
	}
	return left
}

// answersCommon answers such a question about a visit, and reports whether one was asked.
func (t *turn) answersCommon(c *Chat, e *Enquiry, text string) bool {
	words := t.asksCommon(e, text)
	if words == "" {
		return false
	}
	t.say(bot.Message{Chat: c.ID, Text: words, Choices: t.theirWays(e), Kind: "word"})
	return true
}

func (t *turn) whenPaid(_ *Enquiry, _ string) (string, bool) {
	if t.takesDeposit() {
		return t.word(wording.PayRest, wording.Facts{}), false
	}
	return t.word(wording.PayLater, wording.Facts{}), false
}

// howPaid says when; what he takes stands in no rule.
func (t *turn) howPaid(e *Enquiry, text string) (string, bool) {
	words, _ := t.whenPaid(e, text)
	return words + " " + t.word(wording.PayHow, wording.Facts{}), true
}

func (t *turn) ifItRains(e *Enquiry, _ string) (string, bool) {
	switch {
	case outdoor(e), t.Rules.Place.MobileOnly && e.answer(askSurface) != "garage":
		return t.word(wording.RainOutside, wording.Facts{}), false
	case e.answer(askSite) == "theirs", e.answer(askSite) == "own":
		return t.word(wording.RainInside, wording.Facts{}), false
	}
	return t.word(wording.RainEither, wording.Facts{}), false
}

func (t *turn) haveToBeIn(_ *Enquiry, text string) (string, bool) {
	if t.speaksOf(t.spelled(text), wording.SayHandover) && t.tellsWhen(text) {
		return "", false // "can I drop it off Thursday" asks for a day
	}
	return t.word(wording.BeThereFirst, wording.Facts{}), true
}

// stillComing answers by how a visit stands. On the day, once its time has come, only the
// boss knows.
func (t *turn) stillComing(e *Enquiry, text string) (string, bool) {
	switch {
	case e.Slot == nil:
		return "", false
	case e.Stage == Waits:
		return t.standing(e), false
	case e.Stage == Booked && !t.now.After(e.Slot.Start) && t.meansTheirs(e, text) && e.Move == nil:
		return t.word(wording.StillOn, t.visitFacts(e)), false
	case e.Stage == Booked && !t.now.After(e.Slot.Start):
		return t.standing(e), false
	}
	return "", false
}

// whetherFree answers who asks for a day before the desk has come to it.
func (t *turn) whetherFree(e *Enquiry, text string) (string, bool) {
	if _, priced := e.Answers[askQuote]; priced || !e.open() || e.At == askQuote || len(t.heardIn(text).When) == 0 {
		return "", false
	}
	return t.word(wording.InAMoment, wording.Facts{}), false
}

// whatFor says what something is asked for.
func (t *turn) whatFor(e *Enquiry, text string) (string, bool) {
	switch {
	case !e.open() && !t.speaksOf(wording.Plain(text), wording.SayMyAddress):
		return "", false
	case e.At == askAddress, t.speaksOf(wording.Plain(text), wording.SayMyAddress):
		return t.word(wording.ForAddress, wording.Facts{}), false
	case e.At == askHazards:
		return t.word(wording.ForHazards, wording.Facts{}), false
	case e.At == askMiles:
		return t.word(wording.ForMiles, wording.Facts{}), false
	case e.At == askQuote: // nothing is asked there: it is of something on the car
		return "", false
	}
	if priced := slices.Contains(e.Trail, askQuote); priced {
		return "", false
	}
	return t.word(wording.ForPrice, wording.Facts{}), false
}

func (t *turn) wantPhoto(e *Enquiry, _ string) (string, bool) {
	if t.atTheCar(e) {
		return "", false
	}
	return t.word(wording.PhotoWelcome, wording.Facts{}), false
}

// comeToThem answers whether we come out to people at all.
func (t *turn) comeToThem(_ *Enquiry, _ string) (string, bool) {
	return t.word(wording.ComeToThem, wording.Facts{}), false
}

// comesOut says what the rules say will not come out of what a text speaks of. What they
// say nothing about, or too much, is the boss's.
func (t *turn) comesOut(_ *Enquiry, text string) (string, bool) {
	r := t.heardIn(text)
	if len(r.Hints) == 0 || t.speaksOf(wording.Plain(text), wording.SayComeToUs) {
		return "", false
	}
	of := slices.Sorted(maps.Keys(r.Grades))
	for _, h := range r.Hints {
		if len(r.Grades) == 0 {
			of = append(of, pricing.Area(h.Area))
		}
	}
	var lines []string
	for _, id := range t.Rules.Order() {
		if task, ok := t.Rules.Task(id); ok && slices.Contains(of, task.Area) && task.Wont != "" && !slices.Contains(lines, task.Wont) {
			lines = append(lines, task.Wont)
		}
	}
	const most = 2 // beyond it is about other things of that area
	if len(lines) == 0 || len(lines) > most {
		return t.word(wording.ComesOutMaybe, wording.Facts{}), true
	}
	return t.word(wording.ComesOutBut, wording.Facts{Items: lines}), false
}

// whetherToCancel says what calling off would mean. To who has booked, only where they ask
// for the rule: anything less is the deed, and asked about where it is done.
func (t *turn) whetherToCancel(e *Enquiry, text string) (string, bool) {
	if !e.open() && !t.speaksOf(wording.Plain(text), wording.SayCancelRule) || !t.Rules.Terms.Given() {
		return "", false
	}
	return t.word(wording.TermsNotice, wording.Facts{Hours: t.notice()}), false
}

// ifWorse says what happens where a car is worse than it was told.
func (t *turn) ifWorse(e *Enquiry, _ string) (string, bool) {
	if e.Quote == nil || e.Quote.NeedSee != "" || e.Quote.Refused != "" {
		return "", false
	}
	return t.word(wording.IfWorse, wording.Facts{Most: t.pounds(e.Quote.High)}), false
}

// clearOut answers whether the car has to be empty.
func (t *turn) clearOut(e *Enquiry, _ string) (string, bool) {
	switch {
	case e.Quote == nil && len(e.Answers[askWants]) == 0:
		return "", false
	case !e.has(askWants, "interior") && (e.Quote == nil || !t.inside(e)):
		return t.word(wording.ClearOutside, wording.Facts{}), false
	}
	return t.word(wording.ClearInside, wording.Facts{Van: e.isVan()}), false
}

// firstFree is the first time that is free, asked for at the price or at the times; empty
// where a time is named with it, which is then looked for.
func (t *turn) firstFree(e *Enquiry, text string) (string, bool) {
	if e.Quote == nil || e.At != askQuote && e.At != askSlot || t.tellsWhen(text) || e.Quote.Refused != "" || e.Quote.NeedSee != "" {
		return "", false
	}
	free := t.free(e, time.Time{})
	if len(free) == 0 {
		return "", false
	}
	first := free[0].Start
	f := wording.Facts{When: t.Words.Moment(first.In(t.Zone))}
	if e.At == askSlot && slices.ContainsFunc(t.few(e, t.free(e, e.From)), func(s diary.Slot) bool { return s.Start.Equal(first) }) {
		return t.word(wording.FreeNoSooner, f), false
	}
	return t.word(wording.FreeFirst, f), false
}

// cheaperThere compares the workshop with their own place, by what the rules charge for
// setting up and for the drive.
func (t *turn) cheaperThere(e *Enquiry, text string) (string, bool) {
	if !e.open() || t.Rules.Place.MobileOnly || e.At != askSite && t.heardIn(text).Place.Whose == "" {
		return "", false
	}
	place, money := t.Rules.Place, t.Rules.Money
	f := wording.Facts{Inside: place.AtCustomer[1] > place.AtUnit[1]} // it takes longer there
	if money.PerMile > 0 {
		f.Text = strconv.FormatFloat(money.FreeMiles, 'f', -1, 64)
	}
	return t.word(wording.CheaperThere, f), false
}

// beforehand is what is to be seen to before we come, or the car does.
func (t *turn) beforehand(e *Enquiry, text string) (string, bool) {
	if e.open() || e.Slot == nil || e.Quote == nil {
		return t.clearOut(e, text)
	}
	return t.toPrepare(e, t.visitFacts(e)), false
}
