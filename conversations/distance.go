package conversations

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// What people say of how far away they are, wherever they are asked something else.

// choiceFarther: it is beyond the distances on the buttons, and only a number will do.
const choiceFarther = "farther"

func putMiles(t *turn, e *Enquiry) prompt {
	p := sited(wording.AskMiles, distances)(t, e)
	p.options = append(p.options, t.choose(choiceFarther, wording.LabelFarther))
	return p
}

// asideMiles asks those who are farther away for the number.
func asideMiles(t *turn, _ *Enquiry, choice string) (string, bool) {
	if choice != choiceFarther {
		return "", false
	}
	return t.word(wording.MilesPlease, wording.Facts{}), true
}

// tookMiles says a distance back that was typed; one that was tapped has its label.
func tookMiles(t *turn, e *Enquiry) string {
	n := e.answer(askMiles)
	if _, button := reaches[n]; button {
		return ""
	}
	return "✓ " + t.word(wording.SaidMiles, wording.Facts{Text: n})
}

// reaches are the miles a button stands for, from and to.
var reaches = map[string][2]int{"5": {0, 8}, "12": {8, 15}, "20": {15, 25}}

// minutesSaid finds a way that is told by how long it takes.
var minutesSaid = regexp.MustCompile(`(?i)\b(mins?|minutes?|hours?|hrs?|min\.?)\b`)

// milesAgain takes a distance that is named when it has been asked already, or is not
// asked: "8 to 15", "its 10 miles not 8". Another than before counts from now on, and the
// price with it. It reports whether the text was about that, and what to say.
func (t *turn) milesAgain(e *Enquiry, q *question, text string) (string, bool) {
	const most = 12 // words; who says more says something else too
	if q.id == askMiles || !workable(t, e) || len(strings.Fields(text)) > most || t.isQuestion(text) {
		return "", false
	}
	n, button := "", false
	p := sited(wording.AskMiles, distances)(t, e)
	for _, o := range p.options {
		if slices.ContainsFunc(o.typed, func(w string) bool { return strings.ContainsAny(w, "0123456789") }) && t.allOf(text, slices.DeleteFunc(slices.Clone(o.typed), func(w string) bool { return !strings.ContainsAny(w, "0123456789") })) {
			n, button = o.key, true
		}
	}
	if !button {
		said, ok := milesSaid(t.asRead(text))
		if !ok {
			return "", false
		}
		n = said
	}
	was := e.answer(askMiles)
	now, _ := strconv.Atoi(n)
	miles, _ := strconv.Atoi(was)
	if covers(was, now) || button && was != "" && covers(n, miles) || e.Place != nil && !farApart(now, miles) {
		return t.word(wording.HaveThat, wording.Facts{}), true
	}
	if exact(e) {
		return t.word(wording.MilesShown, wording.Facts{Count: miles}), true
	}
	if e.Place != nil && !t.pricePut(e) && !priceAgreed(t, e) { // whoever insists does so at the price
		return t.milesDiffer(e, n), true
	}
	if e.Place != nil { // where the postcode lies
		t.notes(e, text)
		t.beside = joinLines(t.beside, t.word(wording.MilesTaken, wording.Facts{Count: miles, Text: n}))
	}
	if was != "" {
		t.revise(e, askMiles)
	}
	h := &heard{turn: t, e: e}
	h.fill(askMiles, n)
	if button {
		h.tell(labels(p, []string{n})[0])
	} else {
		h.tell(t.word(wording.SaidMiles, wording.Facts{Text: n}))
	}
	h.keep()
	e.At = ""
	return t.understood(h.said), true
}

// postcodeBeside takes a postcode that stands beside a number of miles where it is asked how
// far it is: the postcode counts, and where the two cannot both be right that is said. It
// reports whether there was one.
func (t *turn) postcodeBeside(e *Enquiry, q *question, text string) bool {
	n, ok := milesSaid(t.asRead(text))
	if q.id != askMiles || !ok || t.Reader == nil {
		return false
	}
	r := t.heardIn(text)
	at, known := diary.Outward(r.Place.Postcode)
	if !known || r.Place.Postcode == "" {
		return false
	}
	t.locate(e, at)
	lead := t.takeIn(e, q, e.Answers[askMiles], "")
	t.put(e, joinLines(lead, t.milesDiffer(e, n)))
	return true
}

