package conversations

import (
	"regexp"
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

// readReminder reads a no to the reminder.
func readReminder(t *turn, _ *Enquiry, text string) ([]string, bool) {
	return []string{"no"}, t.refusesReminder(text)
}

// seasons are when each begins that people put something off to.
var seasons = map[string]time.Month{"spring": time.March, "summer": time.June, "autumn": time.September, "winter": time.December, "christmas": time.December, "xmas": time.December, "new year": time.January}

// putOff is a text that names a month or a season to be asked again in.
var putOff = regexp.MustCompile(`\b(spring|summer|autumn|winter|christmas|xmas|new year|january|february|march|april|may|june|july|august|september|october|november|december)\b`)

// laterIn is in how many weeks the month or season begins to which a text puts something
// off: "not just now, ask me in the autumn", "sometime in March". Who says yes as well, or
// asks for it, would come then, and is not read so.
func (t *turn) laterIn(text string) (weeks int, ok bool) {
	said := wording.Plain(t.asRead(text))
	found := putOff.FindStringSubmatch(said)
	if found == nil || t.isQuestion(text) || !t.seasonAlone(text) && !t.speaksOf(wording.Plain(text), wording.SayAskLater) && !t.speaksOf(wording.Plain(text), wording.LabelLater) {
		return 0, false
	}
	month, season := seasons[found[1]]
	for m := time.January; m <= time.December && !season; m++ {
		if strings.EqualFold(m.String(), found[1]) {
			month = m
			break
		}
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
	season := func(word string) string { return wording.Plain(t.asRead(word)) }
	words := strings.Fields(strings.ReplaceAll(wording.Plain(text), "new year", "january"))
	beside := strings.Fields(strings.Join(t.typed(wording.SaySometime), " "))
	named := 0
	for _, w := range words {
		switch found := putOff.FindString(season(w)); {
		case found != "":
			named++
		case !slices.Contains(beside, w):
			return false
		}
	}
	return named == 1
}

// putsOff tells whether a text says "not now", with little and friendly words beside it.
func (t *turn) putsOff(text string) bool {
	words := strings.Fields(wording.Plain(text))
	const most = 8
	return len(words) <= most && !t.isQuestion(text) && t.saysJust(text, slices.Concat(t.typed(wording.LabelLater), t.typed(wording.SayAskLater)))
}
