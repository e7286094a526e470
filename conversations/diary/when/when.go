// Package when reads the times that people name in a chat: "Saturday morning",
// "by the 14th", "next Tuesday after 2", "not Fridays". It is pure, and knows the
// British way to write a date and the words used for one.
//
// What can be read in two ways is reported as a [Doubt] and never decided here;
// what cannot be read is returned as it is.
package when

import (
	"slices"
	"time"

	"example.org/dryhand/conversations/diary"
)

// Meaning is what was understood of a text.
type Meaning struct {
	// Only are the bounds that were set: "by the 14th", "not Fridays".
	Only diary.Times
	// Prefer are the times that were named, any of them: "Saturday morning or
	// Tuesday after 2". Where a word has two readings, both are in.
	Prefer []diary.Times
	// Not are times that were struck out, "12 is no good", "not Tuesday afternoon": hours,
	// on the days that are set with them, or on any.
	Not []diary.Times
	// Ahead is the day before which it is to be, where that is how Only was said: "we
	// fly on the 24th, so before that". It is not among what is wanted.
	Ahead time.Time
	// Then tells that the bound stands apart from its day, as "before that" does.
	Then bool
	// Doubts are what should be asked about, in the order of the text.
	Doubts []Doubt
	// Unread are the words that said nothing, those that mean nothing in any
	// text ("please") apart.
	Unread []string
}

// Doubt is something that was said and can be meant in several ways.
type Doubt struct {
	Why Why
	// Phrase is what was said, in lower case.
	Phrase string
	// Dates are the days it may mean, by diary.Key, where it is about days; of a
	// mismatch the date, and the nearest one on that day of the week.
	Dates []string
}

// Why is the reason for a doubt.
type Why string

// The reasons.
const (
	// NextOrThis: "next Tuesday" said before a Tuesday of this week.
	NextOrThis Why = "next or this"
	// TodayOrLater: a day that is today, and comes again.
	TodayOrLater Why = "today or later"
	// Mismatch: the date is not on the day of the week that was named with it.
	// Neither is taken.
	Mismatch Why = "mismatch"
	// NoSuchDate: 31 June, a date written the other way round, or one years ahead.
	// It is left out.
	NoSuchDate Why = "no such date"
	// Past: a date with a year, or a window, that is over. It is left out.
	Past Why = "past"
	// HalfOfDay: an hour without am or pm that may be either. It is left out.
	HalfOfDay Why = "half of day"
	// Roughly: "in a fortnight" names a day and hardly means it alone. Three days
	// before and after are taken with it.
	Roughly Why = "roughly"
	// Scope: it is not clear to what a word belongs, as in "Monday or Tuesday
	// morning" (Monday is taken whole) or "not Fridays, Saturday" (Saturday is
	// taken for neither).
	Scope Why = "scope"
	// StartOrEnd: "between ten and two" may ask for a start, or for all of the
	// work. It is taken for a start.
	StartOrEnd Why = "start or end"
)

// longest is the longest text that is read, in bytes; of a longer one, the
// beginning.
const longest = 2000

// Read reads a text that was said at now, which is in the business's zone.
//
// A week begins on Monday. An hour without am or pm is the one from seven in
// the morning to seven at night. "Before" an hour bounds the start, "by" an hour
// the moment the car may be had back. A day of the month, or of a month without
// its year, is the next one.
func Read(text string, now time.Time) Meaning {
	m, _ := read(split(text[:min(len(text), longest)]), now, nil)
	return m
}

// read reads words that may tell of days from some moments, and tells whether they do.
func read(words []string, now time.Time, from []time.Time) (m Meaning, told bool) {
	r := reader{now: now, words: words, base: from}
	r.correction()
	for r.at < len(r.words) {
		if !r.joint() && !r.struck() && !r.theDayWeGo() && !r.engaged() && !r.refusal() && !r.beforeThat() && !r.bound() && !r.named() {
			r.skip()
		}
	}
	r.unawaited()
	r.push()
	r.settle()
	r.keepClear()
	return r.m, r.told
}

// reader is the way through a text.
type reader struct {
	now   time.Time
	words []string
	at    int
	m     Meaning
	// current is the alternative being read, and list the earlier ones that were
	// joined to it.
	current diary.Times
	list    []diary.Times
	// joined is the word that came since the last time named: "or", "and", ",".
	joined string
	// last are the days last named, for "at the latest", and lastEnd is the word behind
	// them.
	last    days
	lastEnd int
	// base are the moments days may be told from, and told that some are.
	base []time.Time
	told bool
	// awaits is the word of a bound whose day is still to be named, "before then", and strays
	// are the words that had said nothing by it.
	awaits string
	strays int
	only   bool
	// busy is the minute of the day they are engaged at, 0 if they say none.
	busy int
}

// word is the word so many ahead, empty beyond the end.
func (r *reader) word(ahead int) string {
	if i := r.at + ahead; i >= 0 && i < len(r.words) {
		return r.words[i]
	}
	return ""
}

// joint reads what stands between times.
func (r *reader) joint() bool {
	switch r.word(0) {
	case "or", "and", ",", "/", "&":
		r.joined = r.word(0)
	case ".":
		r.end()
	case "but":
		if r.butNot() {
			return false
		}
		r.end()
	case "only", "just":
		r.only = r.only || !r.onlyHas()
	default:
		return false
	}
	r.at++
	return true
}

// onlyHas tells whether "only" belongs to what somebody has, needs or asks: in "next week,
// only got 60 quid" it leaves no time out.
func (r *reader) onlyHas() bool {
	switch r.word(1) {
	case "got", "have", "had", "has", "need", "want", "wanted", "wondering", "asking", "looking", "saying", "been", "bought", "paid", "spend", "about", "around":
		return true
	}
	_, number := count(r.word(1))
	return number && r.word(1) != "a"
}

