package conversations

import (
	"fmt"
	"hash/fnv"
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// The owner writes a line for a customer: it is shown to him before it goes.

// The presses that pass a written line on, as a word or as a no. They carry a sum of
// the line, so that an old button sends nothing newer.
const (
	pressSend   = "send:"
	pressSendNo = "send-no:"
)

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
	t.notesOffered(e, text)
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