// milesDiffer is what is said of a distance somebody names where a postcode of theirs lies
// somewhere else; empty if the two agree.
func (t *turn) milesDiffer(e *Enquiry, said string) string {
	n, err := strconv.Atoi(said)
	by, err2 := strconv.Atoi(e.answer(askMiles))
	if err != nil || err2 != nil || !farApart(n, by) {
		return ""
	}
	return t.word(wording.MilesDiffer, wording.Facts{Text: said, Count: by})
}

// farApart tells whether two distances in miles cannot be of the same way: nobody knows it
// to the mile, and by road it is longer.
func farApart(a, b int) bool { return max(a, b) > 2*min(a, b)+5 }

// covers tells whether so many miles are what has been said.
func covers(was string, miles int) bool {
	if r, ok := reaches[was]; ok {
		return r[0] <= miles && miles <= r[1]
	}
	return was == strconv.Itoa(miles)
}

// comesTo tells whether it is asked if we come to a place that is named: "do you come to
// Harrow Vale?". Whoever asks whether we come to people's homes names none.
func (t *turn) comesTo(text string) bool {
	_, ok := t.placeBehind(text, wording.SayDoYouCome)
	return ok
}

// placeNamed tells whether a text begins with saying where somebody is, in a place of
// which we know nothing else: "im in Fenwell".
func (t *turn) placeNamed(text string) bool {
	words := strings.Fields(wording.Plain(text))
	for len(words) > 0 && slices.Contains(t.typed(wording.SayAnd), words[0]) {
		words = words[1:]
	}
	_, ok := t.placeBehind(text, wording.SayImIn)
	return ok && longestOf(t.typed(wording.SayImIn), words) > 0
}

// placeBehind is the name of a place behind some words, up to where something else is
// spoken of.
func (t *turn) placeBehind(text string, k wording.Key) (string, bool) {
	if t.Reader == nil {
		return "", false
	}
	said := strings.Fields(text)
	plain := make([]string, len(said))
	for i, w := range said {
		plain[i] = wording.Plain(w)
	}
	small := slices.Concat(t.typed(wording.SayNoStreet), t.typed(wording.SayBeside), t.typed(wording.SayAnd), t.typed(wording.SayNoPlace))
	for i := range plain {
		n := longestOf(t.typed(k), plain[i:])
		if n == 0 {
			continue
		}
		from, to := i+n, i+n
		for to < len(said) && to < from+3 && !slices.Contains(small, plain[to]) && (to == from || !strings.ContainsAny(said[to-1][len(said[to-1])-1:], ".,;!?")) {
			to++
		}
		name := strings.Trim(strings.Join(said[from:to], " "), ".,;:!?")
		r := t.Reader.Read(name)
		if name == "" || r.Place.Postcode != "" || t.saysMore(name) || strings.ContainsAny(name, "0123456789") {
			continue
		}
		return name, true
	}
	return "", false
}

// inOurTown tells whether a text says that somebody is in the town we are in, and nothing
// else: "I am in Calderwick", "Calderwick too".
func (t *turn) inOurTown(text string) bool {
	town := wording.Plain(t.Rules.Business.Town)
	if town == "" || t.Reader == nil || !strings.Contains(" "+wording.Plain(text)+" ", " "+town+" ") || t.isQuestion(text) {
		return false
	}
	name, _ := t.placeBehind(text, wording.SayImIn)
	return wording.Plain(name) == town || t.allOf(text, slices.Concat(t.typed(wording.SayImIn), []string{town}))
}

// ofPlaces is what a text says beside sentences on where somebody is and where we are,
// of which the name of our town gives no answer to anything else.
func (t *turn) ofPlaces(text string) (rest string, some bool) {
	var left []string
	for _, s := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(".,;!?\n", r) }) {
		named := t.placeNamed(s)
		town := wording.Plain(t.Rules.Business.Town)
		if named || town != "" && strings.Contains(" "+wording.Plain(s)+" ", " "+town+" ") && t.isUnsure(s) {
			some = true
			continue
		}
		left = append(left, strings.TrimSpace(s))
	}
	return strings.Join(slices.DeleteFunc(left, func(s string) bool { return s == "" }), ". "), some
}
