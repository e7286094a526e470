package when

import (
	"slices"

	"example.org/dryhand/conversations/diary"
)

// bound reads "by the 14th", "before ten", "after 2", "from Monday", "within a
// fortnight", "at the latest".
func (r *reader) bound() bool {
	if r.postfix() {
		return true
	}
	how, words := r.preposition()
	if how == "" {
		return false
	}
	start := r.at
	for r.look(start+words) == "the" || r.look(start+words) == "about" {
		words++
	}
	if how == "from" || how == "between" {
		if h, ok := r.fromTo(start+words, words); ok {
			r.addHours(h)
			r.at += h.words
			return true
		}
		if d, ok := r.days(start + words); ok && (d.window() || len(d.weekdays) > 1 || how == "between") {
			r.at += words
			return r.named()
		}
	}
	if how == "within" {
		if n, unit, more, ok := r.length(start + words); ok {
			r.limit("by", window(0, r.today(), r.later(n, unit)))
			r.at += words + more
			return true
		}
		return false
	}
	if h, ok := r.hourBound(how, start, words); ok {
		r.boundHours(h)
		r.at += h.words
		return true
	}
	d, ok := r.days(start + words)
	if !ok && how == "before" {
		words += r.prose(start + words)
		d, ok = r.days(start + words)
	}
	if !ok {
		return false
	}
	if how == "before" && d.window() && r.endOf(start+words) { // "before the end of the month" is by its last day
		how = "by"
	}
	d = r.withDate(start+words, d)
	d.words += words
	// "By Friday night" is by the end of Friday, and names no hour to begin at.
	if w := r.look(start + d.words); w == "evening" && (how == "by" || how == "before") {
		how, d.words = "by", d.words+1
	}
	r.boundDays(how, d)
	r.at += d.words
	return true
}

// endOf tells whether the end of something begins at a word.
func (r *reader) endOf(at int) bool {
	for r.look(at) == "the" {
		at++
	}
	third, _ := r.third(at)
	return third == "end"
}

// withDate is a day of the week, read at a word, with the date behind it: "Saturday 19th
// June", "Saturday, the 19th of June" is that one day. Where the date is on another day of the
// week that is a mismatch.
func (r *reader) withDate(at int, d days) days {
	if len(d.weekdays) != 1 || d.words != 1 {
		return d
	}
	next := at + 1
	for w := r.look(next); w == "," || w == "the"; w = r.look(next) {
		next++
	}
	dated, ok := r.dated(next)
	if !ok || dated.why != "" && dated.why != TodayOrLater || len(dated.on) == 0 {
		return d
	}
	if t := (diary.Times{Weekdays: d.weekdays}); !possible(t, dated.on[0]) {
		return days{words: next + dated.words - at, why: Mismatch, on: []string{dated.on[0], r.nearest(dated.first, d.weekdays[0])}}
	}
	return date(next+dated.words-at, dated.first)
}

// mostProse is how many words may stand between "before" and the day of what is
// then.
const mostProse = 7

// prose is how many words tell of what is on a day before that day is named, "my
// in-laws come on" of "before my in-laws come on Friday"; 0 if they lead to none.
func (r *reader) prose(at int) int {
	for n := range mostProse {
		switch w := r.look(at + n); {
		case w == "" || w == "." || w == "," || w == "or" || w == "and" || w == "but" || w == "not" || w == "before" || w == "after" || w == "by" || w == "from" || w == "if":
			return 0
		case w == "on" || w == "this" || w == "next":
			skip := n
			if w == "on" {
				skip++
			}
			for r.look(at+skip) == "the" {
				skip++
			}
			if _, ok := r.days(at + skip); ok {
				return skip
			}
		default:
			if _, ok := r.days(at + n); ok && n > 0 {
				return 0 // "before I go Friday" may be when they can, and is read as such
			}
		}
	}
	return 0
}

// boundHours takes a bound of hours as one of all times if it was put as a
// refusal, "not before ten", else of the day it was said of.
func (r *reader) boundHours(h hours) {
	if r.word(0) != "not" || h.why != "" {
		r.addHours(h)
		return
	}
	r.m.Only, _ = both(r.m.Only, diary.Times{StartFrom: h.from, DoneBy: h.done})
}

