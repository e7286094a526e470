package conversations

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
)

// A text typed while a question is open can be its answer, an answer with more beside it,
// a change of something said before, a question of theirs, or a riddle. It is tried as
// these in one order, ways, and the first that can make something of it ends the matter.

// longAway is after how long somebody who comes back is greeted.
const longAway = 3 * 24 * time.Hour

// reply is a text on its way through the ways it can be taken.
type reply struct {
	e *Enquiry
	q *question // the one on the table
	p prompt    // as it was put
	// text is what is left to be read.
	text string
	// more is the text as far as it may say more than the answer, empty where it is one
	// of the answers word for word.
	more string
}

// ways are the ways a text can be taken. The order is the rule: the plain answer comes
// before what has to be read out of words, an answer before a change of an earlier one,
// and what is said beside the matter after all of these, so that nobody who has answered
// is told that the boss will be asked.
func (t *turn) ways() []func(*reply) bool {
	return []func(*reply) bool{
		t.tellsCab,      // "just the cab, 150?" of a van
		t.takesPhotoOut, // "that's the wrong one, sorry"
		t.sentAlready,   // "I've sent it"
		t.tellsLastTime, // "it was £80 last time??"
		t.meantOther,    // "sorry, meant 2 not 3"
		t.sameState,     // "about the same as last time"
		t.answersFirst,  // "2, and it smells"
		t.booksInstead,  // "yes book it" where a reminder is asked for
		t.setsApart,     // takes out what is asked beside it, and where the car stands
		t.toldBeside,    // the price said over again, a postcode that says otherwise than the miles
		t.namesNoCar,    // "hi, what do you charge?" where the car is asked for
		t.gradesPlainly, // "loads", "hardly any", "wet dog" where a grade is asked for
		t.picksSeveral,
		t.picksOne,
		t.gradesNearly, // "bit of dog hair" where a grade is asked for
		t.readsAnswer,  // a car, a sum, a time
		t.takesAnother, // the miles, the time or a part of the work, anew
		t.tellsMore,    // what belongs to other questions
		t.besides,      // a question of theirs, a kind word
		t.hasThat,      // what we know already
		t.comesBack,    // "sorry, been away"
	}
}

// untagged is a question without the "yes?" it ends with, or the "yes or no", which is no
// answer to the desk's own: "the price is fixed then yes?"
func (t *turn) untagged(text string) string {
	const least = 3 // words that ask
	words := strings.Fields(text)
	for _, k := range []wording.Key{wording.SayYesOrNo, wording.SayYes} {
		if k == wording.SayYes && !strings.HasSuffix(text, "?") {
			continue
		}
		for n := min(len(words)-least, 3); n > 0; n-- {
			if slices.Contains(t.typed(k), wording.Plain(strings.Join(words[len(words)-n:], " "))) {
				return strings.TrimRight(strings.Join(words[:len(words)-n], " "), " ,-") + "?"
			}
		}
	}
	return text
}

// answered takes typed words as the answer to the question on the table.
func (t *turn) answered(e *Enquiry, text string) {
	if t.namesGiven(e, text) {
		return
	}
	q := t.find(e.At)
	if q == nil {
		q = t.next(e)
	}
	if q == nil {
		return
	}
	e.At = q.id
	defer t.keepsWas(e)()
	text = t.untagged(sign(text))
	w := &reply{e: e, q: q, p: q.ask(t, e), text: text, more: text}
	if e.Sum != "" && t.refusesFit(e, text) {
		return
	}
	if e.Sum == "" {
		e.Meant = nil
	}
	e.Sum = "" // asked once; what they say else is about something else
	if q.id == askWants && t.asksIfIn(text) != "" {
		t.put(e, t.word(wording.YouChoose, wording.Facts{})) // who asks whether it is in has not asked for it
		return
	}
	t.notesUnseen(e, q, w.p, text)
	t.later = t.asksLater(e, q, text)
	for _, taken := range t.ways() {
		if taken(w) {
			return
		}
	}
	k := t.unfollowed(e, q, w.text)
	words := t.word(k, wording.Facts{})
	if k == wording.NotedDown && strings.HasPrefix(q.id, askCond) && len(strings.Fields(wording.Plain(w.text))) < leastNote {
		words += " " + t.word(wording.WhichIsNearest, wording.Facts{}) // "its kinda dirty" may have been meant as an answer
	}
	t.put(e, words)
}

func (t *turn) answersFirst(w *reply) bool { return t.answeredFirst(w.e, w.q, w.p, w.text) }

