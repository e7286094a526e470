package when

import "time"

// relative reads "today", "tomorrow", "the day after tomorrow", "in three days",
// "in a fortnight", "a week on Tuesday", "tomorrow week".
func (r *reader) relative(at int) (days, bool) {
	if d, ok := r.weekOn(at); ok {
		return d, true
	}
	switch r.look(at) {
	case "today":
		return r.andWeek(at, 0), true
	case "tomorrow":
		return r.andWeek(at, 1), true
	case "day":
		if r.look(at+1) == "after" && r.look(at+2) == "tomorrow" {
			return date(3, r.day(2)), true
		}
	case "in":
		return r.inTime(at)
	case "next", "coming", "following":
		if n, unit, words, ok := r.length(at + 1); ok && (words > 1 || unit == "fortnight") && (n > 1 || unit == "fortnight") {
			return window(1+words, r.today(), r.later(n, unit)), true // "the next two weeks"
		}
	}
	return days{}, false
}

// andWeek is today or tomorrow, or that day "week".
func (r *reader) andWeek(at, ahead int) days {
	if r.look(at+1) == "week" {
		return date(2, r.day(ahead+7))
	}
	return date(1, r.day(ahead))
}

// weekOn reads "a week on Tuesday", "a fortnight today", "Tuesday week".
func (r *reader) weekOn(at int) (days, bool) {
	if w, ok := weekday(r.look(at)); ok && (r.look(at+1) == "week" || r.look(at+1) == "fortnight") {
		_, unit, _, _ := r.length(at + 1)
		return r.weeksAfter(2, w, unit), true
	}
	_, unit, words, ok := r.length(at)
	if !ok || unit != "week" && unit != "fortnight" {
		return days{}, false
	}
	next := at + words
	switch r.look(next) {
	case "today":
		return date(words+1, r.later(1, unit)), true
	case "tomorrow":
		return date(words+1, after(r.later(1, unit), 1)), true
	case "on", "from":
		if w, ok := weekday(r.look(next + 1)); ok {
			return r.weeksAfter(words+2, w, unit), true
		}
		if r.look(next+1) == "today" || r.look(next+1) == "now" {
			return r.roughly(words+2, r.later(1, unit)), true
		}
	}
	return days{}, false
}

// weeksAfter is a week or two after the next such day. Said on that day itself,
// it may count from today.
func (r *reader) weeksAfter(words int, w time.Weekday, unit string) days {
	n := 7
	if unit == "fortnight" {
		n = 14
	}
	first := r.coming(w)
	d := date(words, after(first, n))
	if first.Equal(r.today()) {
		return merged(words, TodayOrLater, d, date(words, after(first, n+7)))
	}
	return d
}

// length reads "a week", "two weeks", "fortnight", "10 days".
func (r *reader) length(at int) (n int, unit string, words int, ok bool) {
	n, given := count(r.look(at))
	if given {
		words = 1
		if r.look(at+1) == "couple" {
			n, words = 2, 2
			if r.look(at+2) == "of" {
				words = 3
			}
		}
	} else {
		n = 1
	}
	switch u := r.look(at + words); u {
	case "day", "days":
		unit = "day"
	case "week", "weeks":
		unit = "week"
	case "fortnight":
		unit = "fortnight"
	case "month", "months":
		unit = "month"
	}
	return n, unit, words + 1, unit != ""
}

// later is a day so many days, weeks or months from today.
func (r *reader) later(n int, unit string) time.Time {
	switch unit {
	case "week":
		return r.day(7 * n)
	case "fortnight":
		return r.day(14 * n)
	case "month":
		y, m, d := r.now.Date()
		last := time.Date(y, m+time.Month(n)+1, 0, 0, 0, 0, 0, r.now.Location())
		return after(last, min(d, last.Day())-last.Day())
	}
	return r.day(n)
}

// inTime reads "in three days", "in a fortnight".
func (r *reader) inTime(at int) (days, bool) {
	n, unit, words, ok := r.length(at + 1)
	if !ok || words == 1 && unit != "fortnight" {
		return days{}, false
	}
	if r.look(at+1+words) == "time" {
		words++
	}
	if unit == "day" {
		return date(1+words, r.later(n, unit)), true
	}
	return r.roughly(1+words, r.later(n, unit)), true
}

// roughly is a day and three to either side.
func (r *reader) roughly(words int, day time.Time) days {
	d := window(words, after(day, -3), after(day, 3))
	d.why = Roughly
	return d
}

