package conversations

import (
	"regexp"
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Of a van many want only the cab done inside. The rules have no price for that, so that the
// owner reads it with the request, and the customer what their price counts.

// tellsCab takes that out of a text, and goes on with the rest of it. It reports whether
// nothing else was said.
func (t *turn) tellsCab(w *reply) bool {
	e := w.e
	if e.Car == nil || e.Car.Body != pricing.Van || isGuest(e.Chat) {
		return false
	}
	rest, said := t.lessCab(w.text)
	if !said {
		return false
	}
	e.Cab = w.text
	t.cabSaid = t.word(wording.OnlyCab, wording.Facts{})
	t.beside = t.cabSaid
	if rest != "" {
		w.text, w.more = rest, rest
		return false
	}
	if _, asked := e.Answers[askWants]; !asked { // then it is the inside that is wanted
		if inside := "interior"; !slices.Contains(e.Pending, inside) {
			w.text = t.label(wording.LabelInside)
			w.more = ""
			return false
		}
	}
	e.Rev++
	t.put(e, "")
	return true
}

// lessCab is a text without the words that only the cab is meant, and whether it has them.
func (t *turn) lessCab(text string) (rest string, said bool) {
	phrases := slices.Clone(t.typed(wording.SayCabOnly))
	slices.SortStableFunc(phrases, func(a, b string) int { return len(b) - len(a) })
	for _, p := range phrases {
		words := strings.Fields(p)
		for i := range words {
			words[i] = regexp.QuoteMeta(words[i])
		}
		at := regexp.MustCompile(`(?i)(^|\W)` + strings.Join(words, `[\s,]+`) + `(\W|$)`).FindStringIndex(text)
		if at == nil {
			continue
		}
		left := text[:at[0]] + " " + text[at[1]:]
		return strings.Trim(strings.TrimSpace(left), " ,.;:!–-"), true
	}
	return text, false
}
