package conversations

import (
	"slices"
	"strings"
	"time"
	"unicode"

	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What people write beside the matter: a word of thanks, a question of their own. A
// thank-you is answered, and fetches nobody; a question goes to the boss, and the desk
// goes on where it was.

// pleased tells whether a text is nothing but a friendly word to close with, perhaps
// with a time: "ta", "brilliant, see you Friday then".
func (t *turn) pleased(text string) bool {
	words := strings.Fields(wording.Plain(text))
	const most = 14
	if len(words) == 0 || len(words) > most {
		return false
	}
	kind, loose := t.typed(wording.SayPleased), t.typed(wording.SayBeside)
	_, found := usedUp(words, func(left []string) (int, bool) {
		n := longestOf(kind, left)
		switch w := left[0]; {
		case n > 0:
			return n, true
		case !strings.ContainsFunc(w, isNoSymbol):
			return 1, true // a thumb up, a smile
		case slices.Contains(loose, w) || t.isTime(w):
			return 1, false
		}
		return 0, false
	})
	return found
}

// isNoSymbol tells a letter or a stop from the signs that faces and hands are made of,
// with what joins and colours them.
func isNoSymbol(r rune) bool {
	return !unicode.IsSymbol(r) && !unicode.Is(unicode.Mn, r) && r != '\u200d'
}

// isTime tells whether a word is a day, an hour or the number of one.
func (t *turn) isTime(w string) bool {
	if strings.Trim(w, "0123456789") == "" {
		return true
	}
	return len(when.Read(t.asRead(w), t.saidAt()).Prefer) > 0
}

// nodded answers a friendly word about a visit that is asked for, booked or done, and
// reports whether the text was one. Who names another time than theirs is told it. While
// anything waits for their yes or no, a word of theirs is not taken for a mere nod.
func (t *turn) nodded(c *Chat, e *Enquiry, text string) bool {
	waits := e.Seen != nil || e.Move != nil || e.Job != nil
	if waits && e.Stage != Done || !t.isFriendly(text) && !(e.Stage == Done && e.snag() == nil && t.praises(text)) {
		return false
	}
	f := wording.Facts{Name: c.Name, Car: carName(e)}
	switch {
	case e.Stage == Done:
		t.tell(c.ID, wording.PleasedDone, f)
	case e.Slot == nil:
		return false
	case e.Stage == Waits:
		f.When = t.Words.Moment(e.Slot.Start.In(t.Zone))
		t.tell(c.ID, wording.PleasedAsked, f)
	case e.Stage == Booked:
		f.When = t.Words.Moment(e.Slot.Start.In(t.Zone))
		if strings.Contains(text, "?") || !t.meansTheirs(e, text) {
			t.tell(c.ID, wording.PleasedOther, f, t.visitRow(e))
			return true
		}
		t.tell(c.ID, wording.PleasedBooked, f, t.visitRow(e))
	default:
		return false
	}
	return true
}

// meansTheirs tells whether the time in a text, if there is one, is that of a visit.
func (t *turn) meansTheirs(e *Enquiry, text string) bool {
	start, end := e.Slot.Start.In(t.Zone), e.Slot.End.In(t.Zone)
	m := when.Read(t.asRead(text), t.saidAt())
	if len(m.Prefer) == 0 {
		return true
	}
	for _, w := range m.Prefer {
		w.To, w.DoneBy = time.Time{}, 0 // these are about its end
		if w.Has(start, end) {
			return true
		}
	}
	return false
}

// asksBeside takes a question that is none about the work or its price: what we know
// is answered, a person is called for whoever wants one, and the rest goes to the boss,
// whose answer comes here while the desk goes on. What is to be said of it stands before
// whatever is said next.
func (t *turn) asksBeside(e *Enquiry, text string) {
	if t.Reader == nil || isGuest(e.Chat) || t.event.Chat != e.Chat {
		return
	}
	r := t.heardIn(text)
	said, about := wording.Plain(text), ""
	drying, dries := t.driesWhen(e)
	asks := func(name string) bool { return slices.Contains(r.Asks, name) }
	common := ""
	if !t.asksSwap(e, text) && !t.comesTo(text) && !t.asksHandover(text) {
		common = t.asksCommon(e, text)
	}
	told := "" // what is answered of one question, whatever else is asked
	switch {
	case e.At != "" && t.callsOut(text):
		about = t.word(wording.HereWeAre, wording.Facts{})
	case t.asksSwap(e, text):
		// It is taken, as if it were said.
	case t.asksForSeveral(text):
		t.tellBoss(wording.OwnerAsks, e, text, pressAnswer)
		about = t.word(wording.AskedBoss, wording.Facts{})
		if e.Car != nil {
			about += "\n" + t.word(wording.OneAtATime, wording.Facts{Car: carName(e)})
		}
	case t.comesTo(text), t.asksHandover(text):
		t.tellBoss(wording.OwnerAsks, e, text, pressAnswer)
		about = t.word(wording.AskedBoss, wording.Facts{})
	case common != "":
		about = common
	case e.At != askQuote && e.answer(askQuote) == "" && t.asksLeast(text):
		about, _ = t.least(e, text)
	case t.speaksOf(said, wording.SayWhereWereWe), t.speaksOf(said, wording.LabelNotSure), t.means(said, wording.LabelWhy),
		t.pricePut(e) && (t.asksLeast(text) || t.repeatsPrice(e, text) || t.wasSum(e, text) > 0 || t.asksHowCome(text)):
		// They have come back to the question on the table, or cannot tell, or mean the price.
	case e.At == askQuote && (t.asksWhatIsOut(e, text) || t.namesLines(e, text)):
		// The list is said, or its work changed.
	case t.namesNextCar(e, r, text):
		about = t.word(wording.OneAtATime, wording.Facts{Car: carName(e)})
	case asks("human") && t.speaksOf(said, wording.SayPerson) && !t.chat(e.Chat).Person:
		t.tellBoss(wording.OwnerTheirText, e, text, pressWrite, pressHand)
		t.chat(e.Chat).Person = true
		about = t.word(wording.PersonCalled, wording.Facts{Name: e.Name})
	case t.speaksOf(said, wording.SayThatYou):
		about = t.word(wording.ThatsUs, wording.Facts{})
	case t.asksOfDrying(text) && dries:
		about = strings.TrimSpace(t.word(wording.DriesWhen, drying))
	case t.asksOfSide(e, text):
		about = t.sideOut(e)
	case t.isWithout(e, text) != "":
		about = t.isWithout(e, text)
	case t.whatIsIn(e, text) != "":
		about = t.whatIsIn(e, text)
	case t.lasts(e, text) != "", !e.priceKnown() && t.asksLasting(text):
		about = t.itLasts(e, text)
	case t.isQuestion(text) && t.speaksOf(said, wording.SayRobot):
		told = t.word(wording.IsDesk, wording.Facts{})
	case t.isQuestion(text) && t.speaksOf(said, wording.SayPayNow) && !t.takesDeposit():
		told = t.word(wording.PayLater, wording.Facts{})
	case t.speaksOf(said, wording.SayVAT) && (t.questions(text) > 1 || len(strings.Fields(said)) < 12 && !asks("other")):
		told = t.vat()
	case t.speaksOf(t.spelled(text), wording.SayWhereAreYou) && t.Rules.Business.Town != "":
		told = t.word(wording.WeAreIn, wording.Facts{Address: t.workshop()})
	case asks("opening") && t.speaksOf(said, wording.SayBankHolidays):
		told = t.word(wording.NoBankHolidays, wording.Facts{Hours: showHours(t.Words, t.Rules)})
	case asks("opening"):
		told = t.word(wording.WeWork, wording.Facts{Hours: showHours(t.Words, t.Rules)})
	case e.At == askQuote && e.priceKnown() && t.asksWhetherWeDo(text) && t.hasAsked(e, r):
		t.tellBoss(wording.OwnerAsks, e, text, pressAnswer)
		about = t.word(wording.AskedBoss, wording.Facts{})
	case t.asksWhetherWeDo(text):
		about = t.word(wording.YesWeDo, wording.Facts{})
	case t.asksForTime(e, text), e.At != "" && t.questions(text) <= 1 && t.addsWork(text):
		// What is free then is shown, or the work is taken.
	case asks("other"), asks("human"), e.At != "" && t.asksOfSeen(text):
		t.tellBoss(wording.OwnerAsks, e, text, pressAnswer)
		about = t.word(wording.AskedBoss, wording.Facts{})
	}
	if told != "" && t.questions(text) > 1 {
		t.tellBoss(wording.OwnerAsks, e, text, pressAnswer)
		told += " " + t.word(wording.AskedToo, wording.Facts{})
	}
	t.beside = joinLines(t.cabSaid, about+told)
	t.cabSaid = ""
}

// asksForTime tells whether a text asks for nothing but times at which something is free:
// "is there anything earlier in the week? Tuesday maybe".
func (t *turn) asksForTime(e *Enquiry, text string) bool {
	r := t.heardIn(text)
	if e.At == askSlot { // where nobody says where the car is: "I'm at work until two"
		r.Place = reading.Place{}
	}
	return (len(r.When) > 0 || e.At == askSlot) && t.questions(text) <= 1 && t.speaksOf(wording.Plain(text), wording.SayAnythingThen) && t.tellsWhen(text) &&
		len(r.Wants)+len(r.Excludes)+len(r.Tasks)+len(r.Hints)+len(r.Vehicles) == 0 && r.Budget.Kind == "" && r.Place == (reading.Place{})
}

// callsOut tells whether a text only asks whether anybody is there: "hello?", "??".
func (t *turn) callsOut(text string) bool {
	return text != "" && strings.Trim(text, "?! ") == "" || t.allOf(text, t.typed(wording.SayAreYouThere))
}

// asksOfSeen tells whether a text asks something of what can be seen on a car, and nothing
// else is said in it: "is mould dangerous", "will it smell after".
func (t *turn) asksOfSeen(text string) bool {
	if t.Reader == nil || !t.isQuestion(text) {
		return false
	}
	r := t.heardIn(text)
	return len(r.Hints) > 0 && len(r.Wants)+len(r.Excludes)+len(r.Tasks)+len(r.Vehicles)+len(r.When)+len(r.Asks) == 0 && r.Budget.Kind == "" && r.Place == (reading.Place{})
}

// isFriendly is pleased but for signs that are no friendly ones.
func (t *turn) isFriendly(text string) bool {
	return t.pleased(text) && (strings.ContainsFunc(text, unicode.IsLetter) || slices.Contains(t.typed(wording.SayPleased), sign(text)))
}

// hasAsked tells whether all the work that is named was asked for already: whoever asks for it
// again under a price means something of it that the list has not got.
func (t *turn) hasAsked(e *Enquiry, r reading.Reading) bool {
	return len(r.Wants) > 0 && !slices.ContainsFunc(r.Wants, func(w string) bool { return !e.has(askWants, w) })
}

// asksWhetherWeDo tells whether a text asks if we do some work or some kind of car at all,
// and names one that we do: "do you do leather seats?" Whoever asks whether we can do the
// inside asks for it, and is answered by that.
func (t *turn) asksWhetherWeDo(text string) bool {
	for _, sentence := range strings.FieldsFunc(t.asRead(text), func(r rune) bool { return strings.ContainsRune("?!.\n", r) }) {
		said := " " + wording.Plain(sentence) + " "
		habit := t.typed(wording.SayDoYouDo)
		for _, w := range slices.Concat(habit, t.typed(wording.SayCanYouDo)) {
			_, rest, ok := strings.Cut(said, " "+wording.Plain(w)+" ")
			if !ok || len(strings.Fields(rest)) == 0 || len(strings.Fields(rest)) > 5 {
				continue
			}
			r := t.Reader.Read(rest)
			if len(r.When) == 0 && (r.Shape != "" || r.Vehicle() != nil || slices.Contains(habit, w) && len(t.asksFor(r)) > 0) {
				return true
			}
		}
	}
	return false
}

// takesDeposit tells whether money in advance is asked for, of whatever price.
func (t *turn) takesDeposit() bool {
	return t.Rules.Deposit.Take == pricing.TakeAmount || t.Rules.Deposit.Take == pricing.TakePercent
}

// vat says how the price stands to it.
func (t *turn) vat() string {
	if t.Rules.Money.VATRegistered {
		return t.word(wording.VATIncluded, wording.Facts{})
	}
	return t.word(wording.VATNone, wording.Facts{})
}

// namesNextCar tells whether a text asks for another car beside ours: "can you do my
// husband's Focus as well?" One that takes the place of ours is none, nor is one told of.
func (t *turn) namesNextCar(e *Enquiry, r reading.Reading, text string) bool {
	v := r.Vehicle()
	if e.Car == nil || v == nil || t.anotherIsMeant(e, r, text) || !r.Amends && !strings.Contains(text, "?") {
		return false
	}
	ours := func(c pricing.Vehicle) bool { return c == *e.Car }
	return (v.Car != nil || len(v.Ambiguous) > 0) && !(v.Car != nil && ours(*v.Car)) && !slices.ContainsFunc(v.Ambiguous, ours)
}

// tellBoss hands somebody's words to the owner, in as many messages as they need.
func (t *turn) tellBoss(k wording.Key, e *Enquiry, text string, presses ...string) {
	t.wroteNear(e, text)
	if k == wording.OwnerAsks {
		t.notesWish(e, text)
	}
	if slices.Contains(presses, pressAnswer) && t.sideOf(t.chat(t.event.Chat)) == Customer {
		t.chat(e.Chat).Unanswered = true
	}
	for _, part := range pieces(text) {
		t.toOwner(k, e, wording.Facts{Text: part}, presses...)
	}
}

// aside takes a text that is no answer to the question on the table, but asks or says
// something beside it, and shows the question again. It reports whether it was that.
func (t *turn) aside(e *Enquiry, text string) bool {
	switch {
	case t.beside != "":
		t.put(e, "")
	case t.isFriendly(text) && !t.means(t.spelled(text), wording.LabelMoveYes) && !(e.At == askSlot && t.allOf(text, t.typed(wording.SayYes))):
		k := wording.RightYouAre
		if t.speaksOf(wording.Plain(text), wording.SayThankYou) || slices.Contains(t.typed(wording.SayThankYou), text) {
			k = wording.PleasedOpen
		}
		t.put(e, t.word(k, wording.Facts{Name: e.Name}))
	case t.asksWhatComes(text):
		t.put(e, t.inAMoment(e, text))
	case t.isQuestion(text) && !isGuest(e.Chat) && t.event.Chat == e.Chat:
		t.tellBoss(wording.OwnerAsks, e, text, pressAnswer)
		t.put(e, t.word(wording.AskedBoss, wording.Facts{}))
	default:
		return false
	}
	return true
}

// inAMoment answers somebody who asks for the price, how long it takes or the days before
// the desk has come to it, with what is known by then.
func (t *turn) inAMoment(e *Enquiry, text string) string {
	t.later = later{} // it is answered here
	_, priced := e.Answers[askQuote]
	switch {
	case e.Quote != nil && e.Quote.P50 > 0 && (priced || e.At == askQuote) && t.speaksOf(t.spelled(text), wording.SayHowLong):
		return t.word(wording.ItTakes, wording.Facts{Hours: t.length(e.Quote.P50), Was: t.lengthOf(t.need(e.Quote))})
	case priced && e.Quote != nil && t.Reader != nil && slices.Contains(t.heardIn(text).Asks, "price"):
		return putQuote(t, e).again
	case priced:
		return t.word(wording.NearlyThere, wording.Facts{})
	case e.At == askQuote:
		return t.wholeCosts(e, text)
	}
	return t.word(wording.InAMoment, wording.Facts{})
}

// asksWhatComes tells whether a text asks what the desk is about to say anyway: the
// price, how long it takes, when.
func (t *turn) asksWhatComes(text string) bool {
	if strings.Contains(wording.Plain(text), " ") && !t.allOf(text, t.typed(wording.SayYes)) && t.means(wording.Plain(text), wording.LabelFindDay) {
		return true // a mere yes, or ok, goes on from a price, and answers nothing else
	}
	if t.allOf(text, slices.Concat(t.typed(wording.LabelJustPrice), t.typed(wording.SayGoOn))) || t.means(wording.Plain(text), wording.LabelJustPrice) || t.means(wording.Plain(text), wording.LabelWhy) {
		return true
	}
	if t.Reader == nil {
		return false
	}
	asks := t.heardIn(text).Asks
	return slices.Contains(asks, "price") || slices.Contains(asks, "time")
}

// namesNone tells whether a text names neither a car nor a shape of one.
func (t *turn) namesNone(text string) bool {
	if t.Reader == nil {
		return true
	}
	r := t.heardIn(text)
	return r.Vehicle() == nil && r.Body == ""
}

// noCar tells whether the words that answer which car it is name none, and only ask or
// say something beside it.
func (t *turn) noCar(text string) bool {
	if t.Reader == nil {
		return false
	}
	r := t.heardIn(text)
	told := len(r.Hints) > 0 && t.calledBy(text) == t.word(wording.SomeCar, wording.Facts{}) // what happened in it, and not a name
	return r.Vehicle() == nil && (t.beside != "" || r.Body == "" && (told || t.pleased(text) || len(r.Asks) > 0))
}
