package conversations

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base32"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rsc.io/qr"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// Somebody who rang can take what was written down for them over into a chat of
// their own: with a link, or by scanning it. It works once, and only the latest
// link of each. The code in it is a keyed digest of whose it is, so that nobody can
// guess one, and nothing secret is stored.

// takePrefix begins the payload of such a link.
const takePrefix = "take-"

// takePayload is what stands behind "?start=": at most 64 letters, digits, "_" and
// "-" (core.telegram.org/bots/features#deep-linking).
func (t *turn) takePayload(guest bot.ChatID, n int) string {
	whose := strconv.FormatInt(-int64(guest), 36) + "-" + strconv.Itoa(n)
	mac := hmac.New(sha256.New, t.Secret)
	mac.Write([]byte("take over " + whose))
	const bytes = 16 // 128 bits
	return takePrefix + whose + "-" + strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(mac.Sum(nil)[:bytes]))
}

// offerLink hands the owner a link for somebody who rang, to pass on or to let them
// scan. Every earlier one is void.
func (t *turn) offerLink(e *Enquiry) {
	g := t.chat(e.Chat)
	if !isGuest(g.ID) || t.Bot == "" || len(t.Secret) == 0 {
		t.tell(t.Owner, wording.OwnerNoLink, wording.Facts{Name: e.Name})
		return
	}
	g.Offer++
	link := "https://t.me/" + t.Bot + "?start=" + t.takePayload(g.ID, g.Offer)
	code, err := qr.Encode(link, qr.M)
	if err != nil {
		t.fail(fmt.Errorf("conversations: code for the link of %s: %w", e.ID, err))
		return
	}
	words := t.word(wording.TakeLink, wording.Facts{Name: e.Name, Car: carName(e), Text: link})
	t.say(bot.Message{Chat: t.Owner, Text: t.word(wording.ToPassOn, wording.Facts{Name: e.Name, Text: words}), Kind: "link",
		File: &bot.File{Name: t.word(wording.TakeFile, wording.Facts{}), Data: code.PNG()}})
}

// takesOver moves everything of somebody who rang to the chat that opened their
// link. It reports false if the link is none, was used, or is not the latest: then
// nothing has happened.
func (t *turn) takesOver(c *Chat, body string) bool {
	payload := strings.TrimPrefix(body, "/start ")
	f := strings.Split(strings.TrimPrefix(payload, takePrefix), "-")
	if len(f) != 3 || len(t.Secret) == 0 || isGuest(c.ID) {
		return false
	}
	number, err := strconv.ParseInt(f[0], 36, 64)
	n, err2 := strconv.Atoi(f[1])
	if err != nil || err2 != nil || number < 1 || !hmac.Equal([]byte(payload), []byte(t.takePayload(bot.ChatID(-number), n))) {
		return false
	}
	g := t.chat(bot.ChatID(-number))
	if len(t.out.Need) > 0 {
		return true // comes again with their document
	}
	if g.Moved != 0 || g.Offer != n {
		return false
	}
	owner := t.chat(t.Owner)
	for i := range g.Count {
		if e := t.enquiry(enquiryID(g.ID, i+1)); e != nil {
			e.Chat = c.ID
			e.Rev++                  // the owner's buttons for their form count no more
			t.retract(e, askConsent) // it was the owner who said it
		}
	}
	if len(t.out.Need) > 0 {
		return true
	}
	if own := t.current(c); own == nil || own.Stage == Closed || own.Stage == Done || own.Stage == Asking {
		c.Enquiry = g.Enquiry
	}
	c.Jobs = append(c.Jobs, g.Jobs...)
	c.Took = append(c.Took, g.ID)
	c.NoNudge = c.NoNudge || g.NoNudge
	c.Stopped, c.Blocked = false, false
	if owner.Guest == g.ID {
		owner.Guest = 0
	}
	e := t.enquiry(g.Enquiry)
	*g = Chat{ID: g.ID, Name: g.Name, Count: g.Count, Offer: g.Offer, Moved: c.ID}
	t.welcome(c, e)
	return true
}

// welcome greets who has taken over, shows how things stand, and asks for what
// nobody could say in their place.
func (t *turn) welcome(c *Chat, e *Enquiry) {
	if e == nil {
		t.greet(c, "")
		return
	}
	t.toOwner(wording.OwnerTakenOver, e, wording.Facts{})
	words := t.word(wording.TakenOver, wording.Facts{Name: e.Name, Car: carName(e)})
	if e.open() {
		t.put(e, words)
		return
	}
	t.lead(c, words)
	if e.Stage == Booked || e.Stage == Waits || e.Stage == Done {
		t.askConsentFor(e)
	}
}

// pressConsent is the question name of the buttons that ask outside the form
// whether they want to be reminded.
const pressConsent = "consent-later"

// askConsentFor asks whether they want to be reminded when protection is due.
func (t *turn) askConsentFor(e *Enquiry) {
	var on []string // unknown of somebody from before there was a desk
	switch {
	case e.Work != nil:
		on = e.Work.Protections
	case e.Quote != nil:
		on = e.Quote.Tasks
	}
	t.tell(e.Chat, wording.AskConsent, wording.Facts{Items: t.protectedBy(on)},
		t.presses(e, pressConsent, named{"yes", wording.LabelRemind}, named{"no", wording.LabelNoRemind})...)
}

// consentPressed takes the answer.
func (t *turn) consentPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.answer(askConsent) != "" || e.Stage == Closed || p.choice != "yes" && p.choice != "no" {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	e.Answers[askConsent] = []string{p.choice}
	if !slices.Contains(e.Trail, askConsent) {
		e.Trail = append(e.Trail, askConsent)
	}
	f := wording.Facts{Name: e.Name, Car: carName(e)}
	if p.choice == "no" {
		t.tell(c.ID, wording.ConsentNo, f)
		return
	}
	if e.Stage == Done && e.Work != nil {
		if e.Plan != nil {
			t.keepPlan(e, *e.Plan)
		} else {
			t.plan(e)
		}
		if !e.Work.Nudge.IsZero() {
			f.When = t.Words.DateYear(e.Work.Nudge.In(t.Zone))
		}
	}
	t.tell(c.ID, wording.ConsentYes, f)
}
