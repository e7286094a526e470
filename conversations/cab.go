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
	if !e.isVan() || isGuest(e.Chat) {
		return false
	}
	rest, said := t.lessCab(w.text)
	if !said {
		return false
	}
	e.Cab = shortened(w.text, longestNote)
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

// cab keeps what a text says of the cab beside other things.
func (h *heard) cab() {
	if _, said := h.lessCab(h.text); said && h.e.isVan() && h.e.Cab == "" {
		h.e.Cab = shortened(h.text, longestNote)
		h.tell(h.word(wording.SaidCab, wording.Facts{}))
	}
}

// isVan tells whether the car is a van.
func (e *Enquiry) isVan() bool { return e.Car != nil && e.Car.Body == pricing.Van }

// ofVan are lines with the words for the shape of a van, if it is one: it has no boot.
func (t *turn) ofVan(e *Enquiry, lines []string) []string {
	if !e.isVan() {
		return lines
	}
	out := slices.Clone(lines)
	for i, l := range out {
		out[i] = strings.ReplaceAll(l, t.word(wording.TheBoot, wording.Facts{}), t.word(wording.VanBoot, wording.Facts{}))
	}
	return out
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