// setsApart takes out of a text what is asked beside the matter and where the car is to be
// found. It ends the matter where nothing else is said.
func (t *turn) setsApart(w *reply) bool {
	if _, ok := bare(w.p, w.text); ok {
		w.more = ""
		return false
	}
	if o, ok := t.pick(w.p, w.text); ok && o.key == choiceGap {
		return false // "can the boss look for a gap?" is put to him by that
	}
	t.asksBeside(w.e, w.text)
	whole := w.text
	if t.beside != "" {
		whole = t.lessCommon(whole)
	}
	t.bringsIt(w)
	if (t.beside != "" || t.later.text != "") && w.q.id != askAddress { // which sees to it itself
		whole = t.lessAsked(whole)
	}
	whole = t.apart(w.e, w.q, whole)
	if w.text, w.more = whole, whole; whole == "" {
		t.put(w.e, "")
		return true
	}
	if t.townSaid(w, whole) {
		return true
	}
	rest, some := t.ofPlaces(whole)
	if !some || t.beside != "" || w.q.namesPlace || !t.notes(w.e, whole) {
		return false
	}
	if w.text, w.more = rest, rest; rest == "" {
		t.put(w.e, t.word(wording.NotedDown, wording.Facts{}))
		return true
	}
	return false
}

// townSaid takes "I'm in Calderwick", our own town, before it is asked how far that is.
func (t *turn) townSaid(w *reply, text string) bool {
	if w.q.namesPlace || !t.inOurTown(text) {
		return false
	}
	said := t.hear(w.e, text)
	if len(said) > 0 {
		t.put(w.e, t.understood(said))
	}
	return len(said) > 0
}

// toldBeside takes what is said of the price that was just named, and a postcode beside an
// answer.
func (t *turn) toldBeside(w *reply) bool {
	return w.more != "" && (t.timeInstead(w) || t.atPrice(w.e, w.q, w.p, w.text) || t.postcodeBeside(w.e, w.q, w.text))
}

// timeInstead takes another time than the one that is kept, where a reminder or the address
// is asked for: the "is fine" of "Thursday is fine, the 2pm one" agrees to no reminder.
func (t *turn) timeInstead(w *reply) bool {
	return w.q.id == askConsent && w.e.Stage == Held && t.tellsWhen(w.text) && !t.meansTheirs(w.e, w.text) && t.anotherTime(w.e, w.text)
}

// namesNoCar takes what is said instead where the car is asked for.
func (t *turn) namesNoCar(w *reply) bool {
	switch {
	case w.q.id != askVehicle:
		return false
	case t.namesNone(w.text) && t.leadsOn(w):
		return true
	case !t.noCar(w.text):
		return false
	}
	if said := t.understood(t.hear(w.e, w.text)); said != "" || !t.aside(w.e, w.text) {
		t.put(w.e, said)
	}
	return true
}

// picksSeveral takes the options a text speaks of where more than one may be chosen, or
// that those which are ticked are all.
func (t *turn) picksSeveral(w *reply) bool {
	if !w.q.several {
		return false
	}
	done := w.p.options[len(w.p.options)-1] // every question of several ends with it
	saysDone := t.meant(wording.Plain(w.text), done) || w.more != "" && t.allOf(w.text, done.typed)
	if saysDone && (len(w.e.Pending) > 0 || w.q.orNone) {
		keys := inOrder(w.p, w.e.Pending)
		if len(keys) == 0 {
			keys = []string{choiceDone}
		}
		t.accept(w.e, w.q, keys, echo(labels(w.p, keys)))
		return true
	}
	keys := t.included(w.q, pickSeveral(w.p, w.text), w.more)
	if len(keys) == 0 {
		return false
	}
	w.e.Pending = keys // so that what is not offered has its words too
	t.acceptText(w.e, w.q, keys, echo(labels(w.q.ask(t, w.e), keys)), w.more)
	return true
}

// picksOne takes the one option a text means.
func (t *turn) picksOne(w *reply) bool {
	if w.q.several {
		return false
	}
	o, ok := t.pick(w.p, w.text)
	if ok && w.more != "" && w.q.id == askQuote && t.saysHowMuch(w.e, w.q, o, w.text) {
		return true
	}
	if ok && !t.saysMoreOfTimes(w, o) {
		t.picked(w, o)
		return true
	}
	o, ok = t.meansOne(w.q, w.p, w.text)
	if ok {
		t.acceptText(w.e, w.q, []string{o.key}, echo([]string{o.label}), "")
	}
	return ok
}

// saysMoreOfTimes tells whether the words that name a time on the table say more of times
// than that, so that they have to be read.
func (t *turn) saysMoreOfTimes(w *reply, o option) bool {
	return w.q.id == askSlot && w.more != "" && (isSlot(o.key) || o.key == choiceOther && t.tellsWhen(w.text))
}

func (t *turn) picked(w *reply, o option) {
	if t.said(w.e, w.q, w.p, o.key) {
		return
	}
	if w.q.id == askConfirm && w.more != "" && !t.saysJust(w.more, slices.Concat(o.typed, t.typed(wording.SayBookIt), t.typed(wording.SayThatOne))) {
		t.notes(w.e, w.more) // "yes, as long as the wax is in": the owner says yes to that, or not
		if t.beside == "" && t.questions(w.more) > 0 && !isGuest(w.e.Chat) {
			t.tellBoss(wording.OwnerAsks, w.e, w.more, pressAnswer)
			t.beside = t.word(wording.AskedBoss, wording.Facts{})
		}
	}
	t.acceptText(w.e, w.q, []string{o.key}, echo([]string{o.label}), w.more)
}

