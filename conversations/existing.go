package conversations

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Existing is a customer from before there was a desk, with the last protection put
// on their car.
type Existing struct {
	Name, Car string
	// Note tells namesakes apart: a telephone number, or any words. It is not kept.
	Note string
	// Protection is one of the rules' kinds, by id or words; Date is when it was put
	// on.
	Protection string
	Date       time.Time
}

// Brought is what [Bring] makes of an existing customer.
type Brought struct {
	// Put are the documents to keep, none if all of it is known already.
	Put []Doc
	// Link is what they open to have their chat, empty where no links are handed out
	// or they have one already.
	Link string
	// Need are documents that have to be loaded first; nothing else counts then.
	Need []string
}

// Bring makes of an existing customer somebody who is known as if they had rung:
// with a car and a job that is done, and without consent to any reminder, which
// they are asked for once they have opened their link. The same customer again
// changes nothing, a later protection takes the place of an earlier one. The error
// says what is wrong with the row.
func Bring(talk Talk, docs map[string][]byte, x Existing, now time.Time) (Brought, error) {
	t := newTurn(talk, docs, bot.Event{}, now)
	const longest = 40
	x.Name = strings.TrimSpace(x.Name)
	if x.Name == "" || utf8.RuneCountInString(x.Name) > longest {
		return Brought{}, fmt.Errorf("a name is 1 to %d letters long, not %q", longest, x.Name)
	}
	match := t.Rules.MatchVehicle(x.Car)
	if match.Vehicle == nil {
		return Brought{}, fmt.Errorf("no car is known as %q; write make and model, say \"Golf estate\"", x.Car)
	}
	i := slices.IndexFunc(t.Rules.Protections(), func(p pricing.Protection) bool {
		return wording.Plain(p.ID) == wording.Plain(x.Protection) || wording.Plain(p.Words) == wording.Plain(x.Protection)
	})
	if i < 0 {
		return Brought{}, fmt.Errorf("no protection is known as %q; it is one of %s", x.Protection, strings.Join(t.protectionWords(), ", "))
	}
	if x.Date.After(now) {
		return Brought{}, fmt.Errorf("%s is yet to come", x.Date.Format(time.DateOnly))
	}
	kind := t.Rules.Protections()[i].ID

	g := t.chat(existingChat(x))
	e := t.enquiry(enquiryID(g.ID, 1))
	if len(t.out.Need) > 0 {
		return Brought{Need: t.out.Need}, nil
	}
	if g.Moved != 0 || e != nil && e.Work != nil && !x.Date.After(e.Work.At) {
		return Brought{Link: t.existingLink(g)}, t.err
	}
	if e == nil {
		g.Name, g.Offer = x.Name, 1
		e = t.begin(g)
		g.Jobs = []string{e.ID}
		clear(t.tallies) // they have asked for nothing now
	}
	e.Name, e.Car, e.Stage, e.Rev = x.Name, match.Vehicle, Done, e.Rev+1
	e.Answers[askVehicle] = []string{x.Car}
	e.Answers[askSite] = []string{"own"}
	e.Work = &Work{At: x.Date, Protections: []string{kind}, Cared: now}
	t.keep()
	return Brought{Put: t.out.Put, Link: t.existingLink(g)}, t.err
}

// existingLink is the whole link of a guest who has not taken over yet.
func (t *turn) existingLink(g *Chat) string {
	if g.Moved != 0 || t.Bot == "" || len(t.Secret) == 0 {
		return ""
	}
	return "https://t.me/" + t.Bot + "?start=" + t.takePayload(g.ID, g.Offer)
}

func (t *turn) protectionWords() (out []string) {
	for _, p := range t.Rules.Protections() {
		out = append(out, p.Words)
	}
	return out
}

// existingChat is the number under which an existing customer is known: below zero,
// like anybody's who does not write here, and far from those counted up. It follows
// from who they are and which car it is, so that the same row is the same customer.
func existingChat(x Existing) bot.ChatID {
	who, err := json.Marshal([]string{wording.Plain(x.Name), wording.Plain(x.Car), wording.Plain(x.Note)})
	if err != nil {
		panic("conversations: strings that cannot be written as JSON: " + err.Error())
	}
	sum := sha256.Sum256(bytes.ToLower(who))
	const bits = 48 // the platform's own ids stay below 2⁵², JSON numbers below 2⁵³
	return bot.ChatID(-(int64(1)<<bits | int64(binary.BigEndian.Uint64(sum[:8])>>(64-bits))))
}
