package when

import "strings"

// hours are what a phrase about the time of day means, in minutes from midnight.
type hours struct {
	words              int
	from, before, done int
	why                Why
}

// part reads a part of the day, "at 10", "10am", "10 to 12", "between 10 and 2".
func (r *reader) part(at int) (hours, bool) {
	if h, ok := r.named12(at); ok {
		return h, true
	}
	switch w := r.look(at); w {
	case "at", "about":
		next := at + 1
		if r.look(next) == "about" {
			next++
		}
		m, words, why, ok := r.clock(next, true)
		wide := 15
		if next > at+1 || w == "about" {
			wide = 45
		}
		return near(next-at+words, m, wide, why), ok
	case "between", "from":
		return r.fromTo(at+1, 1)
	}
	if h, ok := r.fromTo(at, 0); ok {
		return h, true
	}
	m, words, why, ok := r.clock(at, false)
	return near(words, m, 15, why), ok
}

// near is a time of day and so many minutes to either side. A quarter of an hour
// is half of the grid on which starts are offered.
func near(words, m, wide int, why Why) hours {
	return hours{words: words, from: max(0, m-wide), before: min(24*60, m+wide+1), why: why}
}

// named12 reads a part of the day that has a name.
func (r *reader) named12(at int) (hours, bool) {
	const noon = 12 * 60
	one, two := r.look(at), r.look(at+1)
	switch {
	case one == "early" && two == "morning" || one == "first" && two == "thing":
		return hours{words: 2, before: 10 * 60}, true
	case one == "late" && two == "morning":
		return hours{words: 2, from: 10 * 60, before: noon}, true
	case one == "early" && two == "afternoon":
		return hours{words: 2, from: noon, before: 14*60 + 30}, true
	case one == "late" && two == "afternoon":
		return hours{words: 2, from: 15 * 60, before: 18 * 60}, true
	case one == "after" && two == "work":
		return hours{words: 2, from: 17 * 60}, true
	}
	switch one {
	case "morning", "am":
		return hours{words: 1, before: noon}, true
	case "afternoon", "pm":
		return hours{words: 1, from: noon}, true
	case "evening":
		return hours{words: 1, from: 17 * 60}, true
	case "lunchtime":
		return hours{words: 1, from: noon, before: 14 * 60}, true
	}
	return hours{}, false
}

// fromTo reads two times of day.
func (r *reader) fromTo(at, before int) (hours, bool) {
	first, words, why, ok := r.clock(at, true)
	if !ok {
		return hours{}, false
	}
	link := r.look(at + words)
	if link != "-" && link != "to" && link != "until" && (link != "and" || before == 0) {
		return hours{}, false
	}
	last, more, why2, ok := r.clock(at+words+1, true)
	if !ok || before == 0 && !sure(r.look(at)) && !sure(r.look(at+words+1)) && link != "-" {
		return hours{}, false
	}
	h := hours{words: before + words + 1 + more, from: first, before: last + 1, why: StartOrEnd}
	if why == HalfOfDay || why2 == HalfOfDay || last <= first {
		h.why = HalfOfDay
	}
	return h, true
}

// sure tells whether a word can be nothing but a time of day.
func sure(w string) bool {
	return w == "noon" || strings.ContainsAny(w, ":") || strings.HasSuffix(w, "am") || strings.HasSuffix(w, "pm")
}

// clock reads a time of day: "2pm", "14:30", "half past two", "noon", and, where
// an hour is expected, "2".
func (r *reader) clock(at int, expected bool) (minutes, words int, why Why, ok bool) {
	w := r.look(at)
	if w == "noon" {
		return 12 * 60, 1, "", true
	}
	quarter := 0
	switch two := r.look(at + 1); {
	case w == "half" && two == "past":
		quarter, words = 30, 2
	case w == "half":
		quarter, words = 30, 1
	case w == "quarter" && two == "past":
		quarter, words = 15, 2
	case w == "quarter" && two == "to":
		quarter, words = -15, 2
	}
	m, more, half, ok := r.figures(at+words, expected || words > 0)
	if !ok || words > 0 && m%60 != 0 {
		return 0, 0, "", false
	}
	m += quarter
	if half && m < 7*60 {
		m += 12 * 60
	}
	if half && (m < 8*60 && m >= 7*60) {
		why = HalfOfDay
	}
	return m, words + more, why, m >= 0 && m < 24*60
}

// figures reads the figures of a time of day. Half tells that it may be that or
// twelve hours later.
func (r *reader) figures(at int, expected bool) (minutes, words int, half, ok bool) {
	w := r.look(at)
	suffix := ""
	if n := len(w); n > 2 && (w[n-2:] == "am" || w[n-2:] == "pm") && w[0] <= '9' {
		w, suffix = w[:n-2], w[n-2:]
	}
	words = 1
	if next := r.look(at + 1); suffix == "" && (next == "am" || next == "pm") {
		suffix, words = next, 2
	}
	if r.look(at+words) == "oclock" {
		words, expected = words+1, true
	}
	i := strings.IndexAny(w, ":.")
	h, m := 0, 0
	if i > 0 {
		h, m = atoi(w[:i]), atoi(w[i+1:])
	} else if h, ok = count(w); !ok || w == "a" {
		return 0, 0, false, false
	}
	if h < 0 || h > 23 || m < 0 || m > 59 || suffix != "" && (h < 1 || h > 12) || i < 0 && suffix == "" && !expected {
		return 0, 0, false, false
	}
	if suffix != "" {
		h %= 12
	}
	if suffix == "pm" {
		h += 12
	}
	return 60*h + m, words, suffix == "" && h >= 1 && h < 12 && !strings.HasPrefix(w, "0"), true
}
