package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

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
	e.First = opening(text, wordyOpening)
	if e.First == "" && t.Reader != nil && len(t.heardIn(text).Hints) > 0 {
		e.First = opening(text, leastState) // how the car is they say better than our grades
	}
	t.asksBeside(e, text)
	lead := t.word(k, wording.Facts{Name: c.Name})
	if said := t.understood(t.hear(e, text)); said != "" {
		lead += "\n\n" + said
	}
	t.put(e, lead)
}

// The fewest words of an opening that is kept: of any, and of one that tells how the car is.
const (
	wordyOpening = 13
	leastState   = 2
)

// opening is what somebody began with as the owner reads it beside their request: empty
// if it is no more than we have read of it anyway, as short ones are, and cut where it grows long.
func opening(text string, least int) string {
	const most = 240 // letters
	if len(strings.Fields(text)) < least {
		return ""
	}
	text = strings.Join(strings.Fields(text), " ")
	if r := []rune(text); len(r) > most {
		text = strings.TrimSpace(string(r[:most])) + "…"
	}
	return text
}

// begin opens a new enquiry and puts it in hand.
func (t *turn) begin(c *Chat) *Enquiry {
	c.Count++
	id := enquiryID(c.ID, c.Count)
	t.enquiry(id) // it must be known not to exist
	e := &Enquiry{ID: id, Chat: c.ID, Name: c.Name, Answers: map[string][]string{}}
	c.Enquiry = id
	t.enquiries[id] = e
	t.count(c.ID, Count{Enquiries: 1})
	return e
}

// anotherCar begins an enquiry beside one that is asked for or booked.
func (t *turn) anotherCar(c *Chat, e *Enquiry) {
	next := t.begin(c)
	if e.answer(askSite) != "" {
		next.Place = e.Place
	}
	t.put(next, t.word(wording.AnotherCar, wording.Facts{Car: carName(e)}))
}

// again closes the enquiry in hand and begins a fresh one.
func (t *turn) again(c *Chat, e *Enquiry) {
	f := wording.Facts{Money: t.moneyLeft(e)}
	t.close(e)
	t.put(t.begin(c), t.word(wording.StartAgain, f))
}

// close ends an enquiry that was never booked and frees what it held.
func (t *turn) close(e *Enquiry) {
	t.giveBack(e)
	t.release(e)
	t.unsetAll(closes, e)
	e.Stage, e.At = Closed, ""
	e.Rev++
}

// stop ends everything that is not an agreed booking, and every nudge.
func (t *turn) stop(c *Chat) {
	c.Stopped, c.Person = true, false
	t.noMore(c)
	f := wording.Facts{Name: c.Name}
	if e := t.current(c); e != nil && e.Stage != Booked {
		f.Money = t.moneyLeft(e)
	}
	for _, e := range t.letGo(c) {
		f.Items = append(f.Items, t.Words.Moment(e.Slot.Start.In(t.Zone)))
	}
	t.tell(c.ID, wording.Stopped, f)
}

// lost follows a customer shutting us out: the owner hears of each booking that
// can no longer be spoken about.
func (t *turn) lost(c *Chat) {
	for _, e := range t.letGo(c) {
		t.toOwner(wording.OwnerLost, e, wording.Facts{})
	}
}

// letGo drops what a customer has going who is leaving: what was not booked, of
// whichever car, what they took over from a guest among it, and the nudges. It returns the bookings, which stand.
func (t *turn) letGo(c *Chat) (booked []*Enquiry) {
	all := t.others(c, c.Enquiry)
	if e := t.current(c); e != nil {
		all = slices.Concat([]*Enquiry{e}, all)
	}
	for _, e := range all {
		t.unset(CameNudge, e)
		switch e.Stage {
		case Asking, Held:
			t.close(e)
		case Waits:
			t.close(e)
			t.toOwner(wording.OwnerWithdrawn, e, wording.Facts{})
		case Booked:
			booked = append(booked, e)
		}
	}
	return booked
}
