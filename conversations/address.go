package conversations

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// Where exactly somebody comes to: the street and the number, as the customer writes
// it. It is asked once, when there is a time; whoever would rather say it later is asked
// again when they are booked, and the evening before. It is read by the owner and
// stands in both calendars; nothing is worked out from it.

// The answers to the question, beside which [Enquiry.Address] holds the words.
const (
	addressSaid  = "said"
	addressLater = "later"
)

// longestAddress is how much is taken for an address, in characters.
const longestAddress = 200

// wantsAddress: the car is at the customer's, and nobody has said where that is.
func wantsAddress(t *turn, e *Enquiry) bool {
	return atTheirs(t, e) && priceAgreed(t, e) && e.Address == "" && !exact(e)
}

// exact tells whether the customer has shown on the map where the car stands.
func exact(e *Enquiry) bool { return e.Place != nil && e.Place.Within == 0 }

// addressMissing tells whether somebody is to come to a place that nobody has named yet.
func addressMissing(t *turn, e *Enquiry) bool {
	return wantsAddress(t, e) && (e.answer(askAddress) == addressLater || e.Stage == Waits || e.Stage == Booked)
}

func putAddress(t *turn, e *Enquiry) prompt {
	k := wording.AskAddress
	if isGuest(e.Chat) {
		k = wording.AskAddressGuest
	}
	p := sentence(k)(t, e)
	later := t.choose(addressLater, wording.LabelAddressLater)
	later.own = true
	p.options = []option{later}
	return p
}

// readAddress takes what was typed when it was asked for: whatever is no question, no
// mere friendly word, and about nothing else. Of a text that is about more, the address
// is taken, and the owner reads the rest on the card.
func readAddress(t *turn, e *Enquiry, text string) ([]string, bool) {
	text = t.saidOnce(text)
	e.Address = tidyAddress(text)
	street, _ := t.addressIn(text)
	if t.mayBeAddress(text) && !t.asksBehind(text, street) {
		return []string{addressSaid}, true
	}
	if told := t.toldPart(text); told != "" && t.mayBeAddress(told) {
		if _, street := t.addressIn(told); street {
			t.notes(e, text)
			t.asksByAddress(e, text)
			e.Address = tidyAddress(told)
			return []string{addressSaid}, true
		}
	}
	at, ok := t.addressIn(text)
	if ok = ok && !t.asksAround(text, at); ok && wording.Plain(at) != wording.Plain(e.Address) {
		t.notes(e, text)
		t.asksByAddress(e, text)
	}
	if e.Address = at; !ok {
		e.Address = ""
	}
	return []string{addressSaid}, ok
}

// toldPart is a text without the sentences of it that ask something, empty if none does.
func (t *turn) toldPart(text string) string {
	all := sentences(text)
	told := slices.DeleteFunc(slices.Clone(all), func(s string) bool { return t.isQuestion(s) })
	if len(told) == len(all) {
		return ""
	}
	return strings.TrimRight(strings.TrimSpace(strings.Join(told, " ")), ".,;")
}

// asksByAddress passes on what is asked behind an address: "14 Fleet Road. and the key?".
func (t *turn) asksByAddress(e *Enquiry, text string) {
	at, _ := t.addressIn(text)
	if t.beside == "" && (t.isQuestion(text) || t.asksBehind(text, at)) && !isGuest(e.Chat) {
		t.tellBoss(wording.OwnerAsks, e, text, pressAnswer)
		t.beside = t.word(wording.AskedBoss, wording.Facts{})
	}
}

