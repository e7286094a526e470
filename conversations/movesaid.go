package conversations

import (
	"regexp"
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// dayAndHour is a day of the week with a bare hour behind it: "fri 9".
var dayAndHour = regexp.MustCompile(`(?i)\b((?:mon|tue|wed|thu|fri|sat|sun)[a-z]*|tomorrow|tmrw) (1[0-2]|[1-9])$`)

// hourBehindDay is a text in which a bare hour behind a day is said to be one.
func hourBehindDay(text string) string {
	return dayAndHour.ReplaceAllString(strings.TrimSpace(text), "$1 at $2")
}

// moveNamed takes a name with another time, "move kai to fri", "kai fri 9am", and offers
// what there is at it: nothing is moved by a word alone. It reports whether the text was
// that.
func (t *turn) moveNamed(c *Chat, e *Enquiry, text string) bool {
	if e.Stage != Booked || t.atTheCar(e) || t.languageOf(c.ID) != "" || strings.Contains(text, "?") {
		return false
	}
	names := slices.Concat(t.namesIn(e.Name), t.namesIn(carName(e)))
	moves := false
	var rest []string
	for _, w := range strings.Fields(text) {
		plain := wording.Plain(w)
		switch {
		case isName(names, plain):
		case slices.Contains(t.typed(wording.SayMoveTo), plain):
			moves = true
		default:
			rest = append(rest, w)
		}
	}
	at := strings.Join(rest, " ")
	if at == "" || !moves && !strings.ContainsAny(at, "0123456789") {
		return false
	}
	return t.namesTime(e, Owner, at, true, true)
}
