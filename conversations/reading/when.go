package reading

import (
	"slices"
	"strings"
)

// when finds the words that name a time: runs of days, dates and times of day
// with the small words that belong to them.
func (p *page) when(out *Reading) {
	for i := 0; i < len(p.words); {
		to := p.timeRun(i)
		from, end, ok := p.tightened(i, to)
		if ok {
			from = p.bounded(from)
		}
		if ok && p.ahead(from, end) && !p.ownTime(from, end) {
			out.When = append(out.When, p.span(from, end))
			p.take(from, end)
		}
		i = max(to, i+1)
	}
}

// ahead tells whether a time named can be the one wanted: not a greeting, nor
// past or usual, nor when we are open, nor the month something happened in.
func (p *page) ahead(from, to int) bool {
	greets := from <= 1 && to == from+1 && p.cut(from) && (to == len(p.words) || p.cut(to) || from == 0)
	if greets && (p.key(from) == "morning" || p.key(from) == "afternoon" || p.key(from) == "evening") || p.lasts(from, to) {
		return false
	}
	opens := slices.ContainsFunc(p.of(anAsk), func(m mark) bool { return m.name == "opening" && p.together(m.from, from) })
	happened := p.key(from) == "in" && to-from == 2 && !isNumber(p.key(from+1)) && !p.bookable(from) || p.befell(from)
	season := (to-from <= 2 || slices.Contains([]string{"over", "through", "during"}, p.key(from))) && slices.Contains([]string{"winter", "summer", "spring", "autumn"}, p.key(to-1)) &&
		!slices.Contains([]string{"before", "by", "this", "next", "until"}, p.key(from))
	ofA := p.key(from) == "a" && p.key(from-1) == "of"
	asked := p.key(from-1) == "that" && p.key(from-2) == "is" // "is that Thursday possible" asks for it
	return !ofA && !opens && !happened && !season && (asked || !p.before(from, 0, past))
}

// lasts tells whether a time is how long or how often something was, or what it is
// for: "off the road a month or so", "once a fortnight", "a Christmas present".
func (p *page) lasts(from, to int) bool {
	often := []string{"once", "twice", "every"}
	if slices.Contains(often, p.key(from-1)) || slices.Contains([]string{"job", "present", "gift", "treat", "party", "hand"}, p.key(to)) && p.together(from, to) {
		return true
	}
	long := slices.Contains([]string{"so", "two", "weeks", "days", "months"}, p.key(to-1)) || p.key(to-1) == "fortnight" && p.key(to-2) == "a"
	for i := max(0, from-2); i < to; i++ {
		long = long && !slices.Contains([]string{"in", "within", "next", "over", "of"}, p.key(i))
	}
	return long && !isNumber(p.key(from)) && p.before(from, 4, happened, past)
}

// befell tells whether a time is when something seen came about: "dropped an ice
// cream on the seat on sunday".
func (p *page) befell(from int) bool {
	if b := p.key(from - 1); b != "on" && b != "at" && b != "over" || !p.together(from-1, from) {
		return false
	}
	for i := from - 2; i >= 0 && from-i < 12 && !p.cut(i+1); i-- {
		switch {
		case p.has(i, aHint):
			return true
		case p.has(i, request, booking, fix):
			return false
		}
	}
	return false
}

// bookable tells whether anything is asked for in the sentence of a time.
func (p *page) bookable(at int) bool {
	for i := range p.words {
		if p.together(i, at) && p.has(i, request, booking) && !(p.key(i) == "done" || p.key(i) == "get") {
			return true
		}
	}
	return false
}

// part is what a word is to a named time.
type part int

const (
	noTime part = iota
	joins       // belongs to it only between others: "the", "of", "and"
	leads       // belongs to it in front as well: "before", "next", "any"
	says        // names a time
)

func (p *page) timePart(i int) part {
	switch t := p.words[i]; {
	case t.taken, p.isWeWould(i), t.key == "so" && p.key(i-1) != "or" && p.key(i+1) != "any":
		return noTime // "I work Monday to Thursday so a Friday"
	case slices.ContainsFunc(p.on(i, day), p.free), p.clock(i), p.units(i), p.hourAfter(i), p.datedMonth(i):
		return says
	case p.number(i) && (p.units(i+1) || i > 0 && p.together(i-1, i) && p.has(i-1, dayWith, dayLink) && p.has(i+1, day)):
		return joins
	case t.key == "am" || t.key == "pm" || t.key == "night" || t.key == "nights":
		// Behind a day or an hour only: "I am" is no time.
		if i > 0 && p.together(i-1, i) && (p.has(i-1, day) || p.clock(i-1) || isNumber(p.key(i-1))) {
			return says
		}
		return noTime
	case p.ordinal(i):
		return says
	case p.has(i, dayWith):
		return leads
	case p.has(i, dayLink), t.key == "like" && p.clock(i+1), t.key == "free" && p.key(i-1) == "next":
		return joins
	case isNumber(t.key) && len(t.key) <= 2 && (i > 0 && p.has(i-1, dayWith, dayLink, day) || i+1 < len(p.words) && p.has(i+1, day)):
		return joins
	}
	return noTime
}

// onlyHas tells whether "only" belongs to what stands behind it: "next week only got 60
// quid".
func (p *page) onlyHas(i int) bool {
	return i+1 < len(p.words) && !p.cut(i+1) && (p.number(i+1) || slices.Contains([]string{"got", "have", "had", "need", "want", "about", "around", "wondering", "looking"}, p.key(i+1)))
}

// isWeWould tells whether "wed" is "we'd", as in "we'd need it back".
func (p *page) isWeWould(i int) bool {
	if p.key(i) != "wed" {
		return false
	}
	t := p.words[i]
	return strings.ContainsFunc(p.text[t.from:t.to], isApostrophe) || slices.Contains([]string{"need", "like", "want", "love", "prefer", "rather", "be", "have"}, p.key(i+1))
}

