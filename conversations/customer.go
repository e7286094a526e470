package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// customer answers whatever a customer did.
func (t *turn) customer() {
	c := t.chat(t.event.Chat)
	if t.event.From.Name != "" {
		c.Name = t.event.From.Name
	}
	if m, ok := t.event.What.(bot.Membership); ok {
		c.Blocked = m.Blocked
		if m.Blocked {
			t.lost(c)
		}
		return
	}
	c.Blocked = false
	switch w := t.event.What.(type) {
	case bot.Tap:
		t.tapped(c, w)
	case bot.Text:
		t.wrote(c, w)
	case bot.Photo:
		t.sentPhoto(c, w)
	case bot.Place:
		if c.Stopped {
			t.tell(c.ID, wording.StoppedStill, wording.Facts{Name: c.Name})
			return
		}
		t.sentPlace(c, w)
	default:
		t.unreadable(c)
	}
}

// wrote takes a text: first the words that mean the same everywhere, then the
// answer to the question on the table.
func (t *turn) wrote(c *Chat, w bot.Text) {
	e := t.current(c)
	said := plain(strings.TrimPrefix(w.Body, "/"))
	// A deep link's payload comes behind the word.
	start := said == "start" || strings.HasPrefix(w.Body, "/start ")
	switch {
	case strings.HasPrefix(w.Body, "/start "+claimPrefix) && t.claimed(c, w.Body):
	case c.Stopped && !start:
		t.tell(c.ID, wording.StoppedStill, wording.Facts{Name: c.Name})
	case t.means(said, wording.SayStop):
		t.stop(c)
	case start:
		c.Stopped = false
		t.greet(c, "")
	case t.means(said, wording.SayPrivacy):
		t.lead(c, t.word(wording.Privacy, wording.Facts{}))
	case said == "help":
		t.lead(c, t.word(wording.Help, wording.Facts{}))
	case said == "settings" || t.means(said, wording.SaySettings):
		t.settings(c)
	case t.means(said, wording.SayPerson):
		t.callPerson(c)
	case t.means(said, wording.SayCarryOn) && c.Person:
		c.Person = false
		t.lead(c, t.word(wording.HandedBack, wording.Facts{}))
	case c.Person:
		t.passOn(c, w.Body)
	case t.snagSaid(c, w.Body):
	case t.means(said, wording.SayAnotherCar) && e != nil && e.Stage != Asking:
		t.anotherCar(c, e)
	case t.means(said, wording.SayChange) && e != nil && e.open():
		t.review(e)
	case e == nil || e.Stage == Closed || e.Stage == Done:
		t.greet(c, w.Body)
	case t.means(said, wording.SayAgain) && e.open():
		t.again(c, e)
	case t.means(said, wording.SayBack) && e.open():
		t.back(e)
	case !e.open() && t.means(said, wording.LabelMove):
		t.startMove(e, Customer)
	case !e.open() && t.means(said, wording.LabelCallOff):
		t.askCallOff(e, Customer)
	case !e.open() && t.means(said, wording.SayWhen):
		t.tell(c.ID, wording.VisitKept, t.visitFacts(e), t.visitRow(e))
	case !e.open():
		t.passOn(c, w.Body)
	case w.Edited:
		t.edited(c, e, w)
	default:
		rev := e.Rev
		t.answered(e, w.Body)
		if e.Rev != rev {
			e.Spoken = w.Message
		}
	}
}

// edited takes a message that was changed after it was sent. If it was the last
// answer, it is that answer anew; what lies further back is changed by name.
func (t *turn) edited(c *Chat, e *Enquiry, w bot.Text) {
	if len(e.Trail) == 0 || w.Message == 0 || e.Spoken != w.Message {
		t.lead(c, t.word(wording.Edited, wording.Facts{}))
		return
	}
	t.takeBack(e)
	t.answered(e, w.Body)
	if e.Rev > 0 {
		e.Spoken = w.Message
	}
}

// anotherCar begins an enquiry beside one that is asked for or booked.
func (t *turn) anotherCar(c *Chat, e *Enquiry) {
	next := t.begin(c)
	if e.answer(askSite) != "" {
		next.Place = e.Place
	}
	t.put(next, t.word(wording.AnotherCar, wording.Facts{Car: carName(e)}))
}

// means tells whether the words are one of the ways of saying something, or
// contain one of those of three words and more.
func (t *turn) means(said string, k wording.Key) bool {
	return slices.ContainsFunc(t.Words.Typed(k), func(w string) bool {
		w = plain(w)
		return w == said || strings.Count(w, " ") >= 2 && strings.Contains(" "+said+" ", " "+w+" ")
	})
}

// meant tells whether the words are one of the ways of saying an option.
func (t *turn) meant(said string, o option) bool {
	return slices.ContainsFunc(o.typed, func(w string) bool { return plain(w) == said })
}

