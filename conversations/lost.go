package conversations

import (
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"example.org/dryhand/conversations/wording"
)

// Not everybody answers with the words of a button: "the second one", "yep", a thumb up;
// and many do not know. Each of these leads on. What is gone by for somebody who does not
// know can be changed later, and the owner reads that they were not sure.

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
	if !q.listed {
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
		t.allOf(text, slices.Concat(t.typed(wording.LabelNotSure), t.typed(wording.SayEither), t.typed(wording.SayFlexible), t.typed(wording.SayPass))))
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
func (t *turn) leadsOn(w *reply) bool {
	ofState := !strings.HasPrefix(w.q.id, askCond) && t.speaksOf(wording.Plain(w.text), wording.SayHowDirty) // asked later
	if isGuest(w.e.Chat) || ofState || !t.isUnsure(w.text) && !t.thinksItOver(w.q, w.text) {
		return false
	}
	if w.q.unsure != nil {
		w.q.unsure(t, w)
		return true
	}
	o := slices.IndexFunc(w.p.options, func(o option) bool { return o.key == choiceUnsure })
	if o < 0 {
		return false
	}
	t.accept(w.e, w.q, []string{choiceUnsure}, echo([]string{w.p.options[o].label}))
	return true
}

// forNow leads on with an answer that is gone by for now, and can be changed later.
func forNow(answer func(*Enquiry) []string) func(*turn, *reply) {
	return func(t *turn, w *reply) {
		taken := answer(w.e)
		if w.q.several {
			w.e.Pending = taken // so that each has a label
		}
		t.beside = strings.TrimPrefix(t.beside+"\n\n"+t.word(wording.ForNow, wording.Facts{}), "\n\n")
		t.accept(w.e, w.q, taken, echo(labels(w.q.ask(t, w.e), taken)))
		w.e.Unsure = append(w.e.Unsure, w.q.id)
	}
}

// always is the same answer for everybody.
func always(answer ...string) func(*Enquiry) []string {
	return func(*Enquiry) []string { return slices.Clone(answer) }
}

func unsureCar(t *turn, w *reply) {
	t.accept(w.e, w.q, []string{t.word(wording.SomeCar, wording.Facts{})}, "")
	w.e.Unsure = append(w.e.Unsure, w.q.id)
}

func unsureAddress(t *turn, w *reply) { t.accept(w.e, w.q, []string{addressLater}, "") }

func unsureHazards(t *turn, w *reply) {
	t.beside = t.word(wording.HazardsUnsure, wording.Facts{})
	t.accept(w.e, w.q, []string{choiceDone}, echo([]string{t.label(wording.LabelNotSure)}))
	w.e.Unsure = append(w.e.Unsure, w.q.id)
}

// unsureReminder takes a no: a yes is said, or it is none.
func unsureReminder(t *turn, w *reply) {
	t.beside = t.word(wording.ConsentLater, wording.Facts{})
	t.accept(w.e, w.q, []string{"no"}, "")
}

func unsurePhoto(t *turn, w *reply) {
	t.accept(w.e, w.q, []string{choiceSkip}, echo([]string{t.label(wording.LabelSkip)}))
}

func unsureSum(t *turn, w *reply) { t.back(w.e) }

func unsurePrice(t *turn, w *reply) { t.noRush(w.e) }

// unsureTime takes the first time for somebody to whom all are alike.
func unsureTime(t *turn, w *reply) {
	if t.allOf(w.text, t.typed(wording.SayFlexible)) {
		w.e.Times, w.e.Only, w.e.Struck, w.e.Unclear, w.e.From = nil, nil, nil, nil, time.Time{}
		w.e.Rev++
		t.put(w.e, t.word(wording.FirstOfAll, wording.Facts{}))
		return
	}
	if first := w.p.options; len(first) > 0 && isSlot(first[0].key) && t.allOf(w.text, t.typed(wording.SayEither)) {
		t.acceptText(w.e, w.q, []string{first[0].key}, "", "")
		return
	}
	t.noRush(w.e)
}

func unsureConfirm(t *turn, w *reply) {
	t.put(w.e, t.word(wording.NoRushHeld, wording.Facts{When: t.Words.Moment(w.e.Slot.Start.In(t.Zone)), Minutes: t.heldFor(w.e)}))
}

// noRush says until when they may think about the price.
func (t *turn) noRush(e *Enquiry) {
	if e.Quote == nil || e.Quote.Refused != "" || e.Quote.NeedSee != "" {
		t.put(e, "")
		return
	}
	t.put(e, t.word(wording.NoRush, wording.Facts{When: t.Words.Date(e.Quote.Until.In(t.Zone))}))
}

// biggest is the choice that is the biggest of the cars in doubt.
func biggest(e *Enquiry) []string {
	best := 0
	for i, c := range e.Cars {
		if soft := c.SoftTopArea() > 0; soft != (e.Cars[best].SoftTopArea() > 0) {
			if !soft {
				best = i // whoever has a soft top knows it
			}
			continue
		}
		if c.OutsideSize() > e.Cars[best].OutsideSize() {
			best = i
		}
	}
	return []string{string(rune('a' + best))}
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
	for _, id := range e.Unsure {
		q := t.find(id)
		if q == nil || q.label == "" {
			continue
		}
		if line := t.label(q.label) + ": " + t.label(wording.RestsUnsure); !slices.Contains(lines, line) {
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
	words := strings.Fields(wording.Plain(text))
	tells := len(words) > 1 && longestOf(t.typed(wording.SayBeginsTelling), words) > 0
	back := slices.ContainsFunc(e.Noted, func(was string) bool { return t.unsays(text, was) })
	return (len(words) >= leastNote || tells || back) && t.keepsNote(e, text)
}

// volunteers tells whether a text, however short, says something of the car that nobody has
// asked: "no pets", "non smoker", "2016".
func (t *turn) volunteers(text string) bool {
	if t.allOf(text, t.typed(wording.SayVolunteered)) {
		return true
	}
	return t.Reader != nil && t.heardIn(text).Year > 0
}

// keepsNote is notes of a text of any length.
func (t *turn) keepsNote(e *Enquiry, text string) bool {
	if isGuest(e.Chat) || len(e.Noted) >= mostNoted {
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
	case t.notes(e, text), t.volunteers(text) && t.keepsNote(e, text):
		return wording.NotedDown
	case strings.HasPrefix(q.id, askCond):
		return wording.WhichIsNearest
	case t.allOf(text, t.typed(wording.SayYes)):
		return wording.WhichOfThese
	}
	return wording.NotFollowed
}
