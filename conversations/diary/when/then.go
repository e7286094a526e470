package when

import (
	"slices"
	"time"

	"example.org/dryhand/conversations/diary"
)

// Days that are told from another day: the one before which it is to be, "we fly on the
// 24th, so before that", and "the Saturday after" it. Where the text names none, it is that
// of the moments it may be told from.

// beforeThat reads "before then" and "by then" of a day that was named, or is named behind
// it: that day bounds what is wanted and is not wanted itself. "Thursday or Friday before?"
// is before what is on the table.
func (r *reader) beforeThat() bool {
	how, words := r.word(0), 2
	if how != "before" && (how != "by" || r.word(1) == "") {
		return false
	}
	switch r.word(1) {
	case "then", "that", "it", "this":
	default:
		words = 1
	}
	if how == "by" && words == 1 || !r.stops(r.at+words) {
		return false
	}
	behind := r.last.words > 0 && r.lastEnd == r.at // "Thursday or Friday before that"
	switch {
	case r.last.words > 0 && !(behind && (words == 1 || len(r.list) > 0)):
		d := r.last
		r.unname()
		r.boundDays(how, d)
		r.m.Then = true
	case len(r.base) > 0 && behind:
		r.beforeBase()
	case words == 2:
		r.awaits, r.strays = how, len(r.m.Unread)
	default:
		return false
	}
	r.at += words
	return true
}

// beforeBase bounds what is wanted by the day it is told from.
func (r *reader) beforeBase() {
	r.told = true
	r.push()
	if len(r.list) == 0 {
		r.list = append(r.list, diary.Times{})
	}
	for i := range r.list {
		if t, ok := both(r.list[i], diary.Times{To: midnight(r.first())}); ok {
			r.list[i] = t
		}
	}
}

// stops tells whether what stands at a word can follow "before that": "before that I'm at
// work" bounds nothing.
func (r *reader) stops(at int) bool {
	switch r.look(at) {
	case "please", "pls", "thanks", "ideally", "really", "though", "as", "because", "cos":
		return true
	}
	return r.ends(at)
}

// awaited takes the day that is named behind "before then" as the one that was meant: "the
// trip is on the 24th". Of "before then please, Thursday" the day is wanted, where there is
// another that it may be before.
func (r *reader) awaited(d days) bool {
	if r.awaits == "" || len(r.base) > 0 && len(r.m.Unread) == r.strays {
		return false
	}
	r.boundDays(r.awaits, d)
	r.m.Then = true
	r.awaits, r.last = "", d
	return true
}

// unawaited does what can be done with a "before then" behind which no day was named.
func (r *reader) unawaited() {
	switch {
	case r.awaits == "":
	case len(r.base) > 0:
		r.beforeBase()
	default:
		r.m.Unread = append(r.m.Unread, r.awaits)
	}
}

// unname takes the days last named out of what is wanted.
func (r *reader) unname() {
	if !r.m.Only.From.IsZero() && r.last.first.Equal(r.m.Only.From) {
		r.m.Only.From = time.Time{} // "away from the 24th, so before that"
		return
	}
	switch of := [][]diary.Times{r.list, r.m.Prefer}; {
	case hasDays(r.current):
		r.current = dropDays(r.current)
	case len(of[0]) > 0:
		r.list = withoutDays(of[0])
	case len(of[1]) > 0:
		r.m.Prefer = withoutDays(of[1])
	}
}

// withoutDays are alternatives without the days of the last one.
func withoutDays(list []diary.Times) []diary.Times {
	list = slices.Clone(list)
	last := dropDays(list[len(list)-1])
	if list = list[:len(list)-1]; !last.Any() {
		list = append(list, last)
	}
	return list
}