// gradesNearly takes the description that comes nearest to somebody's own words.
func (t *turn) gradesNearly(w *reply) bool {
	g, words := t.comesNearest(w.q, w.text)
	if g == 0 {
		return false
	}
	t.notes(w.e, w.text)
	t.acceptText(w.e, w.q, []string{strconv.Itoa(int(g))}, words, w.text)
	return true
}

// readsAnswer takes what the question itself can read out of a text.
func (t *turn) readsAnswer(w *reply) bool {
	if w.q.read == nil {
		return false
	}
	answer, ok := w.q.read(t, w.e, w.text)
	if !ok {
		return false
	}
	echoed := ""
	if w.q.id == askQuote && t.agreesTo(w.e, answer, w.text) {
		answer = []string{choiceDone}
	}
	if len(w.p.options) > 0 && w.q.id != askSlot { // a time is said in other words
		if w.q.several && !slices.Contains(answer, choiceDone) {
			w.e.Pending = answer
		}
		echoed = echo(labels(w.q.ask(t, w.e), answer))
	}
	if t.numberedGrade(w.text) == 0 {
		echoed = t.gradeInWords(w.q, answer, echoed)
	}
	t.acceptText(w.e, w.q, answer, echoed, w.text)
	return true
}

// takesAnother takes other miles, another time, a tap or a socket there is after all, or the work without a part of it.
func (t *turn) takesAnother(w *reply) bool {
	if said, ok := t.milesAgain(w.e, w.q, w.text); ok {
		t.put(w.e, said)
		return true
	}
	if t.anotherTime(w.e, w.text) || t.suppliedAgain(w) {
		return true
	}
	without := t.withoutSeen(w.e, w.text)
	if len(without) > 0 {
		t.put(w.e, t.word(wording.TakenOut, wording.Facts{Items: without}))
	}
	return len(without) > 0
}

// tellsMore takes what belongs to other questions, and goes on from the price where a day
// is named under it or it sounds good.
func (t *turn) tellsMore(w *reply) bool {
	said, again := t.rethought(w.e, w.text)
	if !again && !t.asksOfSeen(w.text) && !(w.e.answer(askQuote) != "" && t.asksElse(w.text)) {
		said = t.hear(w.e, w.text)
	}
	timeAlone := w.q.id == askQuote && t.onlyTimes(w.text)
	goesOn := timeAlone || w.q.id == askQuote && t.allOf(w.text, t.typed(wording.SayGoOn))
	if goesOn && len(w.p.options) > 0 && w.p.options[0].key == choiceDone {
		t.acceptText(w.e, w.q, []string{choiceDone}, t.understood(said), "")
		return true
	}
	if !again && len(said) == 0 {
		return false
	}
	if again || !timeAlone { // a time alone leaves what was put as it was
		w.e.At = ""
	}
	lead := t.understood(said)
	if next := t.next(w.e); !again && next != nil && next.id == w.q.id && t.nearAnswer(w) {
		lead += " " + t.word(wording.WhichIsNearest, wording.Facts{})
	}
	t.put(w.e, lead)
	return true
}

// nearAnswer tells whether a text speaks of what a question about the state of a part is
// about, without giving a grade: "it's mucky in there".
func (t *turn) nearAnswer(w *reply) bool {
	of, isCond := strings.CutPrefix(w.q.id, askCond)
	return isCond && t.Reader != nil && slices.ContainsFunc(t.heardIn(w.text).Hints, func(h reading.Hint) bool { return h.Area == of })
}

func (t *turn) besides(w *reply) bool {
	return t.leadsOn(w) || t.aside(w.e, w.text)
}

// hasThat answers what is known already or in the price. What is asked for and not in the
// price the owner reads.
func (t *turn) hasThat(w *reply) bool {
	if !t.hasAlready(w.e, w.text) {
		return false
	}
	words := t.wholeCosts(w.e, w.text)
	if words == "" {
		t.put(w.e, t.word(wording.HaveThat, wording.Facts{}))
		return true
	}
	t.notes(w.e, w.text)
	t.put(w.e, words)
	return true
}

// comesBack greets somebody who has been away: "Sorry, been away" is no answer, but no
// riddle either.
func (t *turn) comesBack(w *reply) bool {
	if w.e.Touched.IsZero() || t.now.Sub(w.e.Touched) <= longAway {
		return false
	}
	c := t.chat(w.e.Chat)
	t.put(w.e, t.word(wording.HelloAgain, wording.Facts{Name: c.Name, Car: carName(w.e)}))
	return true
}
