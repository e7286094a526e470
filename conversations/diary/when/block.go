package when

import (
	"slices"
	"time"
)

// Block is a stretch of days, and of hours on each of them, as the owner names one
// to keep it free or to work in it: "Friday 2 to 4", "24 Dec to 2 Jan".
type Block struct {
	// First and Last are the midnights that begin its days, of which there are at
	// most [MostDays].
	First, Last time.Time
	// From and To are minutes from midnight by the clock on the wall. FromSaid and
	// ToSaid tell that they were named; else they are 0 and 1440.
	From, To         int
	FromSaid, ToSaid bool
}

// Whole tells that no hours were named.
func (b Block) Whole() bool { return !b.FromSaid && !b.ToSaid }

// Blocks is what was understood of a text about such stretches.
type Blocks struct {
	// Of are the stretches, in order; days in a row are one.
	Of []Block
	// Either tells that not all of Of are meant, but one of them: "Friday" said on a
	// Friday, "next Friday" on a Monday.
	Either bool
	// Doubts are what cannot be taken at all.
	Doubts []Doubt
	// Unread are the words that said nothing.
	Unread []string
}

// MostDays is how many days a block may have: what is longer is rather a misreading.
const MostDays = 92

// ReadBlocks reads the stretches that are named in a text, said at now in the
// business's zone. A day of the week is the next one, hours without a day are
// today's, and until a day is up to the evening before it.
func ReadBlocks(text string, now time.Time) Blocks {
	r := blockReader{reader: reader{now: now, words: split(text[:min(len(text), longest)])}}
	for r.at < len(r.words) {
		if !r.until() && !r.stretch() && !r.hours() {
			r.pass()
		}
	}
	return r.blocks()
}

// blockReader is the way through a text about blocks.
type blockReader struct {
	reader
	dates  []time.Time
	either bool
	named  bool // some hours were
	block  Block
	// weekday is the day of the week just read, to be held against the date behind
	// it.
	weekday int
}

// pass goes on to the next word.
func (r *blockReader) pass() {
	switch w := r.word(0); {
	case filler(w), w == "all", w == "whole", w == "again", w == "until", w == "from", w == "between", w == "and":
	default:
		r.m.Unread = append(r.m.Unread, w)
	}
	r.at++
}

// until reads "until Monday": from today up to the day before it; "by 2 January" is up to
// that day.
func (r *blockReader) until() bool {
	how := r.word(0)
	if how != "until" && how != "back" && how != "by" || len(r.dates) > 0 {
		return false
	}
	at := r.at + 1
	for r.look(at) == "on" || r.look(at) == "the" {
		at++
	}
	d, ok := r.days(at)
	if !ok || len(d.weekdays) > 1 {
		return false
	}
	end := d.first
	if len(d.weekdays) == 1 {
		if end = r.coming(d.weekdays[0]); end.Equal(r.today()) {
			end = after(end, 7)
		}
	}
	r.at = at + d.words
	if d.why != "" && d.why != TodayOrLater && d.why != NextOrThis || !end.After(r.today()) {
		r.doubt(Past, 0)
		return true
	}
	if how != "by" {
		end = after(end, -1)
	}
	r.add(r.today(), end)
	return true
}

// stretch reads days.
func (r *blockReader) stretch() bool {
	d, ok := r.mixed()
	if !ok {
		d, ok = r.days(r.at)
	}
	if !ok {
		return false
	}
	was := r.weekday
	r.weekday = 0
	switch d.why {
	case "", NextOrThis, TodayOrLater:
	default:
		r.doubt(d.why, d.words, d.on...)
		r.at += d.words
		return true
	}
	switch {
	case was > 0 && len(d.on) > 0: // "Saturday the 12th"
		r.onWeekday(time.Weekday(was-1), d)
	case len(d.weekdays) > 0:
		r.week(d)
	case len(d.on) > 0:
		for _, on := range d.on {
			if day, err := time.ParseInLocation(time.DateOnly, on, r.now.Location()); err == nil {
				r.add(day, day)
			}
		}
		r.either = r.either || len(d.on) > 1
	default:
		r.add(r.from(d).first, d.last)
	}
	r.at += d.words
	return true
}

// week takes days of the week: the next ones in a row, or one, which on that very
// day may be today or in a week.
func (r *blockReader) week(d days) {
	if d.weekdays[0] == time.Saturday && len(d.weekdays) == 2 && r.now.Weekday() == time.Sunday {
		r.add(r.today(), r.today()) // the weekend has begun
		return
	}
	first := r.coming(d.weekdays[0])
	if len(d.weekdays) == 1 {
		r.weekday = int(d.weekdays[0]) + 1
		if first.Equal(r.today()) && r.word(-1) != "this" {
			r.add(first, first)
			r.add(after(first, 7), after(first, 7))
			r.either = true
			return
		}
	}
	for i := range d.weekdays {
		r.add(after(first, i), after(first, i))
	}
}