// weekdayAhead reads "next Tuesday", "this Friday", "next weekend".
func (r *reader) weekdayAhead(at int) (days, bool) {
	which := r.look(at)
	if which != "next" && which != "this" && which != "coming" {
		return days{}, false
	}
	w, ok := weekday(r.look(at + 1))
	long := 0
	if r.look(at+1) == "weekend" {
		w, long, ok = time.Saturday, 1, true
	}
	if !ok {
		return days{}, false
	}
	first := r.coming(w)
	if long == 1 && r.now.Weekday() == time.Sunday {
		first = after(first, -7) // the weekend has begun
	}
	near := r.from(window(2, first, after(first, long)))
	if which != "next" {
		if which == "this" && first.Equal(r.today()) && long == 0 {
			return merged(2, TodayOrLater, near, window(2, after(first, 7), after(first, 7))), true
		}
		return merged(2, "", near), true
	}
	inNext := after(monday(r.now), 7+(int(w)+6)%7)
	far := window(2, inNext, after(inNext, long))
	if !first.After(r.today()) || first.Equal(inNext) {
		return merged(2, "", far), true
	}
	return merged(2, NextOrThis, near, far), true
}

// from leaves out the days before today.
func (r *reader) from(d days) days {
	if d.first.Before(r.today()) {
		d.first = r.today()
	}
	return d
}

// week reads "this week", "next week", "the week after next", "the week of the
// 3rd", "w/c 3rd".
func (r *reader) week(at int) (days, bool) {
	this := monday(r.now)
	weeks := func(words, n int) (days, bool) {
		return r.from(window(words, after(this, 7*n), after(this, 7*n+6))), true
	}
	switch one, two, three := r.look(at), r.look(at+1), r.look(at+2); {
	case one == "this" && two == "week":
		return weeks(2, 0)
	case one == "week" && two == "after" && three == "next":
		return weeks(3, 2)
	case one == "next" && two == "week":
		return weeks(2, 1)
	case one == "w/c":
		return r.weekOf(at, 1)
	case one == "week" && (two == "of" || two == "start"):
		return r.weekOf(at, 2)
	}
	return days{}, false
}

func (r *reader) weekOf(at, words int) (days, bool) {
	for r.look(at+words) == "the" || r.look(at+words) == "of" {
		words++
	}
	d, ok := r.dated(at + words)
	if !ok || d.why == NoSuchDate || d.why == Past {
		return d, false
	}
	first := monday(d.first)
	return r.from(window(words+d.words, first, after(first, 6))), true
}

// monthly reads "next month", "in March", "the end of April", "mid May", "the end
// of next week".
func (r *reader) monthly(at int) (days, bool) {
	third, words := r.third(at)
	if third != "" {
		if d, ok := r.thirdOfWeek(at, words, third); ok {
			return d, true
		}
	}
	y, m, _ := r.now.Date()
	switch one, two := r.look(at+words), r.look(at+words+1); {
	case one == "month" && third != "": // "the end of the month"
		words++
	case one == "this" && two == "month":
		words += 2
	case one == "next" && two == "month":
		words, m = words+2, m+1
	default:
		named, ok := month(one)
		// Some months are words as well: "I may", "we march".
		if !ok || third == "" && (one == "may" || one == "march" || one == "mar") && !monthAfter(r.look(at-1)) {
			return days{}, false
		}
		if words, m = words+1, named; named < r.now.Month() {
			y++
		}
	}
	return r.monthOf(words, time.Date(y, m, 1, 0, 0, 0, 0, r.now.Location()), third), true
}

// monthOf is a month from its first day, or a third of it, from today on.
func (r *reader) monthOf(words int, first time.Time, third string) days {
	last := time.Date(first.Year(), first.Month()+1, 0, 0, 0, 0, 0, r.now.Location())
	switch third {
	case "start":
		last = after(first, 9)
	case "mid":
		first, last = after(first, 10), after(first, 19)
	case "end":
		first = after(first, 20)
	}
	if d := window(words, first, last); d.last.Before(r.today()) {
		return r.past(d)
	}
	return r.from(window(words, first, last))
}

// third reads "early", "the middle of", "late".
func (r *reader) third(at int) (third string, words int) {
	switch r.look(at) {
	case "early", "start":
		third = "start"
	case "mid", "middle":
		third = "mid"
	case "late", "end":
		third = "end"
	default:
		return "", 0
	}
	words = 1
	for w := r.look(at + words); w == "of" || w == "the" || w == "in" || w == "-"; w = r.look(at + words) {
		words++
	}
	return third, words
}

// thirdOfWeek reads the rest of "the end of next week": Monday and Tuesday, then
// Wednesday and Thursday, then the rest.
func (r *reader) thirdOfWeek(at, words int, third string) (days, bool) {
	d, ok := r.week(at + words)
	if !ok && r.look(at+words) == "week" {
		d, ok = r.from(window(1, monday(r.now), after(monday(r.now), 6))), true
	}
	if !ok {
		return d, false
	}
	first := monday(d.first)
	switch third {
	case "start":
		d.first, d.last = first, after(first, 1)
	case "mid":
		d.first, d.last = after(first, 2), after(first, 3)
	default:
		d.first = after(first, 4)
	}
	d.words += words
	if d.last.Before(r.today()) {
		return r.past(d), true
	}
	return r.from(d), true
}

// monthAfter tells whether a month may follow a word.
func monthAfter(w string) bool {
	switch w {
	case "in", "by", "before", "after", "until", "from", "for", "of", "during", "not", "or", "and", "next", ",":
		return true
	}
	return false
}