// greet begins: with a new enquiry, or with the question that is still open.
func (t *turn) greet(c *Chat, text string) {
	e := t.current(c)
	if e != nil && e.Stage != Closed && e.Stage != Done {
		t.lead(c, t.word(wording.HelloAgain, wording.Facts{Name: c.Name, Car: carName(e)}))
		return
	}
	k := wording.Hello
	if c.Count > 0 {
		k = wording.HelloAgain
	}
	e = t.begin(c)
	lead := t.word(k, wording.Facts{Name: c.Name})
	if said := t.understood(t.hear(e, text)); said != "" {
		lead += "\n\n" + said
	}
	t.put(e, lead)
}

// begin opens a new enquiry and puts it in hand.
func (t *turn) begin(c *Chat) *Enquiry {
	c.Count++
	id := enquiryID(c.ID, c.Count)
	t.enquiry(id) // it must be known not to exist
	e := &Enquiry{Form: formVersion, ID: id, Chat: c.ID, Name: c.Name, Answers: map[string][]string{}}
	c.Enquiry = id
	t.enquiries[id] = e
	return e
}

// lead says some words and shows again where the customer stands, with something
// to go on with: the question on the table, the first one of a new enquiry, or what
// can be done about a booking.
func (t *turn) lead(c *Chat, words string) {
	e := t.current(c)
	switch {
	case e == nil || e.Stage == Closed:
		t.put(t.begin(c), words)
	case e.open():
		t.put(e, words)
	default:
		m := bot.Message{Chat: c.ID, Text: words + "\n\n" + t.standing(e), Kind: "word"}
		if e.Stage != Done {
			m.Choices = t.theirWays(e)
		}
		if t.atTheCar(e) {
			m.Text += " " + t.word(wording.IfYouNeedUs, wording.Facts{})
		}
		t.say(m)
	}
}

// standing says how things stand with an enquiry that is out of the customer's
// hands.
func (t *turn) standing(e *Enquiry) string {
	f := wording.Facts{Car: carName(e)}
	if e.Slot != nil {
		f.When = t.Words.Moment(e.Slot.Start.In(t.Zone))
	}
	if t.atTheCar(e) {
		return t.word(wording.StandsAtCar, f)
	}
	switch e.Stage {
	case Waits:
		return t.word(wording.StandsAsked, f)
	case Booked:
		return t.word(wording.StandsBooked, f)
	}
	return t.word(wording.StandsDone, f)
}

// tapped takes a press on a button.
func (t *turn) tapped(c *Chat, w bot.Tap) {
	p, ok := parsePress(w.Data)
	e := t.enquiry(p.enquiry)
	switch {
	case c.Stopped && !(ok && p.question == pressNudge):
		t.tell(c.ID, wording.StoppedStill, wording.Facts{Name: c.Name})
		return
	case !ok || e == nil || e.Chat != c.ID:
		t.out.Toast = t.word(wording.ForeignButton, wording.Facts{})
		t.lead(c, t.out.Toast)
		return
	case p.question == pressNudge:
		t.nudgePressed(c, e, p, w)
		return
	case p.question == pressWear:
		t.wearPressed(c, e, p, w)
		return
	case p.question == pressReview:
		t.reviewPressed(c, e, p, w)
		return
	case p.question == pressSettings:
		t.settingsPressed(c, e, p, w)
		return
	case p.question == pressAgree:
		t.agreePressed(c, e, p, w)
		return
	case p.question == pressVisit:
		t.visitPressed(c, e, p, w)
		return
	case p.question == pressTheir:
		t.theirPressed(c, e, p, w)
		return
	case p.question == pressMove:
		t.movePressed(c, e, p, w)
		return
	case !e.open() || p.rev != e.Rev || p.question != e.At:
		t.stale(c, e, p)
		return
	}
	q := t.find(e, p.question)
	if q == nil {
		t.stale(c, e, p)
		return
	}
	switch p.choice {
	case choiceBack:
		t.takeOff(w)
		t.back(e)
		return
	case choicePerson:
		t.callPerson(c)
		return
	case choiceAgain:
		t.takeOff(w)
		t.again(c, e)
		return
	case choiceChange:
		t.review(e)
		return
	}
	t.pressed(e, q, p.choice, w)
}

// stale answers a press on a button of an earlier question: nothing changes, it
// explains itself, and the present question is shown. The second press of a
// double press is not worth a message.
func (t *turn) stale(c *Chat, e *Enquiry, p press) {
	t.out.Toast = t.word(wording.StaleButton, wording.Facts{})
	double := p.rev == e.Rev-1 && e.answer(p.question) == p.choice && len(e.Trail) > 0 && e.Trail[len(e.Trail)-1] == p.question
	if e.ID != c.Enquiry || !double {
		t.lead(c, t.word(wording.StaleButton, wording.Facts{}))
	}
}

