package conversations

import (
	"slices"
	"strconv"
	"strings"
	"unicode"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Not everybody answers with the words of a button: "the second one", "yep", a thumb up;
// and many do not know. Each of these leads on. What is gone by for somebody who does not
// know can be changed later, and the owner reads that they were not sure.

// listed are the questions of which an answer may be named by its place on the list. At
// the price, the photos and the last yes the buttons are ways on and no list; the times
// see to it themselves.
var listed = []string{askWhich, askBody, askSite, askSurface, askServices, askDrain, askMiles, askBudget, askConsent}

// noAnswer are the choices that answer nothing, and have no place on a list.
var noAnswer = []string{choiceOther, choiceUnsure, choiceTell}

// meansOne is the option that a text names otherwise than in its words: with a yes or no,
// or by its place on the list.
func (t *turn) meansOne(q *question, p prompt, text string) (option, bool) {
	for _, k := range []wording.Key{wording.SayYes, wording.SayNo} {
		ways := t.typed(k)
		if !slices.Contains(ways, text) && !t.allOf(text, ways) {
			continue
		}
		found := slices.DeleteFunc(slices.Clone(p.options), func(o option) bool {
			return !slices.ContainsFunc(o.typed, func(w string) bool { return slices.Contains(ways, w) })
		})
		if len(found) == 1 {
			return found[0], true
		}
	}
	if !slices.Contains(listed, q.id) && !strings.HasPrefix(q.id, askCond) {
		return option{}, false
	}
	offers := slices.DeleteFunc(slices.Clone(p.options), func(o option) bool { return slices.Contains(noAnswer, o.key) })
	i := t.placeSaid(text, len(offers))
	if n, err := strconv.Atoi(wording.Plain(text)); q.read == nil && err == nil && n <= len(offers) {
		i = n - 1
	}
	if i < 0 {
		return option{}, false
	}
	return offers[i], true
}

// isUnsure tells whether a text says that somebody does not know, or does not mind. A
// question of theirs is more than that.
func (t *turn) isUnsure(text string) bool {
	if strings.Contains(text, "?") {
		return false
	}
	const most = 16 // words; who says more has said something else too
	words := strings.Fields(wording.Plain(text))
	return len(words) <= most && (t.speaksOf(strings.Join(words, " "), wording.LabelNotSure) ||
		t.allOf(text, slices.Concat(t.typed(wording.LabelNotSure), t.typed(wording.SayEither), t.typed(wording.SayPass))))
}

// lessDoubt is a text without its ways of not knowing.
func (t *turn) lessDoubt(text string) string {
	if !t.speaksOf(wording.Plain(text), wording.LabelNotSure) {
		return text
	}
	said := " " + wording.Plain(text) + " "
	for _, w := range t.typed(wording.LabelNotSure) {
		said = strings.ReplaceAll(said, " "+wording.Plain(w)+" ", " ")
	}
	return strings.TrimSpace(said)
}

// thinksItOver tells whether a text puts off what is asked, where it can be put off: the
// price, a time, the last yes.
func (t *turn) thinksItOver(q *question, text string) bool {
	if q.id != askQuote && q.id != askSlot && q.id != askConfirm || strings.Contains(text, "?") {
		return false
	}
	return t.speaksOf(wording.Plain(text), wording.SayThinkIt) || q.id != askSlot && (slices.Contains(t.typed(wording.SayNo), text) || t.allOf(text, t.typed(wording.SayNo)))
}

// leadsOn answers a question for somebody who does not know: with what is most
// usual, or costs nobody more than they were told. It reports whether it said anything.
func (t *turn) leadsOn(e *Enquiry, q *question, p prompt, text string) bool {
	ofState := !strings.HasPrefix(q.id, askCond) && t.speaksOf(wording.Plain(text), wording.SayHowDirty) // asked later
	if isGuest(e.Chat) || ofState || !t.isUnsure(text) && !t.thinksItOver(q, text) {
		return false
	}
	by := func(k wording.Key, answer ...string) bool {
		t.beside = strings.TrimPrefix(t.beside+"\n\n"+t.word(k, wording.Facts{}), "\n\n")
		t.accept(e, q, answer, echo(labels(q.ask(t, e), answer)))
		e.Unsure = append(e.Unsure, q.id)
		return true
	}
	switch q.id {
	case askVehicle:
		t.accept(e, q, []string{t.word(wording.SomeCar, wording.Facts{})}, "")
		e.Unsure = append(e.Unsure, q.id)
	case askWhich:
		return by(wording.ForNow, biggest(e.Cars))
	case askWants:
		e.Pending = []string{"exterior", "interior"} // so that both have a label
		return by(wording.ForNow, e.Pending...)
	case askSite:
		return by(wording.ForNow, "own")
	case askSurface:
		return by(wording.ForNow, "driveway")
	case askServices:
		return by(wording.ForNow, "neither") // we bring both, then
	case askDrain:
		return by(wording.ForNow, choiceUnknown)
	case askMiles:
		return by(wording.ForNow, distances[len(distances)/2].key)
	case askAddress:
		t.accept(e, q, []string{addressLater}, "")
	case askHazards:
		t.beside = t.word(wording.HazardsUnsure, wording.Facts{})
		t.accept(e, q, []string{choiceDone}, echo([]string{t.label(wording.LabelNotSure)}))
		e.Unsure = append(e.Unsure, q.id)
	case askConsent:
		t.beside = t.word(wording.ConsentLater, wording.Facts{})
		t.accept(e, q, []string{"no"}, "") // a yes is said, or it is none
	case askPhoto:
		t.accept(e, q, []string{choiceSkip}, echo([]string{t.label(wording.LabelSkip)}))
	case askBudget:
		t.back(e)
	case askSlot:
		if first := p.options; len(first) > 0 && isSlot(first[0].key) && t.allOf(text, t.typed(wording.SayEither)) {
			t.acceptText(e, q, []string{first[0].key}, "", "")
			return true
		}
		t.noRush(e)
	case askQuote:
		t.noRush(e)
	case askConfirm:
		t.put(e, t.word(wording.NoRushHeld, wording.Facts{When: t.Words.Moment(e.Slot.Start.In(t.Zone)), Minutes: t.heldFor(e)}))
	default:
		o := slices.IndexFunc(p.options, func(o option) bool { return o.key == choiceUnsure })
		if o < 0 {
			return false
		}
		t.accept(e, q, []string{choiceUnsure}, echo([]string{p.options[o].label}))
	}
	return true
}

// noRush says until when they may think about the price.
func (t *turn) noRush(e *Enquiry) {
	if e.Quote == nil || e.Quote.Refused != "" || e.Quote.NeedSee != "" {
		t.put(e, "")
		return
	}
	t.put(e, t.word(wording.NoRush, wording.Facts{When: t.Words.Date(e.Quote.Until.In(t.Zone))}))
}

// biggest is the choice that is the biggest of some cars.
func biggest(cars []pricing.Vehicle) string {
	best := 0
	for i, c := range cars {
		if soft := c.SoftTopArea() > 0; soft != (cars[best].SoftTopArea() > 0) {
			if !soft {
				best = i // whoever has a soft top knows it
			}
			continue
		}
		if c.OutsideSize() > cars[best].OutsideSize() {
			best = i
		}
	}
	return string(rune('a' + best))
}

// sign is a text of nothing but signs, such as a thumb up, as the first of them without
// what colours it, and else the text as it is.
func sign(text string) string {
	var first string
	for _, r := range text {
		switch {
		case unicode.IsSpace(r) || !isNoSymbol(r) && first != "" || unicode.Is(unicode.Mn, r) || unicode.Is(unicode.Sk, r):
		case isNoSymbol(r) && !strings.ContainsRune("?!.", r):
			return text
		case first == "" && !isNoSymbol(r):
			first = string(r)
		}
	}
	if first == "" {
		return text
	}
	return first
}

// notSure are what somebody was not sure of, as the owner reads it beside a request.
func (t *turn) notSure(e *Enquiry) (lines []string) {
	of := map[string]wording.Key{askVehicle: wording.LabelTheCar, askWhich: wording.LabelTheCar, askBody: wording.LabelTheCar, askWants: wording.LabelTheWork, askHazards: wording.LabelTheHazards}
	for _, q := range e.Unsure {
		k, ok := of[q]
		if !ok {
			k = wording.LabelThePlace
		}
		if line := t.label(k) + ": " + t.label(wording.RestsUnsure); !slices.Contains(lines, line) {
			lines = append(lines, line)
		}
	}
	return lines
}

// What is kept of what nobody understood.
const (
	mostNoted   = 10
	longestNote = 400 // in letters
	leastNote   = 4   // in words: fewer are an answer gone wrong
)

// notes keeps what somebody says that answers nothing and asks nothing, "the dog is in the
// yard till five", for the owner to read with the request. It reports whether it did.
func (t *turn) notes(e *Enquiry, text string) bool {
	if isGuest(e.Chat) || len(strings.Fields(wording.Plain(text))) < leastNote || len(e.Noted) >= mostNoted {
		return false
	}
	if r := []rune(text); len(r) > longestNote {
		text = string(r[:longestNote])
	}
	if !slices.Contains(e.Noted, text) {
		e.Noted = append(e.Noted, text)
	}
	return true
}

// unfollowed is what is said of a text of which nothing was understood.
func (t *turn) unfollowed(e *Enquiry, q *question, text string) wording.Key {
	words := strings.Fields(wording.Plain(text))
	const short = 8
	switch {
	case len(words) > 1 && len(words) <= short && t.speaksOf(strings.Join(words, " "), wording.SayThinkIt),
		q.id == askPhoto && (t.allOf(text, t.typed(wording.SayYes)) || t.means(t.spelled(text), wording.LabelMoveYes)):
		return wording.RightYouAre
	case t.notes(e, text):
		return wording.NotedDown
	case strings.HasPrefix(q.id, askCond):
		return wording.WhichIsNearest
	case t.allOf(text, t.typed(wording.SayYes)):
		return wording.WhichOfThese
	}
	return wording.NotFollowed
}
