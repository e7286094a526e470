package conversations

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What the owner has set himself before anything was asked for, a price, and maybe a time,
// is settled: above all for a car that had to be seen before there was a price. Nothing more
// is asked of the form, the customer has the price and the time to say yes to, and that yes
// books it, as his own is given.

// The owner's presses about it: the sum he wrote to them, with both figures in pence, and a
// time his diary would not offer.
const (
	pressSaidSum    = "said-sum:"
	pressSaidAnyway = "said-anyway:"
)

// priced tells whether the owner has set the price of an enquiry himself.
func (h *ByHand) priced() bool { return h != nil && h.Pence > 0 }

// goOnSettled goes on with a customer at the price the owner has set, and at his time if he has
// set one. It reports false, with nothing done, if there is too little to go on with.
func (t *turn) goOnSettled(c *Chat, e *Enquiry) bool {
	their := t.chat(e.Chat)
	if e.Stage != Asking || e.Quote == nil || e.Quote.Refused != "" || isGuest(e.Chat) || their.Stopped || their.Blocked {
		return false
	}
	start, unseen := t.settledStart(e), e.Quote.NeedSee != ""
	if !unseen && !e.ByHand.priced() || start.IsZero() && (unseen || !t.mustSee(e)) {
		return false
	}
	their.Person, their.Passed, their.Spoke = false, false, false
	f := t.stands(e)
	f.Name, f.Car = e.Name, carName(e)
	t.retract(e, askQuote)
	t.takeIn(e, t.find(askQuote), []string{choiceDone}, "")
	if start.IsZero() || !t.keepAt(e, start) {
		if f.Count > 0 {
			f.Day = "" // he has read that nothing is free then
		}
		t.put(e, t.word(wording.HandedBackAs, f))
		t.handedBack(c, e)
		return true
	}
	if e.ByHand == nil {
		e.ByHand = &ByHand{}
	}
	e.ByHand.Start, e.ByHand.Site = start, e.answer(askSite)
	e.Wrote = slices.DeleteFunc(slices.Clone(e.Wrote), func(line string) bool { return t.onlyTerms(line) })
	f.When, f.Until = t.Words.Moment(start.In(t.Zone)), t.Words.Moment(e.HeldUntil.In(t.Zone))
	t.put(e, t.word(wording.SettledHeld, f))
	t.tell(c.ID, wording.OwnerSettledHeld, f, []bot.Choice{t.own(e, pressWrite)})
	return true
}

// settledStart is the moment he has agreed with them: free, or one he takes all the same.
// Zero if there is none.
func (t *turn) settledStart(e *Enquiry) (none time.Time) {
	start := t.momentOf(e)
	if start.IsZero() {
		return none
	}
	if _, free := t.freeAt(e, start); !free && (e.ByHand == nil || !e.ByHand.Start.Equal(start)) {
		return none
	}
	return start
}

// momentOf is the one moment at which an enquiry is wanted, zero if several are, or none.
func (t *turn) momentOf(e *Enquiry) (none time.Time) {
	if len(e.Times) != 1 || len(e.Unclear) > 0 || e.Quote == nil {
		return none
	}
	return t.momentIn(e, e.Times[0])
}

// keepAt keeps a time the owner has agreed on, also one the diary would not offer; for a day,
// as the customer may not look before tonight. It reports false if somebody else has it.
func (t *turn) keepAt(e *Enquiry, start time.Time) bool {
	s, free := t.freeAt(e, start)
	if !free {
		s = diary.Slot{Start: start, End: start.Add(t.need(e.Quote))}
	}
	if !t.hold(e, s) {
		return false
	}
	e.Unclear, e.Offered = nil, time.Time{}
	e.Answers[askSlot] = []string{slotID(s)}
	e.Trail = append(e.Trail, askSlot)
	e.Rev++
	e.At = ""
	e.HeldUntil = t.before(t.now.Add(agreedKept), start)
	t.set(e.HeldUntil, Came{Kind: CameHold, Enquiry: e.ID})
	return true
}