// pressed takes a choice of the question on the table.
func (t *turn) pressed(e *Enquiry, q *question, choice string, w bot.Tap) {
	p := q.ask(t, e)
	if q.several && choice != choiceDone {
		t.tick(e, q, p, choice, w)
		return
	}
	if t.said(e, q, p, choice) {
		return
	}
	for _, o := range p.options {
		if o.key != choice {
			continue
		}
		answer := []string{choice}
		if q.several {
			if len(e.Pending) == 0 && !q.orNone {
				t.put(e, t.word(wording.AskWantsNone, wording.Facts{}))
				return
			}
			answer = inOrder(p, e.Pending)
			if len(answer) == 0 {
				answer = []string{choiceDone} // none of them
			}
		}
		t.takeOff(w)
		t.accept(e, q, answer, echo(labels(p, answer)))
		return
	}
	if q.valid != nil && q.valid(choice) {
		t.takeOff(w)
		t.accept(e, q, []string{choice}, "")
		return
	}
	t.put(e, t.word(wording.NotFollowed, wording.Facts{}))
}

// said answers a choice that only wants something explained. The question stays,
// with its buttons under the explanation.
func (t *turn) said(e *Enquiry, q *question, p prompt, choice string) bool {
	if q.aside == nil {
		return false
	}
	words, ok := q.aside(t, e, choice)
	if ok {
		t.say(bot.Message{Chat: e.Chat, Text: words, Choices: t.keyboard(e, q, p), Kind: "aside"})
	}
	return ok
}

// tick chooses or unchooses one of several and shows it on the buttons.
func (t *turn) tick(e *Enquiry, q *question, p prompt, choice string, w bot.Tap) {
	if len(choice) < 2 {
		return
	}
	key := choice[1:]
	e.Pending = slices.DeleteFunc(e.Pending, func(k string) bool { return k == key })
	if choice[0] == '+' && slices.ContainsFunc(p.options, func(o option) bool { return o.key == key }) {
		e.Pending = append(e.Pending, key)
	}
	if w.Message == 0 {
		t.put(e, "")
		return
	}
	t.say(bot.Message{Chat: e.Chat, Edit: w.Message, Choices: t.keyboard(e, q, p), Kind: "ticks"})
}

// takeOff takes the buttons off a message that has been answered.
func (t *turn) takeOff(w bot.Tap) {
	if w.Message != 0 {
		t.say(bot.Message{Chat: t.event.Chat, Edit: w.Message, Delivery: bot.Cosmetic, Kind: "buttons-off"})
	}
}

// answered takes typed words as the answer to the question on the table.
func (t *turn) answered(e *Enquiry, text string) {
	q := t.find(e, e.At)
	if q == nil {
		q = t.next(e)
	}
	if q == nil {
		return
	}
	e.At = q.id
	p := q.ask(t, e)
	if q.several {
		done := p.options[len(p.options)-1] // every question of several ends with it
		if t.meant(plain(text), done) && (len(e.Pending) > 0 || q.orNone) {
			keys := inOrder(p, e.Pending)
			if len(keys) == 0 {
				keys = []string{choiceDone}
			}
			t.accept(e, q, keys, echo(labels(p, keys)))
			return
		}
		if keys := pickSeveral(p, text); len(keys) > 0 {
			t.accept(e, q, keys, echo(labels(p, keys)))
			return
		}
	} else if o, ok := pick(p, text); ok {
		if t.said(e, q, p, o.key) {
			return
		}
		t.accept(e, q, []string{o.key}, echo([]string{o.label}))
		return
	}
	if q.read != nil {
		if answer, ok := q.read(t, e, text); ok {
			echoed := ""
			if len(p.options) > 0 {
				echoed = echo(labels(q.ask(t, e), answer))
			}
			t.accept(e, q, answer, echoed)
			return
		}
	}
	if said := t.hear(e, text); len(said) > 0 {
		e.At = ""
		t.put(e, t.understood(said))
		return
	}
	t.put(e, t.word(wording.NotFollowed, wording.Facts{}))
}

// accept remembers an answer, lets it take effect and asks what comes next.
func (t *turn) accept(e *Enquiry, q *question, answer []string, echo string) {
	e.Answers[q.id] = answer
	e.Trail = append(e.Trail, q.id)
	e.Pending = nil
	e.Rev++
	e.At = ""
	lead := echo
	if q.took != nil {
		if words := q.took(t, e); words != "" {
			lead = words
		}
	}
	t.put(e, lead)
}