// mayBeAddress tells whether a text could be where somebody lives, asked for that.
func (t *turn) mayBeAddress(text string) bool {
	words := strings.Fields(wording.Plain(text))
	if len(words) < 2 || utf8.RuneCountInString(text) > longestAddress || t.isQuestion(text) || t.isUnsure(text) || t.isFriendly(text) {
		return false
	}
	if t.allOf(text, slices.Concat(t.typed(wording.SayYes), t.typed(wording.SayNo))) || t.asksWhatComes(text) {
		return false
	}
	if t.Reader == nil {
		return true
	}
	r := t.heardIn(text)
	return len(r.Asks)+len(r.Wants)+len(r.Excludes)+len(r.Spared)+len(r.Tasks)+len(r.Vehicles)+len(r.When)+len(r.Hints) == 0 && r.Budget.Kind == ""
}

func tookAddress(t *turn, e *Enquiry) string {
	if e.Address == "" && isGuest(e.Chat) {
		return ""
	}
	if e.Address == "" {
		return t.word(wording.AddressLater, wording.Facts{})
	}
	return "✓ " + e.Address
}

func undoAddress(_ *turn, e *Enquiry) { e.Address = "" }

// apart takes the address out of a text that answers another question, and returns what
// else is said: the road of an address is not where the car stands.
func (t *turn) apart(e *Enquiry, q *question, text string) string {
	at, rest, ok := t.addressApart(text)
	if !ok || q.id == askAddress || e.answer(askSite) == "own" || t.asksAround(text, at) {
		return text
	}
	if t.asksBehind(text, at) {
		t.asksByAddress(e, text)
	}
	if wording.Plain(at) != wording.Plain(e.Address) {
		h := &heard{turn: t, e: e}
		h.fillAddress(at)
		h.keep()
		t.beside = strings.TrimPrefix(t.beside+"\n\n"+t.understood(h.said), "\n\n")
	}
	small := slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayAnd), t.typed(wording.SayNo), t.typed(wording.SayThankYou))
	if all, _ := usedUp(strings.Fields(wording.Plain(rest)), func(left []string) (int, bool) {
		if isHouseNumber(left[0]) || slices.Contains(t.typed(wording.SayNotPaid), left[0]) {
			return 1, false // "not 14"
		}
		return longestOf(small, left), false
	}); all {
		return ""
	}
	return rest
}

// address takes an address that is named by the way, or another than was named before.
func (h *heard) address() {
	at, ok := h.addressIn(h.text)
	if !ok || h.e.answer(askSite) == "own" || h.asksAround(h.text, at) || wording.Plain(at) == wording.Plain(h.e.Address) {
		return
	}
	if h.e.answer(askSurface) == "street" && slices.Contains(h.filled, askSurface) {
		h.forget(h.e, askSurface) // that was the road's name
		h.filled = slices.DeleteFunc(h.filled, func(q string) bool { return q == askSurface })
		street := h.label(wording.LabelStreet)
		h.said = slices.DeleteFunc(h.said, func(w string) bool { return w == street })
	}
	h.fillAddress(at)
}

// fillAddress takes an address in the place of what was said of one before.
func (h *heard) fillAddress(at string) {
	h.retract(h.e, askAddress)
	h.fill(askAddress, addressSaid)
	h.e.Address = at
	h.tell(at)
}

// whereExactly is where somebody comes to, in a sentence without its stop; empty where they
// come to us, and while nobody has been asked.
func (t *turn) whereExactly(e *Enquiry) string {
	switch {
	case !atTheirs(t, e):
		return ""
	case e.Address != "":
		return e.Address
	case exact(e):
		return t.word(wording.PlaceOnMap, wording.Facts{Text: onMap(e.Place), Count: t.milesTo(diary.Point{Lat: e.Place.Lat, Lon: e.Place.Lon})})
	case addressMissing(t, e):
		return t.word(wording.AddressToCome, wording.Facts{})
	}
	return ""
}

// onMap is a point as any map takes it.
func onMap(p *Place) string { return fmt.Sprintf("%.5f, %.5f", p.Lat, p.Lon) }

// whereTo is the place of the work with where exactly that is.
func (t *turn) whereTo(e *Enquiry) string {
	at := t.where(e)
	if exactly := t.whereExactly(e); exactly != "" {
		at += ". " + exactly
	}
	return at
}