// theDayWeGo reads "that's the day we go" of the day it is told from: nothing can be on it,
// nor later.
func (r *reader) theDayWeGo() bool {
	words := 0
	switch r.word(0) {
	case "thats", "its":
		words = 1
	case "that", "it":
		if r.word(1) == "is" {
			words = 2
		}
	}
	if words == 0 || len(r.base) == 0 || r.word(words) != "the" && r.word(words) != "our" || r.word(words+1) != "day" {
		return false
	}
	goes := words + 2
	if w := r.word(goes); w != "we" && w != "were" && w != "i" && w != "im" && w != "they" {
		return false
	}
	leaves := false
	for r.word(goes) != "" && r.word(goes) != "," && r.word(goes) != "." && goes < mostProse+words {
		if _, ok := r.days(r.at + goes); ok {
			break
		}
		leaves = leaves || slices.Contains([]string{"go", "going", "leave", "leaving", "fly", "flying", "travel", "travelling", "drive", "away", "off", "set", "move", "moving", "need"}, r.word(goes))
		goes++
	}
	if !leaves {
		return false
	}
	day := midnight(r.first())
	r.told = true
	r.limit("before", days{first: day, last: day})
	r.at += goes
	return true
}

// dayAfter reads "the Saturday after", "the weekend after that".
func (r *reader) dayAfter(at int) (days, bool) {
	w, ok := weekday(r.look(at))
	long := 0
	if r.look(at) == "weekend" {
		w, long, ok = time.Saturday, 1, true
	}
	if !ok || r.look(at+1) != "after" || !r.ends(at+2) {
		return days{}, false
	}
	words := 2
	if r.look(at+2) == "that" {
		words = 3
	}
	var from time.Time
	switch {
	case r.last.words > 0 && len(r.last.weekdays) == 1:
		from = r.coming(r.last.weekdays[0])
	case r.last.words > 0 && !r.last.last.IsZero():
		from = r.last.last
	case len(r.base) > 0:
		r.told = true
		from = midnight(slices.MaxFunc(r.base, time.Time.Compare))
	default:
		r.told = true
		from = after(r.coming(w), long)
	}
	day := after(from, 1+(int(w-from.Weekday())+6)%7)
	if long == 0 {
		return date(words, day), true
	}
	return window(words, day, after(day, long)), true
}

// first is the earliest moment that is told from.
func (r *reader) first() time.Time { return slices.MinFunc(r.base, time.Time.Compare) }

func midnight(t time.Time) time.Time { return after(t, 0) }

// farAhead is for how many days a day of the week and a number are looked for together:
// no diary is open for longer.
const farAhead = 62

// numbered reads a day of the week with the number of its date, "thurs 22", "Tuesday the
// 20th": the first day ahead that is both. Where there is none it is a mismatch, of the
// next such date and the day of the week nearest to it.
func (r *reader) numbered(at int) (days, bool) {
	w, ok := weekday(r.look(at))
	if !ok {
		return days{}, false
	}
	next := at + 1
	for r.look(next) == "the" {
		next++
	}
	said := r.look(next)
	n, ok := ordinal(said)
	if !ok {
		return days{}, false
	}
	plain := atoi(said) == n
	if _, named := month(r.look(next + 1)); named || r.look(next+1) == "of" || plain && n <= 12 {
		return days{}, false
	}
	words := next + 1 - at
	for day := range farAhead {
		if t := r.day(day); t.Day() == n && t.Weekday() == w {
			return date(words, t), true
		}
	}
	if plain && r.counts(next+1) {
		return days{}, false
	}
	d := r.ofMonth(n)
	if d.first.IsZero() {
		return days{words: words, why: NoSuchDate}, true
	}
	return days{words: words, why: Mismatch, on: []string{key(d.first), r.nearest(d.first, w)}}, true
}

// counts tells whether a word makes the number before it no date: "Friday 15 quid", "Monday
// 14 to 16".
func (r *reader) counts(at int) bool {
	switch r.look(at) {
	case "-", "to", "until", "quid", "pounds", "people", "of", "mins", "minutes", "min", "hours", "hrs", "miles", "days", "weeks", "months", "years", "year", "am", "pm", "oclock", "hundred", "plus", "cars", "/":
		return true
	}
	return false
}