// back takes the last answer back and asks it again.
func (t *turn) back(e *Enquiry) {
	if len(e.Trail) == 0 {
		t.put(e, t.word(wording.BackAtStart, wording.Facts{}))
		return
	}
	words := ""
	if t.takeBack(e) == askHeard {
		words = t.word(wording.Unheard, wording.Facts{})
	}
	t.put(e, words)
}

// takeBack takes the last answer back, with what followed from it, and returns
// its question.
func (t *turn) takeBack(e *Enquiry) string {
	last := e.Trail[len(e.Trail)-1]
	e.Trail = e.Trail[:len(e.Trail)-1]
	e.Pending = nil
	e.At = ""
	e.Spoken = 0
	e.Rev++
	if last == askHeard {
		t.unhear(e)
		return last
	}
	delete(e.Answers, last)
	if q := t.find(e, last); q != nil && q.undo != nil {
		q.undo(t, e)
	}
	return last
}

// again closes the enquiry in hand and begins a fresh one.
func (t *turn) again(c *Chat, e *Enquiry) {
	t.close(e)
	t.put(t.begin(c), t.word(wording.StartAgain, wording.Facts{}))
}

// close ends an enquiry that was never booked and frees what it held.
func (t *turn) close(e *Enquiry) {
	t.release(e)
	for _, kind := range []string{CameHold, CameAsk, CameQuote} {
		t.unset(kind, e)
	}
	e.Stage, e.At = Closed, ""
	e.Rev++
}

// stop ends everything that is not an agreed booking, and every nudge.
func (t *turn) stop(c *Chat) {
	c.Stopped, c.Person = true, false
	f := wording.Facts{Name: c.Name}
	if e := t.letGo(c); e != nil && e.Stage == Booked {
		f.When = t.Words.Moment(e.Slot.Start.In(t.Zone))
	}
	t.tell(c.ID, wording.Stopped, f)
}

// lost follows a customer shutting us out: the owner hears of a booking that can
// no longer be spoken about.
func (t *turn) lost(c *Chat) {
	if e := t.letGo(c); e != nil && e.Stage == Booked {
		t.toOwner(wording.OwnerLost, e, wording.Facts{})
	}
}

// letGo drops what a customer has going who is leaving: what was not booked, and
// the nudge. It returns the enquiry, nil if there is none.
func (t *turn) letGo(c *Chat) *Enquiry {
	e := t.current(c)
	if e == nil {
		return nil
	}
	t.unset(CameNudge, e)
	switch e.Stage {
	case Asking, Held:
		t.close(e)
	case Waits:
		t.close(e)
		t.toOwner(wording.OwnerWithdrawn, e, wording.Facts{})
	}
	return e
}

// callPerson tells the owner that somebody wants him, and the customer that he
// has been told.
func (t *turn) callPerson(c *Chat) {
	e := t.current(c)
	if e == nil {
		e = t.begin(c)
	}
	c.Person = true
	t.toOwner(wording.OwnerPerson, e, wording.Facts{}, pressWrite, pressHand)
	t.lead(c, t.word(wording.PersonCalled, wording.Facts{Name: c.Name}))
}

// passOn hands the customer's words to the owner. The customer hears once that
// they went to a person.
func (t *turn) passOn(c *Chat, text string) {
	e := t.current(c)
	for _, part := range pieces(text) {
		t.toOwner(wording.OwnerTheirText, e, wording.Facts{Text: part}, pressWrite, pressHand)
	}
	if !c.Person {
		c.Person = true
		t.tell(c.ID, wording.PassedOn, wording.Facts{Text: t.standing(e)})
	}
}

// unreadable answers a voice note, a sticker, a place: what we cannot read is
// said, and where things stand.
func (t *turn) unreadable(c *Chat) {
	e := t.current(c)
	switch {
	case c.Stopped:
		t.tell(c.ID, wording.StoppedStill, wording.Facts{Name: c.Name})
	case e == nil || e.Stage == Closed || e.Stage == Done:
		t.put(t.begin(c), t.word(wording.NotReadable, wording.Facts{}))
	default:
		t.lead(c, t.word(wording.NotReadable, wording.Facts{}))
	}
}

// echo repeats what was chosen, for the buttons leave no trace in the chat.
func echo(labels []string) string {
	if len(labels) == 0 {
		return ""
	}
	return "✓ " + strings.TrimSuffix(strings.Join(labels, ", "), " ›")
}

func labels(p prompt, keys []string) []string {
	var out []string
	for _, o := range p.options {
		if slices.Contains(keys, o.key) {
			out = append(out, o.label)
		}
	}
	return out
}

// inOrder are the chosen keys in the order the question lists them.
func inOrder(p prompt, keys []string) []string {
	var out []string
	for _, o := range p.options {
		if slices.Contains(keys, o.key) {
			out = append(out, o.key)
		}
	}
	return out
}
