package conversations

import (
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Who is asked how much there is of something, or how bad it is, need not name a number:
// "loads", "hardly any", "dog yeah" where a description begins with the dog. What is open is
// answered by it, whatever else it tells.

// gradesPlainly takes plain words for much, some and none, and the words of one of the
// descriptions, as the answer where a grade is asked for. It is said back as what it comes
// nearest to.
func (t *turn) gradesPlainly(w *reply) bool {
	of, ok := strings.CutPrefix(w.q.id, askCond)
	area, known := t.Rules.Area(pricing.Area(of))
	if !ok || !known || w.more == "" || t.Reader == nil || t.isQuestion(w.text) {
		return false
	}
	if o, ok := t.pick(w.p, w.text); ok && !slices.Contains(noAnswer, o.key) {
		return false
	}
	text := t.lessDoubt(w.text) // "dunno, loads"
	g := t.plainGrade(area, text)
	if g == 0 {
		g = t.plainFirst(area, text)
	}
	if g == 0 {
		g = t.describedGrade(area, text)
	}
	if g == 0 {
		return false
	}
	t.notes(w.e, w.text)
	words := t.word(wording.NearestGrade, wording.Facts{Count: int(g), Text: area.Grades[g-1]})
	t.acceptText(w.e, w.q, []string{strconv.Itoa(int(g))}, words, w.text)
	return true
}

// plainGrade is the grade that a text of nothing but plain words for much or little comes
// nearest to; 0 if it says anything else.
func (t *turn) plainGrade(area pricing.AreaRule, text string) pricing.Grade {
	if strings.TrimSpace(text) == "" {
		return 0
	}
	// Where there is mostly nothing, as of mould, a little is the second description.
	little := pricing.Light
	if area.OnlyIfTold && !shares(area.Grades[0], t.spelled(text)) {
		little = pricing.Fair
	}
	fine := pricing.Fair
	if area.OnlyIfTold {
		fine = pricing.Light
	}
	for _, as := range []struct {
		say wording.Key
		g   pricing.Grade
	}{
		{wording.SayHardlyAny, little}, {wording.SayClean, pricing.Light}, {wording.SayFine, fine},
		{wording.SaySome, pricing.Fair}, {wording.SayPlenty, pricing.Poor},
	} {
		if t.allOf(text, t.typed(as.say)) {
			return as.g
		}
	}
	return 0
}

// plainFirst is the grade that the first clause of a text gives in plain words, if nothing
// behind it says how much there is: "loads, and it stinks".
func (t *turn) plainFirst(area pricing.AreaRule, text string) pricing.Grade {
	first, rest, ok := cutAny(text, ",.;!\n")
	if !ok {
		first, rest, ok = strings.Cut(text, " and ")
	}
	g := pricing.Grade(0)
	if ok {
		g = t.plainGrade(area, first)
	}
	if g == 0 {
		return 0
	}
	said, r := t.spelled(rest), t.heardIn(rest)
	if t.speaksOf(said, wording.SayPlenty) || t.speaksOf(said, wording.SaySome) || t.speaksOf(said, wording.SayHardlyAny) || r.Grades[area.ID]+r.Nearest[area.ID] > 0 {
		return 0
	}
	return g
}

// shares tells whether a word of a description stands in a text, "nothing much" in "not much".
func shares(description, text string) bool {
	said := strings.Fields(text)
	return slices.ContainsFunc(strings.Fields(wording.Plain(description)), func(w string) bool { return slices.Contains(said, w) })
}

// describedGrade is the only description of an area of which a few words name something:
// "wet dog" where one begins "Dog, smoke"; 0 if several do or none, if the text says no to
// it, or grades something else.
func (t *turn) describedGrade(area pricing.AreaRule, text string) pricing.Grade {
	const most = 5                   // words that count
	r, strange := t.heardIn(text), 1 // and those of them that no description has
	other := len(r.Grades) + len(r.Flags)
	if r.Grades[area.ID] > 0 {
		other--
	}
	if other > 0 {
		strange = 0 // "milk" is of the smell, where that is asked about, "dog hair" is not
	}
	if len(r.Wants)+len(r.Excludes)+len(r.Vehicles)+len(r.When)+len(r.Asks) > 0 || r.Nearest[area.ID] > 0 {
		return 0
	}
	words := t.telling(text, other > 0)
	if words == nil || len(words) > most {
		return 0
	}
	fits, unknown := make([]int, len(area.Grades)), 0
	for _, w := range words {
		found := false
		for i, d := range area.Grades {
			if slices.ContainsFunc(strings.Fields(wording.Plain(d)), func(o string) bool { return sameWord(w, o) }) {
				fits[i]++
				found = true
			}
		}
		if !found {
			unknown++
		}
	}
	best := slices.Max(fits)
	only := slices.Index(fits, best)
	g := pricing.Grade(only + 1)
	switch clear := r.Grades[area.ID]; {
	case best == 0, best+unknown != len(words), unknown > strange, slices.Contains(fits[only+1:], best):
		return 0
	case clear > 0 && g >= clear: // "smells of smoke" is read without this; "musty" is less than a smell
		return 0
	}
	return g
}

// telling are the words of a text that say something of the state of a car: no small words,
// and no parts of it unless all are wanted; nil if the text denies something.
func (t *turn) telling(text string, all bool) (words []string) {
	small := slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayRoughly), t.typed(wording.SayAnd), t.typed(wording.SayPleased),
		t.typed(wording.SayYes), t.typed(wording.SayAsISaid))
	denies := slices.Concat(t.typed(wording.SayWithout), t.typed(wording.SayNo))
	asked := map[string]bool{} // what the questions name tells no description from another
	for _, a := range t.Rules.Areas() {
		for _, w := range strings.Fields(wording.Plain(a.Name + " " + a.Ask + " " + a.AskTold)) {
			asked[w] = true
		}
	}
	left := strings.Fields(t.spelled(text))
	for len(left) > 0 {
		if longestOf(denies, left) > 0 {
			return nil
		}
		n := longestOf(small, left)
		if n == 0 {
			if n = 1; all || !asked[left[0]] && !t.Reader.NamesPart(left[0]) {
				words = append(words, left[0])
			}
		}
		left = left[n:]
	}
	return words
}

// sameWord tells whether two words are one but for the ending of several: "crumb", "crumbs".
func sameWord(a, b string) bool { return a == b || a+"s" == b || a == b+"s" }
