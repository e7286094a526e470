package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// With wet hands a word is quicker than a button. What the owner types straight under a
// message of the desk's, and what stands on one of its buttons or is a way of saying it, is
// that press. Of two open questions the one asked last is meant, and the answer says whose
// it is.

// leftToWords are the buttons whose words are read with more care where they are read: they
// look at the clock, or whether a step or the whole job is meant.
var leftToWords = map[string][]string{
	pressOwner: {pressDone},
	pressJob:   {"done", jobStart, jobFinish, jobNobody},
}

// justCame is how soon after a request came a mere yes may have been typed before it was
// read.
const justCame = 10 * time.Second

// noteAsked remembers what the owner is shown last: whose words, and which buttons.
func (t *turn) noteAsked() {
	if t.Owner == 0 {
		return
	}
	for _, m := range t.out.Say {
		switch {
		case isGuest(m.Chat) && len(m.Choices) > 0:
			t.chat(t.Owner).Shown = nil // he answers in their place
		case m.Chat == t.Owner && m.Edit == 0:
			t.noteUnder(m)
			t.noteButtons(m)
		}
	}
}

func (t *turn) noteButtons(m bot.Message) {
	if len(m.Choices) == 0 {
		return
	}
	s := &Shown{At: t.now.Truncate(time.Second)}
	for _, b := range slices.Concat(m.Choices...) {
		if _, ok := parsePress(b.Data); ok {
			s.Data, s.Labels = append(s.Data, b.Data), append(s.Labels, b.Label)
		}
	}
	t.chat(t.Owner).Shown = s
}

// pressedByWord takes the owner's text as a press on one of the buttons he was shown last,
// and reports whether it was one.
func (t *turn) pressedByWord(c *Chat, text string) bool {
	s := c.Shown
	if s == nil || len(s.Labels) != len(s.Data) || strings.Contains(text, "?") {
		return false
	}
	i := t.meantButton(s, text)
	if i < 0 {
		return false
	}
	p, _ := parsePress(s.Data[i])
	kind, _, _ := strings.Cut(p.choice, ":")
	if ofDay := []string{deskBlock, deskUnblock, deskOpen, deskWork, deskUnwork}; p.question == pressDesk && slices.Contains(ofDay, kind+":") {
		t.ownerTapped(c, bot.Tap{Data: s.Data[i]})
		return true
	}
	e := t.enquiry(p.enquiry)
	switch {
	case e == nil, c.Finishing == e.ID, slices.Contains(leftToWords[p.question], kind):
		return false
	case p.question == pressOwner && kind == pressApprove && t.now.Sub(s.At) < justCame && len(t.waiting()) > 1:
		return false // which of them, he is asked
	}
	n := len(t.out.Say)
	t.ownerTapped(c, bot.Tap{Data: s.Data[i]})
	t.sayWhose(n, e)
	return true
}

// sayWhose puts before what the owner has just been told whose it is, if it does not say.
func (t *turn) sayWhose(n int, e *Enquiry) {
	first := -1
	for i, m := range t.out.Say[n:] {
		if m.Chat != t.Owner || m.Edit != 0 {
			continue
		}
		if first < 0 {
			first = n + i
		}
		if strings.Contains(m.Text, e.Name) {
			return
		}
	}
	if m := first; m >= 0 {
		t.out.Say[m].Text = t.word(wording.OwnerWhose, wording.Facts{Name: e.Name, Car: carName(e), Text: t.out.Say[m].Text})
	}
}

// firstWords is within how many bytes a name stands among the first words.
const firstWords = 60

// sayWhoseFirst puts whose it is before what the owner is told in the middle of one job about
// another, where that does not begin with it. The event is a customer's, or something fell due.
func (t *turn) sayWhoseFirst(of bot.ChatID) {
	if t.Owner == 0 || t.byOwner() || !slices.ContainsFunc(t.out.Say, func(m bot.Message) bool { return m.Chat == t.Owner }) {
		return
	}
	at := t.enquiry(t.chat(t.Owner).Job)
	if at == nil || !at.working() {
		return
	}
	for i, m := range t.out.Say {
		e := t.whoseIs(m, of)
		if m.Chat != t.Owner || m.Edit != 0 || m.Text == "" || e == nil || e.Name == "" || e.Chat == at.Chat || strings.Contains(m.Text[:min(firstWords, len(m.Text))], e.Name) {
			continue
		}
		t.out.Say[i].Text = t.wordTo(t.Owner, wording.OwnerWhose, wording.Facts{Name: e.Name, Car: carName(e), Text: m.Text})
	}
}

