package conversations

import (
	"regexp"
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// dayAndHour is a day of the week with a bare hour behind it: "fri 9".
var dayAndHour = regexp.MustCompile(`(?i)\b((?:mon|tue|wed|thu|fri|sat|sun)[a-z]*|tomorrow|tmrw) (1[0-2]|[1-9])$`)

// hourBehindDay is a text in which a bare hour behind a day is said to be one.
func hourBehindDay(text string) string {
	return dayAndHour.ReplaceAllString(strings.TrimSpace(text), "$1 at $2")
}

// moveNamed takes a name with another time, "move kai to fri", "kai fri 9am", "told kai
// fri 9 is fine", and offers what there is at it: nothing is moved by a word alone. Of a
// complaint it is the day by which it will be put right. It reports whether the text was
// that.
func (t *turn) moveNamed(c *Chat, e *Enquiry, text string) bool {
	snag := t.unmended(e)
	if e.Stage != Booked && snag == nil || t.atTheCar(e) || t.languageOf(c.ID) != "" || strings.Contains(text, "?") {
		return false
	}
	at, moves := t.exceptAgreed(e, text)
	if at == "" || !moves && !strings.ContainsAny(at, "0123456789") {
		return false
	}
	if snag != nil {
		return t.snagByNamed(c, e, at)
	}
	if m := when.Read(hourBehindDay(at), t.saidAt()); len(m.Prefer) == 1 && m.Prefer[0].StartFrom > 0 && len(m.Unread) == 0 && m.Prefer[0].Has(e.Slot.Start.In(t.Zone), e.Slot.End.In(t.Zone)) {
		t.opened(c, e) // it is at that time already
		return true
	}
	return t.namesTime(e, Owner, at, true, true)
}

// exceptAgreed is a text without whom it names and without the words that something has
// been agreed with them or is to be moved, and whether there were any of those.
func (t *turn) exceptAgreed(e *Enquiry, text string) (at string, moves bool) {
	names := slices.Concat(t.namesIn(e.Name), t.namesIn(carName(e)))
	ways := slices.Concat(t.typed(wording.SayMoveTo), t.typed(wording.SayAgreedTime))
	var rest []string
	for words := strings.Fields(text); len(words) > 0; {
		plain := strings.Fields(wording.Plain(strings.Join(words, " ")))
		switch n := longestOf(ways, plain); {
		case wording.Plain(words[0]) == "", isName(names, wording.Plain(words[0])):
			words = words[1:]
		case n > 0 && n <= len(words):
			moves, words = true, words[n:]
		default:
			rest, words = append(rest, words[0]), words[1:]
		}
	}
	return strings.Trim(strings.Join(rest, " "), " ,.!"), moves
}

// snagByNamed offers the day that is named as the one by which something is put right.
func (t *turn) snagByNamed(c *Chat, e *Enquiry, at string) bool {
	m := when.Read(hourBehindDay(at), t.saidAt())
	if len(m.Prefer) != 1 || len(m.Unread)+len(m.Doubts)+len(t.unclear(m)) > 0 {
		return false
	}
	n := t.daysTo(m.Prefer[0])
	if n == 0 {
		return false
	}
	t.tell(c.ID, wording.OwnerSnagByNamed, wording.Facts{Name: e.Name, Car: carName(e)},
		append(t.snagAtRows(e, m.Prefer[0]), []bot.Choice{t.byButton(e, n)}, []bot.Choice{t.own(e, pressWrite)})...)
	return true
}