// end ends a list of alternatives.
func (r *reader) end() {
	r.push()
	if !r.narrows() {
		r.m.Prefer = append(r.m.Prefer, r.list...)
	}
	r.list, r.joined = nil, ""
}

// narrows takes hours that were named alone for those of the days named before them: "this
// Friday, but after two", "Friday afternoon? I finish work at two". Hours that can be none
// of theirs are others on the same days. It reports whether the list was taken so.
func (r *reader) narrows() bool {
	if len(r.list) != 1 || len(r.m.Prefer) == 0 || hasDays(r.list[0]) || slices.ContainsFunc(r.m.Prefer, func(t diary.Times) bool { return !hasDays(t) }) {
		return false
	}
	var narrower, others []diary.Times
	for _, day := range r.m.Prefer {
		if together, ok := both(day, r.list[0]); ok {
			narrower = append(narrower, together)
			continue
		}
		day.StartFrom, day.StartBefore, day.DoneBy = r.list[0].StartFrom, r.list[0].StartBefore, r.list[0].DoneBy
		others = append(others, day)
	}
	if len(narrower) == 0 { // "Friday morning. Or the afternoon"
		narrower = slices.Concat(r.m.Prefer, others)
	}
	r.m.Prefer = narrower
	return true
}

func (r *reader) push() {
	if !r.current.Any() {
		r.list = append(r.list, r.current)
	}
	r.current, r.joined = diary.Times{}, ""
}

// settle turns the alternatives into bounds if nothing else will do.
func (r *reader) settle() {
	r.end()
	if !r.only || len(r.m.Prefer) != 1 {
		return
	}
	only, ok := both(r.m.Only, r.m.Prefer[0])
	if ok {
		r.m.Only, r.m.Prefer = only, nil
	}
}

// skip passes over a word nothing was made of.
func (r *reader) skip() {
	if w := r.word(0); !filler(w) {
		r.m.Unread = append(r.m.Unread, w)
	}
	r.at++
}

func (r *reader) doubt(why Why, words int, dates ...string) {
	d := Doubt{Why: why, Phrase: phrase(r.words[r.at:min(len(r.words), r.at+words)]), Dates: dates}
	r.m.Doubts = append(r.m.Doubts, d)
}

// note reports a doubt about days that were read, and tells whether they may be
// used all the same.
func (r *reader) note(d days) bool {
	if d.why == "" {
		return true
	}
	r.doubt(d.why, d.words, d.dates()...)
	return d.why == NextOrThis || d.why == TodayOrLater || d.why == Roughly
}

// named reads a day or a time of day.
func (r *reader) named() bool {
	if d, ok := r.days(r.at); ok {
		if r.awaited(d) {
			r.at += d.words
			return true
		}
		if r.note(d) {
			r.addDays(d)
		}
		r.at += d.words
		r.lastEnd = r.at
		r.bareHour(d)
		return true
	}
	if h, ok := r.part(r.at); ok {
		r.addHours(h)
		r.at += h.words
		return true
	}
	return false
}

// addDays takes days into what is being read: as an alternative after "or" and
// the like, else to narrow it.
func (r *reader) addDays(d days) {
	t := d.times()
	together, ok := both(r.current, t)
	dated := ok && (len(r.current.Weekdays) > 0) != (len(t.Weekdays) > 0) && len(r.current.On)+len(t.On) > 0
	switch {
	case r.joined != "" && hasDays(r.current) && !(r.joined == "," && dated):
		r.push()
		r.current = t
	case ok:
		r.current = together
	case len(d.on) == 1 && len(r.current.Weekdays) > 0 && len(r.current.On) == 0: // "Saturday the 14th"
		r.doubt(Mismatch, d.words, append(d.on, r.nearest(d.first, r.current.Weekdays[0]))...)
		r.current = diary.Times{}
	default:
		r.push()
		r.current = t
	}
	r.joined = ""
	if d.window() {
		// "Tuesday or Wednesday next week" is next week on both.
		for i, t := range r.list {
			if len(t.Weekdays) > 0 && len(t.On) == 0 && t.From.IsZero() {
				r.list[i], _ = both(t, d.times())
			}
		}
	}
	r.last = d
}

// nearest is the date nearest to a day, not before today, that is on a day of the
// week.
func (r *reader) nearest(day time.Time, w time.Weekday) string {
	off := (int(w-day.Weekday()) + 7) % 7
	if earlier := after(day, off-7); off > 3 && !earlier.Before(r.today()) {
		return key(earlier)
	}
	return key(after(day, off))
}

// addHours takes a time of day into what is being read.
func (r *reader) addHours(h hours) {
	if h.why != "" {
		r.doubt(h.why, h.words)
		if h.why == HalfOfDay {
			return
		}
	}
	t := diary.Times{StartFrom: h.from, StartBefore: h.before, DoneBy: h.done}
	if r.joined == "or" || r.joined != "" && hasHours(r.current) && conflicting(r.current, t) {
		old := r.current
		hadHours := hasHours(old)
		r.push()
		if hadHours { // "Monday morning or evening"
			r.current = old
			r.current.StartFrom, r.current.StartBefore, r.current.DoneBy = 0, 0, 0
		}
	}
	for _, earlier := range r.list {
		if hasDays(earlier) && !hasHours(earlier) && hasDays(r.current) {
			r.doubt(Scope, h.words)
			break
		}
	}
	r.joined = ""
	if together, ok := both(r.current, t); ok {
		r.current = together
	}
}