// whoseIs is the enquiry a message is about, by its buttons or by whose event it came of; nil
// if it is about several, or none.
func (t *turn) whoseIs(m bot.Message, of bot.ChatID) *Enquiry {
	var s Shown
	for _, b := range slices.Concat(m.Choices...) {
		s.Data = append(s.Data, b.Data)
	}
	switch ids := s.about(); {
	case len(ids) == 1:
		return t.enquiry(ids[0])
	case len(ids) > 1 || of == 0:
		return nil
	}
	return t.current(t.chat(of))
}

// meantButton is which of the buttons he was shown a text means, -1 for none or several.
func (t *turn) meantButton(s *Shown, text string) int {
	bare := func(said string) string { return strings.TrimPrefix(wording.Plain(said), "£") }
	if i := slices.IndexFunc(s.Labels, func(label string) bool { return bare(label) == bare(text) }); i >= 0 {
		return i // what stands there is never another
	}
	for _, words := range []string{text, t.withoutNames(s, text)} {
		if words == "" {
			continue
		}
		is := func(phrases []string) bool { return t.saysJust(words, phrases) }
		var named, yes, no []int
		for i, label := range s.Labels {
			ways := t.waysOf(label)
			if is(ways) {
				named = append(named, i)
			}
			if t.isA(label, ways, wording.SayYes) || strings.Contains(s.Data[i], "|"+pressAgreed) {
				yes = append(yes, i)
			}
			if t.isA(label, ways, wording.SayNo) {
				no = append(no, i)
			}
		}
		fresh := t.now.Sub(s.At) < yesFor
		switch {
		case len(named) == 1:
			return named[0]
		case len(named) > 1 || !fresh:
			return -1
		case len(yes) == 1 && is(t.typed(wording.SayYes)):
			return yes[0]
		case len(no) == 1 && is(t.typed(wording.SayNo)):
			return no[0]
		}
	}
	return t.nthPerson(s, text)
}

// waysOf is everything that may be typed for what stands on a button.
func (t *turn) waysOf(label string) []string {
	work, _, _ := strings.Cut(label, " +") // an extra, without what it adds
	out := []string{wording.Plain(label), wording.Plain(work)}
	for _, words := range t.hears() {
		for _, k := range words.Reading(label) {
			out = slices.Concat(out, t.typed(k))
		}
	}
	return slices.DeleteFunc(out, func(w string) bool { return w == "" })
}

// isA tells whether a button is a yes, or a no: it begins with one, or one may be typed
// for it.
func (t *turn) isA(label string, ways []string, k wording.Key) bool {
	return longestOf(t.typed(k), strings.Fields(wording.Plain(label))) > 0 || slices.ContainsFunc(t.typed(k), func(w string) bool { return slices.Contains(ways, w) })
}

// withoutNames is a text without the names of those the buttons are about, empty if there
// are none in it.
func (t *turn) withoutNames(s *Shown, text string) string {
	var names []string
	for _, id := range s.about() {
		if e := t.enquiry(id); e != nil {
			names = slices.Concat(names, t.namesIn(e.Name), t.namesIn(carName(e)))
		}
	}
	words := strings.Fields(wording.Plain(text))
	rest := slices.DeleteFunc(slices.Clone(words), func(w string) bool { return isName(names, w) })
	if len(rest) == len(words) {
		return ""
	}
	return strings.Join(rest, " ")
}

// about are the enquiries some buttons are about, in their order.
func (s *Shown) about() (ids []string) {
	for _, data := range s.Data {
		if p, ok := parsePress(data); ok && p.enquiry != noEnquiry && !slices.Contains(ids, p.enquiry) {
			ids = append(ids, p.enquiry)
		}
	}
	return ids
}

// nthPerson is the button of somebody in a list of people who is meant by their place in it:
// "2", "the second", "last one"; -1 for none.
func (t *turn) nthPerson(s *Shown, text string) int {
	var list []int
	for i, data := range s.Data {
		if p, _ := parsePress(data); p.enquiry != noEnquiry {
			list = append(list, i)
		}
	}
	if len(list) < 2 || len(s.about()) != len(list) {
		return -1
	}
	said := wording.Plain(text)
	for i, k := range []wording.Key{wording.SayFirst, wording.SaySecond, wording.SayThird} {
		if i < len(list) && slices.Contains(t.typed(k), said) {
			return list[i]
		}
	}
	if slices.Contains(t.typed(wording.SayLast), said) {
		return list[len(list)-1]
	}
	if n := atoi(said); n >= 1 && n <= len(list) {
		return list[n-1]
	}
	return -1
}