// hourBound reads the hour after a preposition.
func (r *reader) hourBound(how string, at, words int) (hours, bool) {
	m, more, why, ok := r.clock(at+words, true)
	// "By 14 March" is no hour.
	if _, named := month(r.look(at + words + more)); !ok || named || r.look(at+words+more) == "of" {
		return hours{}, false
	}
	if r.look(at+words+more) == "days" || r.look(at+words+more) == "weeks" {
		return hours{}, false
	}
	h := hours{words: words + more, why: why}
	switch how {
	case "by":
		h.done = m
	case "before":
		h.before = m
	default:
		h.from = m
	}
	return h, true
}

// boundDays sets a bound of days, if it is clear which.
func (r *reader) boundDays(how string, d days) {
	if d.why == "" && len(d.weekdays) == 1 {
		day := r.coming(d.weekdays[0])
		d.first, d.last = day, day
		if day.Equal(r.today()) {
			d.why, d.on = TodayOrLater, []string{key(day), key(after(day, 7))}
		}
	} else if len(d.weekdays) > 1 { // "by the weekend"
		d.first = r.coming(d.weekdays[0])
		d.last = after(d.first, len(d.weekdays)-1)
	}
	if d.why != "" {
		r.doubt(d.why, d.words, d.dates()...)
		if d.why != Roughly {
			return
		}
	}
	if how == "from" {
		r.last = d
	}
	r.limit(how, d)
}

// limit sets a bound of days.
func (r *reader) limit(how string, d days) {
	var t diary.Times
	switch how {
	case "by":
		t.To = after(d.last, 1)
	case "before":
		t.To, r.m.Ahead = d.first, d.first
	case "after":
		t.From = after(d.last, 1)
	default:
		t.From = d.first
	}
	r.m.Only, _ = both(r.m.Only, t)
}

// preposition reads what makes a bound of what follows: "by", "before", "after",
// "from", "between" or "within".
func (r *reader) preposition() (how string, words int) {
	one, two, three := r.word(0), r.word(1), r.word(2)
	switch {
	case one == "not" && (two == "later" || two == "earlier") && three == "than":
		if two == "later" {
			return "by", 3
		}
		return "from", 3
	case r.comesFree() > 0:
		return "from", r.comesFree()
	case one == "later" && two == "than":
		return "after", 2
	case one == "earlier" && two == "than":
		return "before", 2
	case one == "not" && two == "before", one == "not" && two == "until":
		return "from", 2
	case one == "not" && two == "after":
		return "by", 2
	case one == "any" && two == "time" && (three == "after" || three == "before" || three == "from"):
		return three, 3
	}
	switch one {
	case "by", "until":
		return "by", 1
	case "before", "after", "from", "between", "within":
		return one, 1
	}
	return "", 0
}

// free are ways to say that somebody is free from the hour behind them.
var free = [][]string{
	{"i", "finish", "work", "at"}, {"i", "finish", "work", "about"}, {"i", "finish", "at"}, {"i", "finish", "about"},
	{"i", "not", "finish", "work", "until"}, {"i", "not", "finish", "until"}, {"i", "get", "off", "work", "at"}, {"i", "get", "off", "at"},
	{"i", "get", "home", "at"}, {"i", "get", "home", "about"}, {"i", "get", "in", "at"}, {"i", "get", "back", "at"},
	{"i", "not", "get", "home", "until"}, {"i", "not", "get", "back", "until"}, {"im", "not", "home", "until"}, {"im", "not", "back", "until"},
	{"im", "off", "at"}, {"im", "home", "at"}, {"im", "home", "from"}, {"im", "back", "at"}, {"im", "free", "at"},
	{"im", "at", "work", "until"}, {"i", "work", "until"}, {"work", "until"}, {"working", "until"}, {"im", "working", "until"}, {"at", "work", "until"},
}

// comesFree is how many words say that somebody is free from the hour behind them, "I
// finish work at"; 0 if they do not.
func (r *reader) comesFree() int {
	if r.word(-1) == "you" || r.word(-1) == "u" {
		return 0 // "do you work until six?"
	}
	for _, said := range free {
		if rest := r.words[r.at:]; len(rest) > len(said) && slices.Equal(rest[:len(said)], said) {
			return len(said)
		}
	}
	return 0
}

// postfix reads "at the latest" and "onwards" after days.
func (r *reader) postfix() bool {
	words := 1
	if r.word(0) == "at" && r.word(1) == "the" {
		words = 3
	}
	how := ""
	switch w := r.word(words - 1); {
	case w == "latest":
		how = "by"
	case w == "onwards", w == "earliest":
		how = "from"
	default:
		return false
	}
	if r.last.words > 0 {
		d := r.last
		r.current, r.last = dropDays(r.current), days{}
		d.words = words
		r.boundDays(how, d)
	}
	r.at += words
	return true
}
