package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/conversations/wording"
)

// Whether they want to be reminded is refused in more ways than with a no, and put off to
// a month or a season.

// refusesReminder tells whether a text says that no reminder is wanted: a no with its
// reason, or the reason alone, "I'm selling it".
func (t *turn) refusesReminder(text string) bool {
	said := wording.Plain(text)
	words := strings.Fields(said)
	if len(words) == 0 || t.isQuestion(text) {
		return false
	}
	if t.speaksOf(said, wording.SaySelling) || t.speaksOf(said, wording.LabelSold) {
		return true
	}
	const most = 10 // who says more than that has said something else too
	return len(words) <= most && longestOf(t.typed(wording.SayNo), words) > 0 && longestOf(t.typed(wording.SayPleased), words) == 0
}

// booksInstead takes a yes to the booking where it is asked whether they may be reminded:
// that is no consent to it, and it is asked once more. Who speaks of reminding is read as ever.
func (t *turn) booksInstead(w *reply) bool {
	said := wording.Plain(w.text)
	if w.q.id != askConsent || !t.speaksOf(said, wording.SayBooksIt) || t.speaksOf(said, wording.SayReminding) || t.refusesReminder(w.text) {
		return false
	}
	t.put(w.e, t.word(wording.BookingComes, wording.Facts{}))
	return true
}

// readReminder reads a no to the reminder.
func readReminder(t *turn, _ *Enquiry, text string) ([]string, bool) {
	return []string{"no"}, t.refusesReminder(text)
}

// seasonStarts are in which month each season begins that people put something off to.
var seasonStarts = map[wording.Key]time.Month{wording.SaySpring: time.March, wording.SaySummer: time.June, wording.SayAutumn: time.September, wording.SayWinter: time.December, wording.SayNewYear: time.January}

// monthNamed is the month a text names, or the one in which the season begins that it does;
// of several the first.
func (t *turn) monthNamed(said string) (month time.Month, ok bool) {
	at := len(said) + 2
	find := func(m time.Month, ways []string) {
		for _, w := range ways {
			if i := strings.Index(" "+said+" ", " "+w+" "); i >= 0 && i < at {
				at, month, ok = i, m, true
			}
		}
	}
	for _, words := range t.hears() {
		for i, name := range words.Typed(wording.SayMonths) {
			find(time.Month(i+1), []string{name})
		}
	}
	for k, m := range seasonStarts {
		find(m, t.typed(k))
	}
	return month, ok
}

// laterIn is in how many weeks the month or season begins to which a text puts something
// off: "not just now, ask me in the autumn", "sometime in March". Who says yes as well, or
// asks for it, would come then, and is not read so.
func (t *turn) laterIn(text string) (weeks int, ok bool) {
	said := wording.Plain(t.asRead(text))
	month, ok := t.monthNamed(said)
	if !ok || t.isQuestion(text) || !t.seasonAlone(text) && !t.speaksOf(wording.Plain(text), wording.SayAskLater) && !t.speaksOf(wording.Plain(text), wording.LabelLater) {
		return 0, false
	}
	now := t.now.In(t.Zone)
	at := time.Date(now.Year(), month, 1, 0, 0, 0, 0, t.Zone)
	if !at.After(now) {
		at = at.AddDate(1, 0, 0)
	}
	const week = 7 * 24 * time.Hour
	return int((at.Sub(now) + week - 1) / week), true
}

// seasonAlone tells whether a text names a month or a season, with nothing but small words
// beside it: "in the autumn", "sometime in March". A day in it is a day to come.
func (t *turn) seasonAlone(text string) bool {
	beside := strings.Fields(strings.Join(t.typed(wording.SaySometime), " "))
	seasons := t.typed(wording.SayMonths)
	for k := range seasonStarts {
		seasons = append(seasons, t.typed(k)...)
	}
	_, named := t.monthNamed(wording.Plain(t.asRead(text)))
	for words := strings.Fields(wording.Plain(text)); len(words) > 0; {
		n := longestOf(seasons, words)
		if n == 0 && !slices.Contains(beside, words[0]) {
			return false
		}
		words = words[max(n, 1):]
	}
	return named
}

// putsOff tells whether a text says "not now", with little and friendly words beside it.
func (t *turn) putsOff(text string) bool {
	words := strings.Fields(wording.Plain(text))
	const most = 8
	return len(words) <= most && !t.isQuestion(text) && t.saysJust(text, slices.Concat(t.typed(wording.LabelLater), t.typed(wording.SayAskLater)))
}