// settled tells whether an enquiry has the price and the time the owner has set himself.
func (e *Enquiry) settled() bool {
	return e.ByHand.priced() && e.Slot != nil && e.Slot.Start.Equal(e.ByHand.Start)
}

// hasHisYes tells whether the owner has agreed already to what a customer says yes to: the
// price, the time and the place as he set them.
func (t *turn) hasHisYes(e *Enquiry) bool {
	h := e.ByHand
	if !e.looksFirst() && (!e.settled() || e.Quote.Likely != h.Pence) {
		return false
	}
	if t.Rules.Deposit.When == pricing.BeforeYes && t.depositDue(e) > 0 {
		return false
	}
	at := e.answer(askSite)
	return at == h.Site || h.Site == "" && at == "own"
}

// whyNot says why the diary would not offer a moment for an enquiry; empty if there is no
// saying. taken tells that somebody else has some of it, so that it cannot be had at all.
func (t *turn) whyNot(e *Enquiry, start time.Time) (why string, taken bool) {
	start = start.In(t.Zone)
	end := start.Add(t.need(e.Quote))
	date, rules := diary.Key(start, t.Zone), t.diaryRules()
	f := wording.Facts{When: end.Format("15:04")}
	for _, en := range t.day(date).Entries {
		if en.ID != e.ID && en.Start.Before(end) && start.Before(en.End) {
			return t.word(wording.WhyTaken, f), true
		}
	}
	open := rules.Open(date, start.Weekday(), *t.day(date))
	if len(open) == 0 {
		return t.word(wording.WhyClosed, f), false
	}
	minute := func(at time.Time) int { return 60*at.Hour() + at.Minute() }
	switch first, last := open[0], open[len(open)-1]; {
	case minute(start) < first.From:
		return t.word(wording.WhyEarly, f), false
	case minute(end) > last.To:
		return t.word(wording.WhyLate, f), false
	}
	return "", false
}

// anywayRow is the button that takes a time he has named all the same, nil if it is free,
// or nobody can have it.
func (t *turn) anywayRow(e *Enquiry) []bot.Choice {
	start := t.momentOf(e)
	if start.IsZero() || t.need(e.Quote) <= 0 || e.Stage != Asking || !t.settledStart(e).IsZero() {
		return nil
	}
	if _, taken := t.whyNot(e, start); taken {
		return nil
	}
	return []bot.Choice{{Label: t.label(wording.LabelAnyway), Data: press{e.ID, e.Rev, pressOwner, pressSaidAnyway + start.UTC().Format(slotKey)}.data()}}
}

