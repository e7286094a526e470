package when

import (
	"slices"
	"time"

	"example.org/dryhand/conversations/diary"
)

// ReadFrom is [Read] of a text that may name a time by how far it is from another:
// "an hour later", "a bit earlier that day", "the week after". From are the moments it
// may be told from, in the business's zone; of several, any is meant. What is told from
// them may be over. Shifted tells whether the text does so. "Later" alone does not, nor does what says from when it
// counts, such as "a week on Tuesday".
func ReadFrom(text string, now time.Time, from ...time.Time) (m Meaning, shifted bool) {
	r := reader{words: split(text[:min(len(text), longest)])}
	for at := range r.words {
		s, words, ok := r.shift(at)
		if !ok {
			continue
		}
		rest := slices.Delete(slices.Clone(r.words), at, at+words)
		m, _ = read(rest, now, from)
		if !slices.Contains(rest, "or") {
			m.Prefer = s.onDays(from, m.Prefer)
		} else { // "an hour later or on Friday"
			for _, t := range from {
				m.Prefer = append(m.Prefer, s.of(t))
			}
		}
		return m, true
	}
	return read(r.words, now, from)
}

// shift is how far one time is from another.
type shift struct {
	// least and most are how much later it is to start, below zero if earlier.
	least, most time.Duration
	// days are so many later at the same time of day, whole at any, and weeks any day
	// of so many weeks later.
	days, weeks int
	whole       bool
	// side is 1 for later on the same day, -1 for earlier, and bit bounds how much.
	side int
	bit  time.Duration
}

// aBit is the most somebody means by "a bit later" (common practice, no source).
const aBit = 3 * time.Hour

// of is the time that is so far from another.
func (s shift) of(from time.Time) diary.Times {
	on := func(day time.Time, h hours) diary.Times {
		return diary.Times{On: []string{key(day)}, StartFrom: h.from, StartBefore: h.before}
	}
	at := 60*from.Hour() + from.Minute()
	switch {
	case s.weeks != 0:
		first := after(monday(from), 7*s.weeks)
		return diary.Times{From: first, To: after(first, 7)}
	case s.whole:
		return on(after(from, s.days), hours{})
	case s.days != 0:
		return on(after(from, s.days), near(0, at, 15, ""))
	case s.side > 0:
		h := hours{from: at + 1}
		if s.bit > 0 {
			h.before = min(24*60, at+int(s.bit.Minutes())+1)
		}
		return on(from, h)
	case s.side < 0:
		h := hours{before: at}
		if s.bit > 0 {
			h.from = max(0, at-int(s.bit.Minutes()))
		}
		return on(from, h)
	}
	first, last := from.Add(s.least), from.Add(s.most)
	h := near(0, 60*first.Hour()+first.Minute(), 15, "")
	if h.before = 24 * 60; key(first) == key(last) {
		h.before = near(0, 60*last.Hour()+last.Minute(), 15, "").before
	}
	return on(first, h)
}

// onDays are the times that are so far from others, on the days that were named
// beside, if any: "Thursday, an hour later".
func (s shift) onDays(from []time.Time, named []diary.Times) (out []diary.Times) {
	clocked := s.days == 0 && s.weeks == 0 && !s.whole
	for _, f := range from {
		t := s.of(f)
		narrowed := false
		for _, n := range named {
			switch {
			case clocked && hasDays(n) && !hasHours(n):
				n.StartFrom, n.StartBefore = t.StartFrom, t.StartBefore
				out, narrowed = append(out, n), true
			case (s.whole || s.weeks != 0 || s.side != 0) && !hasDays(n) && hasHours(n):
				// "the day before at nine", "later in the day? I'm at work until two"
				if together, ok := both(t, n); ok {
					out, narrowed = append(out, together), true
				}
			}
		}
		if !narrowed {
			out = append(out, t)
		}
	}
	return out
}

// shift reads how far one time is from another.
func (r *reader) shift(at int) (s shift, words int, ok bool) {
	for _, read := range []func(int) (shift, int, bool){r.pushed, r.amountLater, r.nextTo, r.sameDay} {
		if s, words, ok := read(at); ok {
			return s, words, true
		}
	}
	return s, 0, false
}

// pushed reads "push it back an hour", "bring it forward by half an hour". To move
// something forward is earlier to some and later to others, and is not read.
func (r *reader) pushed(at int) (s shift, words int, ok bool) {
	verb := r.look(at)
	if verb != "push" && verb != "put" && verb != "move" && verb != "bring" {
		return s, 0, false
	}
	way := at + 1
	for way < at+4 && r.look(way) != "back" && r.look(way) != "forward" && r.look(way) != "forwards" {
		way++
	}
	sign := 0
	switch w := r.look(way); {
	case w == "back" && verb != "bring":
		sign = 1
	case verb == "bring" && (w == "forward" || w == "forwards"):
		sign = -1
	}
	next := way + 1
	if r.look(next) == "by" {
		next++
	}
	s, n, ok := r.amount(next, sign)
	return s, next + n - at, ok && sign != 0
}