// onWeekday replaces a day of the week by the date behind it, if that is on one.
func (r *blockReader) onWeekday(w time.Weekday, d days) {
	for r.either && len(r.dates) > 0 || len(r.dates) > 0 && r.dates[len(r.dates)-1].Weekday() == w {
		last := r.dates[len(r.dates)-1]
		if last.Weekday() != w {
			break
		}
		r.dates = r.dates[:len(r.dates)-1]
		if !r.either {
			break
		}
	}
	r.either = false
	for _, on := range d.on {
		if day, err := time.ParseInLocation(time.DateOnly, on, r.now.Location()); err == nil && day.Weekday() == w {
			r.add(day, day)
			return
		}
	}
	r.doubt(Mismatch, d.words, d.on...)
}

func (r *blockReader) add(first, last time.Time) {
	for day := first; !day.After(last) && len(r.dates) <= MostDays; day = after(day, 1) {
		r.dates = append(r.dates, day)
	}
}

// mixed reads "tomorrow to Saturday" and "Friday to the 20th".
func (r *blockReader) mixed() (days, bool) {
	d, ok := r.span(r.at)
	if link := r.word(d.words); !ok || link != "-" && link != "to" && link != "until" && link != "by" {
		return days{}, false
	}
	words := d.words + 1
	for r.word(words) == "the" {
		words++
	}
	end, ok := r.span(r.at + words)
	if !ok || d.why != "" || end.why != "" && end.why != TodayOrLater || len(d.weekdays)+len(end.weekdays) != 1 {
		return days{}, false
	}
	first, last := d.first, end.last
	switch {
	case len(d.weekdays) == 1:
		first = r.coming(d.weekdays[0])
	case len(end.weekdays) == 1:
		last = after(d.last, (int(end.weekdays[0]-d.last.Weekday())+7)%7)
	}
	return window(words+end.words, first, last), !first.After(last)
}

// hours reads what is said of the time of day.
func (r *blockReader) hours() bool {
	h, ok := r.readHours()
	if !ok || r.named {
		return false
	}
	r.weekday = 0
	r.named = true
	r.block.From, r.block.FromSaid = h.from, h.from > 0
	r.block.To, r.block.ToSaid = h.before, h.before > 0
	r.at += h.words
	return true
}

// readHours reads "2 to 4", "from 2", "after 2", "until 4", "morning", "at 2 for an
// hour".
func (r *blockReader) readHours() (hours, bool) {
	if h, ok := r.named12(r.at); ok {
		return h, true
	}
	words := 0
	how := r.word(0)
	switch how {
	case "from", "between", "after", "before", "until", "by", "at":
		words = 1
	default:
		how = ""
	}
	m, more, why, ok := r.clock(r.at+words, true)
	if _, dated := month(r.word(words + more)); !ok || dated { // "by 2 January" is no hour
		return hours{}, false
	}
	words += more
	switch link := r.word(words); {
	case link == "-" || link == "to" || link == "until" || link == "and" && how == "between":
		to, more, why, ok := r.clock(r.at+words+1, true)
		if _, dated := month(r.word(words + 1 + more)); ok && dated {
			return hours{}, false
		}
		if ok {
			if (why == HalfOfDay || to < 12*60) && to <= m {
				to += 12 * 60
			}
			return hours{words: words + 1 + more, from: m, before: to}, to > m && to <= 24*60
		}
	case link == "for":
		if length, more, ok := r.minutes(words + 1); ok {
			return hours{words: words + 1 + more, from: m, before: min(24*60, m+length)}, true
		}
	}
	if why == HalfOfDay && how != "from" && how != "at" { // "until 7", "after 7": the evening
		m += 12 * 60
	}
	switch how {
	case "until", "by", "before":
		return hours{words: words, before: m}, true
	case "from", "after":
		return hours{words: words, from: m}, true
	}
	return hours{}, false
}

// minutes reads "an hour", "2 hours", "90 minutes", "half an hour".
func (r *blockReader) minutes(at int) (n, words int, ok bool) {
	half := r.word(at) == "half"
	if half {
		words++
	}
	n = 1
	if w := r.word(at + words); w == "an" {
		words++
	} else if c, ok := count(w); ok {
		n, words = c, words+1
	}
	switch r.word(at + words) {
	case "hour", "hours", "hr", "hrs", "h":
		n *= 60
	case "minutes", "minute", "mins", "min", "m":
	default:
		return 0, 0, false
	}
	if half {
		n /= 2
	}
	return n, words + 1, n > 0
}

// blocks are what was read: days in a row together, today if there were only hours.
func (r *blockReader) blocks() Blocks {
	out := Blocks{Either: r.either, Doubts: r.m.Doubts, Unread: r.m.Unread}
	if len(out.Doubts) > 0 {
		return out
	}
	if len(r.dates) == 0 && r.named {
		r.dates = append(r.dates, r.today())
	}
	b := r.block
	if b.To == 0 {
		b.To = 24 * 60
	}
	if !r.either {
		slices.SortFunc(r.dates, time.Time.Compare)
	}
	for _, day := range r.dates {
		if n := len(out.Of); n > 0 && !r.either && !day.After(after(out.Of[n-1].Last, 1)) {
			out.Of[n-1].Last = day
			continue
		}
		b.First, b.Last = day, day
		out.Of = append(out.Of, b)
	}
	return out
}
