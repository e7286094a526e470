package conversations

import (
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
	if t.event.From.Language != "" {
		c.Language = t.event.From.Language
	}
	if m, ok := t.event.What.(bot.Membership); ok {
		c.Blocked = m.Blocked
		if m.Blocked {
			t.lost(c)
		}
		return
	}
	c.Blocked = false
	if c.Count == 0 && c.Reads == "" {
		c.Reads = t.offered(t.event.From.Language)
	}
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
	said := wording.Plain(strings.TrimPrefix(w.Body, "/"))
	// A deep link's payload comes behind the word.
	start := said == "start" || strings.HasPrefix(w.Body, "/start ")
	switch {
	case strings.HasPrefix(w.Body, "/start "+claimPrefix) && t.claimed(c, w.Body):
	case strings.HasPrefix(w.Body, "/start "+takePrefix) && t.takesOver(c, w.Body):
	case c.Stopped && !start:
		t.tell(c.ID, wording.StoppedStill, wording.Facts{Name: c.Name})
	case t.means(said, wording.SayStop) && !t.answers(e, w.Body), stops(w.Body):
		t.stop(c)
	case start:
		c.Stopped = false
		if strings.HasPrefix(w.Body, "/start "+takePrefix) {
			t.tell(c.ID, wording.TakeStale, wording.Facts{})
		}
		t.greet(c, "")
	case t.means(said, wording.SayPrivacy):
		t.lead(c, t.word(wording.Privacy, wording.Facts{Count: t.Rules.Quotes.ClearMonths()}))
	case t.means(said, wording.SayTerms) && t.Rules.Terms.Given():
		t.showTerms(c, e)
	case said == "help":
		t.lead(c, t.word(wording.Help, wording.Facts{}))
	case t.saidLanguage(c, said):
	case said == "settings" || t.means(said, wording.SaySettings):
		t.settings(c)
	case t.tookZone(c, w.Body):
	case t.means(said, wording.SayPerson):
		t.asksForPerson(c, w.Body)
	case t.means(said, wording.SayCarryOn) && c.Person:
		t.carriesOn(c, e)
	case c.Answering != "" && t.queryAnswered(c, w.Body): // the owner's question before any of the desk's
	case t.pressedInWords(c, w.Body):
	case t.wearSaid(c, w.Body):
	case t.repliesToHim(c, e, w.Body):
	case c.Person && t.saidInPerson(c, e, w.Body): // calling off does not wait for him
	case t.tellsAddress(c, e, w.Body): // nor where the car is
	case c.Person:
		t.toPerson(c, e, w.Body) // the desk is silent from here on
	case t.snagSaid(c, w.Body):
	case t.ofSnag(c, w.Body):
	case t.means(said, wording.SayVAT) && t.questions(w.Body) < 2:
		t.lead(c, t.vat())
	case t.means(said, wording.SayAnotherCar) && e != nil && e.Stage != Asking:
		t.anotherCar(c, e)
	case e != nil && e.open() && (t.means(said, wording.SayChange) || e.Renews != "" && t.saysJust(w.Body, t.typed(wording.LabelNotThat))):
		t.review(e)
	// Nothing is in hand: a reminder, the last job, the next one, in this order, as "yes"
	// answers what came last.
	case (e == nil || !e.open()) && t.nudgeWrote(c, w.Body):
	case (e == nil || e.Stage == Closed || e.Stage == Done) && t.sameAgain(c, w.Body):
	case t.tellsComing(c, e, w.Body):
	case e != nil && !e.open() && t.nodded(c, e, w.Body):
	case e != nil && e.Stage == Closed && t.afterAll(c, e, w.Body):
	case (e == nil || e.Stage == Closed || e.Stage == Done) && t.ofJob(c, w.Body):
	case e == nil || e.Stage == Closed || e.Stage == Done:
		t.greet(c, w.Body)
	case t.means(said, wording.SayAgain) && e.open():
		t.again(c, e)
	case t.means(said, wording.SayBack) && e.open():
		t.back(e)
	case len(c.Visits) > 0 && t.means(said, wording.LabelEndStanding):
		t.endStanding(c, e)
	// A time is asked for or booked: that they cannot come before another time they would
	// like, and that before what they only ask.
	case !e.open() && t.cannotCome(c, e, w.Body):
	case !e.open() && t.wishesMove(e, said, w.Body):
	case !e.open() && t.moveAnswered(c, e, said):
	case !e.open():
		t.ofVisit(c, e, w.Body)
	case w.Edited: // of the form: a correction, and no second answer
		t.edited(c, e, w)
	case t.means(said, wording.SayCarryOn) && !t.means(said, wording.SayGoOn) && !t.answers(e, w.Body):
		t.put(e, "") // the boss has handed them back already
	default:
		rev := e.Rev
		t.answered(e, w.Body)
		if e.Rev != rev {
			e.Spoken = w.Message
		}
	}
}

// answers tells whether words are one of the answers to the question on the table, word
// for word: "no more" is no goodbye where it is asked for another photo.
func (t *turn) answers(e *Enquiry, text string) bool {
	if e == nil || !e.open() {
		return false
	}
	q := t.find(e.At)
	if q == nil {
		return false
	}
	_, ok := bare(q.ask(t, e), text)
	return ok
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

// means tells whether the words are one of the ways of saying something, or
// contain one of those of three words and more.
func (t *turn) means(said string, k wording.Key) bool {
	for _, words := range t.hears() {
		for _, w := range words.Typed(k) {
			if w == said || strings.Count(w, " ") >= 2 && strings.Contains(" "+said+" ", " "+w+" ") {
				return true
			}
		}
	}
	return false
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
