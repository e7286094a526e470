package when

import (
	"slices"
	"strings"
	"time"
)

// correction reads the "no" that a text begins with. "No, Friday this week at 12" puts
// right what was understood before: a day and an hour on it are named to be had, and
// whoever will not have them says "not Friday at 12". Otherwise it refuses.
func (r *reader) correction() {
	if len(r.words) == 0 || r.words[0] != "no" {
		return
	}
	r.words = slices.Clone(r.words)
	r.words[0] = "not"
	at := 1
	for w := r.look(at); w == "," || w == "on" || w == "the"; w = r.look(at) {
		at++
	}
	first := at
	for d, ok := r.days(at); ok && !strings.HasSuffix(r.look(at), "days"); d, ok = r.days(at) {
		at += d.words
	}
	if _, ok := r.part(at); ok && at > first {
		r.at = 1
	}
}

// bareHour reads a number alone behind a day, "Friday then 12", where it can be no date:
// it stands at the end of what is said, and the day is not on that date.
func (r *reader) bareHour(d days) {
	at, then := r.at, false
	for w := r.look(at); w == "then" || w == "please" || w == ","; w = r.look(at) {
		then = then || w == "then"
		at++
	}
	if r.run4(at, d) {
		return
	}
	n := atoi(r.look(at))
	if n < 1 || n > 12 || len(d.weekdays) > 1 || d.window() || r.look(at-1) == "," {
		return
	}
	switch r.look(at + 1) {
	case "", ".", "please", "then", "ok", "if", "is", "works", "suits", "sounds", "would", "will":
	default:
		if r.noGood(at+1) == 0 {
			return
		}
	}
	if !then && len(d.weekdays) == 1 && r.onDate(n, d.weekdays[0]) {
		return // "Friday 7" may be the 7th
	}
	m, words, why, ok := r.clock(at, true)
	if !ok {
		return
	}
	r.at = at
	r.addHours(near(words, m, 15, why))
	r.at += words
}

// onDate tells whether such a day of a month is on a day of the week in the next weeks.
func (r *reader) onDate(n int, w time.Weekday) bool {
	const near = 35 // days: whoever means a date farther off names its month
	for day := range near {
		if t := r.day(day); t.Day() == n && t.Weekday() == w {
			return true
		}
	}
	return false
}

// run4 reads an hour without its colon behind a day, "sat 930", "Friday 1430": not a year,
// nor what no clock is set to.
func (r *reader) run4(at int, d days) bool {
	w := r.look(at)
	if len(w) < 3 || len(w) > 4 || strings.Trim(w, "0123456789") != "" || len(d.weekdays) > 1 || d.window() || r.look(at-1) == "," {
		return false
	}
	const first, last, grid = 6, 19, 5 // hours that anybody works, and minutes
	n := atoi(w)
	if h, m := n/100, n%100; h < first && len(w) == 4 || h > last || m > 59 || m%grid != 0 {
		return false
	}
	m := n/100*60 + n%100
	if m < first*60 {
		m += 12 * 60 // "fri 230"
	}
	r.at = at
	r.addHours(near(1, m, 15, ""))
	r.at++
	return true
}