// takeAnyway notes that he takes the time he has named although his diary would not offer it.
func (t *turn) takeAnyway(c *Chat, e *Enquiry, key string, w bot.Tap) {
	start, err := time.Parse(slotKey, key)
	if err != nil || e.Stage != Asking || !t.momentOf(e).Equal(start) {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	if e.ByHand == nil {
		e.ByHand = &ByHand{}
	}
	e.ByHand.Start = start
	e.Rev++
	t.putStands(e)
}

// sumsSaid are the likely price and the most that a text names and nothing else: "95", "95
// max 120", "95 to 120". Without a most it is 0.
func (t *turn) sumsSaid(text string) (likely, most int64, ok bool) {
	sums := poundsIn(text)
	if p, err := pricing.ParsePence(t.sumSaid(text)); err == nil && p > 0 && len(sums) <= 1 {
		return int64(p), 0, true
	}
	if len(sums) == 0 || len(sums) > 2 || sums[0] <= 0 || sums[len(sums)-1] < sums[0] {
		return 0, 0, false
	}
	besides := strings.Fields(wording.Plain(figures.ReplaceAllString(strings.NewReplacer("-", " ", "–", " ").Replace(text), " ")))
	small := slices.Concat(t.typed(wording.SayRoughly), t.typed(wording.SayMakeIt), t.typed(wording.SayPounds), t.typed(wording.SayAtMost))
	if slices.ContainsFunc(besides, func(w string) bool { return !slices.Contains(small, w) }) {
		return 0, 0, false
	}
	if len(sums) == 2 {
		most = sums[1]
	}
	return sums[0], most, true
}

// sumsWritten is the price he named last in what he wrote to them, 0 if he named none.
func (t *turn) sumsWritten(e *Enquiry) (likely, most int64) {
	for _, line := range slices.Backward(e.Wrote) {
		if likely, most := t.sumsIn(line); likely > 0 {
			return likely, most
		}
	}
	return 0, 0
}

// writtenRow is the button that makes what he wrote to them the price, nil if he wrote none
// or has set one.
func (t *turn) writtenRow(e *Enquiry, behind string) []bot.Choice {
	likely, most := t.sumsWritten(e)
	if likely == 0 || e.ByHand.priced() || e.Stage != Asking {
		return nil
	}
	// The mark is in the button, as a tap ends what he was to type.
	label := t.word(wording.PriceBrief, wording.Facts{Likely: t.pounds(likely), Most: t.pounds(max(likely, most))})
	return []bot.Choice{{Label: firstUpper(label), Data: press{e.ID, e.Rev, pressOwner, pressSaidSum + sumsKey(likely, most) + behind}.data()}}
}

// keptMark stands behind the sums on a button where the time has just been kept.
const keptMark = "k"

// sumsKey names two sums on a button.
func sumsKey(likely, most int64) string {
	return strconv.FormatInt(likely, 10) + "-" + strconv.FormatInt(most, 10)
}

// takeWritten makes what he wrote to them the price.
func (t *turn) takeWritten(c *Chat, e *Enquiry, sums string, w bot.Tap) {
	likely, most := t.sumsWritten(e)
	sums, kept := strings.CutSuffix(sums, keptMark)
	if e.Stage != Asking || likely == 0 || sums != sumsKey(likely, most) {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	t.agreedPrice(e, likely, most)
	t.priceSettled(c, e, kept)
}

// priceSettled goes on once he has set a price: with the customer, where he has kept their
// time just before, else he is shown what the desk has.
func (t *turn) priceSettled(c *Chat, e *Enquiry, kept bool) {
	if kept && t.goOnSettled(c, e) {
		return
	}
	t.putStands(e)
}

// keepSeen takes a time agreed for a car that had to be seen: at the price he has set they
// are asked for their yes, else he is asked for the price. It reports false for other cars.
func (t *turn) keepSeen(c *Chat, e *Enquiry, start time.Time) bool {
	if e.Quote.NeedSee == "" && !e.ByHand.priced() {
		return false
	}
	at := start.In(t.Zone)
	minute := 60*at.Hour() + at.Minute()
	e.Times, e.Only, e.Unclear, e.From = []diary.Times{{On: []string{diary.Key(at, t.Zone)}, StartFrom: minute - aroundHour, StartBefore: minute + aroundHour}}, nil, nil, time.Time{}
	if e.ByHand == nil {
		e.ByHand = &ByHand{}
	}
	e.ByHand.Start = start
	e.Rev++
	if e.ByHand.priced() {
		return t.goOnSettled(c, e)
	}
	t.expect(c, typingKeptPrice, e)
	f := wording.Facts{Name: e.Name, When: t.Words.Moment(at)}
	look := t.own(e, pressSaidGo)
	look.Label = t.label(wording.LabelWhenSeen)
	rows := [][]bot.Choice{{look}}
	if row := t.writtenRow(e, keptMark); row != nil {
		rows = slices.Insert(rows, 0, row)
	}
	t.tell(c.ID, wording.OwnerKeptPrice, f, rows...)
	return true
}

// aroundHour are the minutes to either side of an hour that is named.
const aroundHour = 15

// onlyTerms tells whether what he wrote names a price or a time and no work: once both are
// settled that has had its day, "can you bring it Thursday at 4".
func (t *turn) onlyTerms(line string) bool {
	r := t.heardIn(line)
	sums := slices.ContainsFunc(sentences(line), func(s string) bool {
		_, _, ok := t.sumsSaid(strings.Trim(s, " .,!?\n"))
		return ok
	})
	return (sums || len(r.When) > 0 || r.Budget.Kind != "") && len(t.workIn(line)) == 0
}