// workshop is where cars are brought to, empty if there is no such place or the rules do
// not say.
func (t *turn) workshop() string {
	if t.Rules.Place.MobileOnly {
		return ""
	}
	return t.Rules.Business.Address
}

// asksWhere tells whether a text asks where we are.
func (t *turn) asksWhere(text string) bool {
	const most = 14 // words; who says more says something else too
	said := wording.Plain(text)
	return len(strings.Fields(said)) <= most && t.speaksOf(said, wording.SayWhereAreYou)
}

// addressee is where a calendar's map leads to.
func (t *turn) addressee(e *Enquiry) string {
	switch {
	case atTheirs(t, e) && e.Address != "":
		return e.Address
	case atTheirs(t, e) && exact(e):
		return onMap(e.Place)
	case !atTheirs(t, e) && t.workshop() != "":
		return t.workshop()
	}
	return t.where(e)
}

// askedStill is a text with the question for the address below it, if that is still to
// come. Of somebody who rang the owner knows it.
func (t *turn) askedStill(e *Enquiry, text string) string {
	if !addressMissing(t, e) || isGuest(e.Chat) {
		return text
	}
	return text + "\n\n" + t.word(wording.AddressStill, wording.Facts{})
}

// tellsAddress takes an address somebody writes of a visit that is asked for or booked,
// and reports whether the text was one. The owner gets all of what was written.
func (t *turn) tellsAddress(c *Chat, e *Enquiry, text string) bool {
	if !t.keepsAddress(e, text) {
		return false
	}
	f := wording.Facts{Text: e.Address, When: t.Words.Moment(e.Slot.Start.In(t.Zone))}
	t.tell(c.ID, wording.AddressKept, f)
	t.addressToOwner(e, text)
	return true
}

// keepsAddress keeps the address in a text with a visit, and reports whether there was
// one.
func (t *turn) keepsAddress(e *Enquiry, text string) bool {
	if e == nil || e.Slot == nil || e.Stage != Waits && e.Stage != Booked || !atTheirs(t, e) || t.isQuestion(text) {
		return false
	}
	at, ok := t.addressIn(text)
	if !ok || wording.Plain(at) == wording.Plain(e.Address) {
		return false
	}
	e.Address = at
	e.Answers[askAddress] = []string{addressSaid}
	e.Changes++
	return true
}

// addressToOwner tells the owner where to come to, with the visit for his calendar as it
// is now, and in full what was written if that was more.
func (t *turn) addressToOwner(e *Enquiry, text string) {
	if t.Owner == 0 {
		return
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), When: t.Words.Moment(e.Slot.Start.In(t.Zone)), Text: t.whereExactly(e)}
	m := bot.Message{Chat: t.Owner, Text: t.word(wording.OwnerAddress, f), Kind: "word"}
	if e.Stage == Booked {
		m = t.calendar(e, false).message(t.Owner, m.Text)
	}
	m.Choices = [][]bot.Choice{{t.own(e, pressWrite)}}
	t.say(m)
	if len(strings.Fields(text)) > len(strings.Fields(e.Address))+3 {
		t.tellBoss(wording.OwnerTheirText, e, text)
	}
}

// sharesAddress takes a location that is shared of a visit asked for or booked.
func (t *turn) sharesAddress(c *Chat, e *Enquiry, w bot.Place) bool {
	if e.Slot == nil || e.Stage != Waits && e.Stage != Booked || !atTheirs(t, e) {
		return false
	}
	e.Place = &Place{Lat: w.Lat, Lon: w.Lon}
	e.Address = ""
	e.Answers[askAddress] = []string{addressSaid}
	e.Changes++
	t.tell(c.ID, wording.PlaceKept, wording.Facts{When: t.Words.Moment(e.Slot.Start.In(t.Zone))})
	t.addressToOwner(e, "")
	return true
}