// amountLater reads "an hour later", "two days earlier", "an hour or two before that".
func (r *reader) amountLater(at int) (s shift, words int, ok bool) {
	_, n, ok := r.amount(at, 1)
	if !ok || r.look(at-1) == "half" {
		return s, 0, false
	}
	sign := 0
	switch w := r.look(at + n); {
	case w == "later", w == "after" && r.ends(at+n+1):
		sign = 1
	case w == "earlier", w == "sooner", w == "before" && r.ends(at+n+1):
		sign = -1
	default:
		return s, 0, false
	}
	s, n, ok = r.amount(at, sign)
	return s, n + 1, ok
}

// nextTo reads "the day after", "the week before", "the following day".
func (r *reader) nextTo(at int) (s shift, words int, ok bool) {
	sign, unit := 0, r.look(at)
	switch w := r.look(at + 1); {
	case unit == "following" && (w == "day" || w == "week"):
		sign, unit = 1, w
	case w == "after" && (r.ends(at+2) || r.look(at+2) == "at"):
		sign = 1
	case w == "before" && (r.ends(at+2) || r.look(at+2) == "at"): // "the day before at nine"
		sign = -1
	}
	switch unit {
	case "day":
		s = shift{days: sign, whole: true}
	case "week":
		s = shift{weeks: sign}
	}
	return s, 2, sign != 0 && (s.whole || s.weeks != 0)
}

// sameDay reads "a bit later", "slightly earlier", "later that day".
func (r *reader) sameDay(at int) (s shift, words int, ok bool) {
	switch r.look(at) {
	case "bit", "little", "touch", "tad", "slightly", "somewhat":
		s.bit, words = aBit, 1
	}
	switch r.look(at + words) {
	case "later":
		s.side = 1
	case "earlier", "sooner":
		s.side = -1
	default:
		return s, 0, false
	}
	words++
	next := at + words
	for w := r.look(next); w == "on" || w == "in" || w == "the" || w == "that" || w == "same"; w = r.look(next) {
		next++
	}
	if r.look(next) == "day" && next > at+words {
		words = next + 1 - at
	} else if s.bit == 0 {
		return s, 0, false
	}
	return s, words, true
}

// ends tells whether nothing follows that "after" or "before" would be about: "the
// day after tomorrow" is told from today.
func (r *reader) ends(at int) bool {
	switch r.look(at) {
	case "", ".", ",", "that", "instead", "please", "if", "or", "would", "is", "then":
		return true
	}
	return false
}

// amount reads "an hour", "half an hour", "an hour and a half", "90 minutes", "one or
// two hours", "a couple of days", as much later, or earlier if sign is below zero.
func (r *reader) amount(at, sign int) (s shift, words int, ok bool) {
	i := at
	least, half, ok := r.much(&i)
	if !ok {
		return s, 0, false
	}
	most := least
	if link := r.look(i); link == "or" || link == "to" || link == "-" {
		if n, ok := countAn(r.look(i + 1)); ok && n > least {
			most, i = n, i+2
		}
	}
	unit := r.look(i)
	i++
	if r.look(i) == "and" && r.look(i+1) == "a" && r.look(i+2) == "half" {
		half, i = true, i+3
	}
	if link := r.look(i); link == "or" { // "an hour or two", "an hour or so"
		if n, ok := count(r.look(i + 1)); ok && n > least {
			most, i = n, i+2
		} else if r.look(i+1) == "so" {
			i += 2
		}
	}
	one := time.Minute
	switch unit {
	case "hour", "hours", "hr", "hrs", "h":
		one = time.Hour
	case "minute", "minutes", "min", "mins":
	case "day", "days":
		return shift{days: sign * least}, i - at, !half && most == least
	case "week", "weeks":
		return shift{days: 7 * sign * least}, i - at, !half && most == least
	case "fortnight":
		return shift{days: 14 * sign * least}, i - at, !half && most == least
	default:
		return s, 0, false
	}
	extra := time.Duration(0)
	if half {
		extra = one / 2
	}
	s.least, s.most = time.Duration(least)*one+extra, time.Duration(most)*one+extra
	if sign < 0 {
		s.least, s.most = -s.most, -s.least
	}
	return s, i - at, s.most != 0 && s.most.Abs() <= 24*time.Hour && s.least.Abs() <= 24*time.Hour
}

// much reads the number of an amount: "an", "half an", "two", "a couple of", "one and
// a half".
func (r *reader) much(i *int) (n int, half, ok bool) {
	if r.look(*i) == "half" {
		*i++
		for w := r.look(*i); w == "a" || w == "an" || w == "-"; w = r.look(*i) {
			*i++
		}
		return 0, true, true
	}
	n, ok = countAn(r.look(*i))
	*i++
	if r.look(*i) == "couple" {
		n, *i = 2, *i+1
		if r.look(*i) == "of" {
			*i++
		}
	}
	if r.look(*i) == "and" && r.look(*i+1) == "a" && r.look(*i+2) == "half" {
		half, *i = true, *i+3
	}
	return n, half, ok && n > 0
}

// countAn reads a small number, "an" for one as well.
func countAn(w string) (int, bool) {
	if w == "an" {
		return 1, true
	}
	return count(w)
}