// clock tells whether a word is a time of day or a date by its form: 9:30, 2pm,
// 14th, 14/3.
func (p *page) clock(i int) bool {
	w := p.key(i)
	digits := strings.TrimRight(w, "abcdefghijklmnopqrstuvwxyz")
	if n := number(digits); n >= 0 && n <= 31 && !p.isAge(i) {
		switch w[len(digits):] {
		case "am", "pm", "st", "nd", "rd", "th", "oclock":
			return true
		case "ish":
			return n > 0 && n <= 12 && slices.Contains([]string{"at", "like", "about", "around", "by", "after", "before"}, p.key(i-1))
		}
	}
	return len(w) <= 8 && (strings.Contains(w, ":") || strings.Contains(w, "/")) && strings.Trim(strings.TrimSuffix(strings.TrimSuffix(w, "pm"), "am"), "0123456789:/") == ""
}

// datedMonth tells whether "may" or "march" is a month because a day stands with it:
// "2nd May", "march 3rd".
func (p *page) datedMonth(i int) bool {
	if w := p.key(i); w != "may" && w != "march" {
		return false
	}
	dated := func(k int) bool {
		n := number(strings.TrimRight(p.key(k), "sthndr"))
		return k >= 0 && k < len(p.words) && p.together(k, i) && n >= 1 && n <= 31
	}
	return dated(i-1) && !p.cut(i) || i+1 < len(p.words) && !p.cut(i+1) && dated(i+1)
}

// isAge tells whether a number is a birthday: "my son's 18th".
func (p *page) isAge(i int) bool {
	prev := p.key(i - 1)
	return i > 0 && !p.cut(i) && p.before(i, 0, mine) && prev != "a" && prev != "the" && prev != "on" && len(prev) > 1
}

// hourAfter tells whether a plain number is an hour that bounds the time: "back by 3".
func (p *page) hourAfter(i int) bool {
	n := number(p.key(i))
	if n < 0 {
		n = p.book.Numbers[p.key(i)]
	}
	return n >= 1 && n <= 12 && i > 0 && !p.cut(i) && slices.Contains([]string{"by", "before", "after", "until"}, p.key(i-1)) &&
		!p.after(i, 0, notMoney, currency, carsNoun) && !p.has(i+1, aBody)
}

// ordinal tells whether a word is the day of a date, or part of it: "the twenty
// second", "the first of", "friday the fifth".
func (p *page) ordinal(i int) bool {
	tens := []string{"twenty", "thirty"}
	if slices.Contains(tens, p.key(i)) {
		return isOrdinal(p.key(i+1)) && p.together(i, i+1)
	}
	if !isOrdinal(p.key(i)) || i == 0 || !p.together(i-1, i) {
		return false
	}
	large := len(p.key(i)) > 6 || p.key(i) == "tenth"
	dated := i+1 < len(p.words) && p.together(i, i+1) && (p.key(i+1) == "of" && p.has(i+2, day) || p.has(i+1, day))
	return slices.Contains(tens, p.key(i-1)) || p.key(i-1) == "the" && (large || dated || p.has(i-2, day))
}

func isOrdinal(w string) bool {
	return slices.Contains([]string{"first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth",
		"thirteenth", "fourteenth", "fifteenth", "sixteenth", "seventeenth", "eighteenth", "nineteenth", "twentieth", "thirtieth"}, w)
}

// units tells whether a word is the unit of a time from now: "in 2 weeks".
func (p *page) units(i int) bool {
	if i < 2 || i >= len(p.words) || !p.together(i-2, i) || !slices.Contains([]string{"days", "weeks", "week", "months", "month"}, p.key(i)) {
		return false
	}
	return p.number(i-1) && slices.Contains([]string{"in", "within", "next"}, p.key(i-2))
}

// number tells whether a word is a small number, in digits or written out.
func (p *page) number(i int) bool {
	n := p.book.Numbers[p.key(i)]
	return number(p.key(i)) >= 0 && len(p.key(i)) <= 2 || n > 0 && n <= 31
}

// timeRun is the end of the run of time words that begins at a word.
func (p *page) timeRun(i int) int {
	to := i
	for to < len(p.words) && (to == i || p.together(to-1, to) && !p.words[to].comma) && p.timePart(to) != noTime {
		to++
	}
	return to
}

// tightened leaves out joining words at either end, and leading words at the
// end; what is left must name a time.
func (p *page) tightened(from, to int) (int, int, bool) {
	for from < to && p.timePart(from) == joins && !p.number(from) {
		from++
	}
	for to > from && (p.timePart(to-1) == joins && !p.number(to-1) || p.timePart(to-1) == leads) {
		to--
	}
	for p.key(from) == "in" && slices.Contains([]string{"before", "by", "after", "on", "for", "next", "this", "any", "first", "most"}, p.key(from+1)) && from+1 < to {
		from++ // "fit it in before christmas"
	}
	for from < to && p.timePart(from) == joins && !p.number(from) {
		from++ // "fit both in on Saturday"
	}
	if p.key(from) == "around" && from+1 < to && p.has(from+1, dayWith) {
		from++ // "are you around over Easter"
	}
	if p.key(from) == "one" && p.key(from-1) == "other" && from+1 < to {
		from++ // "the other one Tuesday"
	}
	if p.key(to) == "only" && to > from && !p.cut(to) && !p.onlyHas(to) {
		to++ // "mornings only" leaves no other
	}
	for i := from; i < to; i++ {
		if p.timePart(i) == says {
			return from, to, true
		}
	}
	return from, to, false
}
