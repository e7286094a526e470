package when

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/conversations/diary"
)

// days are what a phrase about days means: days of the week, single dates, or a
// window from the first day to the last.
type days struct {
	words       int
	weekdays    []time.Weekday
	on          []string
	first, last time.Time
	why         Why
	// number is the day of a month that was not named.
	number int
}

func (d days) window() bool { return len(d.weekdays)+len(d.on) == 0 && !d.first.IsZero() }

// times are the days as the diary reads them.
func (d days) times() diary.Times {
	t := diary.Times{Weekdays: d.weekdays, On: d.on}
	if d.window() {
		t.From, t.To = d.first, d.last.AddDate(0, 0, 1)
	}
	return t
}

// dates are the days a doubt is about.
func (d days) dates() []string {
	switch {
	case len(d.on) > 0 || d.first.IsZero():
		return d.on
	case d.first.Equal(d.last):
		return []string{key(d.first)}
	}
	return []string{key(d.first), key(d.last)}
}

func key(t time.Time) string { return t.Format(time.DateOnly) }

// today is the midnight that begins it, and day the one so many days later.
func (r *reader) today() time.Time { return r.day(0) }

func (r *reader) day(n int) time.Time { return after(r.now, n) }

func after(t time.Time, days int) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d+days, 0, 0, 0, 0, t.Location())
}

// coming is the next such day of the week, today included.
func (r *reader) coming(d time.Weekday) time.Time {
	return r.day((int(d-r.now.Weekday()) + 7) % 7)
}

// monday begins the week of a day.
func monday(t time.Time) time.Time { return after(t, -(int(t.Weekday())+6)%7) }

func date(words int, day time.Time) days {
	return days{words: words, on: []string{key(day)}, first: day, last: day}
}

func window(words int, first, last time.Time) days {
	return days{words: words, first: first, last: last}
}

// days reads a phrase about days at a word, and a range of two.
func (r *reader) days(at int) (days, bool) {
	if d, ok := r.ofMonths(at); ok {
		return d, true
	}
	d, ok := r.span(at)
	if !ok {
		return d, false
	}
	link := r.look(at + d.words)
	if link == "by" && len(d.on) == 1 && d.number == 0 { // "24 December by 2 January"
		if end, ok := r.dated(at + d.words + 1); ok && end.number == 0 && len(end.on) == 1 {
			link = "to"
		}
	}
	if link != "-" && link != "to" && link != "until" && (link != "and" || r.look(at-1) != "between" && r.look(at-2) != "between") {
		return d, true
	}
	next := at + d.words + 1
	for r.look(next) == "the" {
		next++
	}
	end, ok := r.span(next)
	if !ok {
		return d, true
	}
	words := next + end.words - at
	switch {
	case len(d.weekdays) == 1 && len(end.weekdays) == 1:
		all := days{words: words}
		for w := d.weekdays[0]; ; w = (w + 1) % 7 {
			all.weekdays = append(all.weekdays, w)
			if w == end.weekdays[0] {
				return all, true
			}
		}
	case len(d.weekdays)+len(end.weekdays) > 0 || d.first.IsZero() || end.first.IsZero():
		return d, true
	case d.number > 0 && end.number == 0: // "3rd to 10th of March"
		if first := time.Date(end.first.Year(), end.first.Month(), d.number, 0, 0, 0, 0, r.now.Location()); !first.After(end.last) {
			d.first = first
		}
	case d.first.After(end.last) && end.number > 0: // "28th to 3rd"
		end.last = time.Date(d.first.Year(), d.first.Month()+1, end.number, 0, 0, 0, 0, r.now.Location())
	}
	if d.first.After(end.last) {
		return d, true
	}
	return window(words, d.first, end.last), true
}

// ofMonths reads "24 to 26 December", which without its ordinals may be anything.
func (r *reader) ofMonths(at int) (days, bool) {
	n, ok := ordinal(r.look(at))
	if link := r.look(at + 1); !ok || link != "-" && link != "to" && link != "until" && (link != "and" || r.look(at-1) != "between") {
		return days{}, false
	}
	last, ok := r.dated(at + 2)
	if !ok || last.why != "" || len(last.on) != 1 || last.number > 0 {
		return days{}, false
	}
	y, m, d := last.first.Date()
	if n >= d {
		return days{}, false
	}
	first := time.Date(y, m, n, 0, 0, 0, 0, r.now.Location())
	return r.from(window(2+last.words, first, last.last)), true
}

// look is the i-th word, empty where there is none.
func (r *reader) look(i int) string {
	if i < 0 || i >= len(r.words) {
		return ""
	}
	return r.words[i]
}

// span reads one phrase about days. The more words it could take, the earlier it
// is tried.
func (r *reader) span(at int) (days, bool) {
	for _, read := range []func(int) (days, bool){r.dayAfter, r.numbered, r.relative, r.week, r.weekdayAhead, r.dated, r.monthly, r.weekly} {
		if d, ok := read(at); ok {
			return d, true
		}
	}
	return days{}, false
}

// weekly reads "Saturday", "weekend", "weekdays".
func (r *reader) weekly(at int) (days, bool) {
	switch w := r.look(at); w {
	case "weekend":
		return days{words: 1, weekdays: []time.Weekday{time.Saturday, time.Sunday}}, true
	case "weekday":
		return days{words: 1, weekdays: []time.Weekday{time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday}}, true
	default:
		day, ok := weekday(w)
		return days{words: 1, weekdays: []time.Weekday{day}}, ok
	}
}

// dated reads "14/3", "14/3/27", "2027-03-14", "the 14th of March", "March 14",
// "the 3rd".
func (r *reader) dated(at int) (days, bool) {
	w := r.look(at)
	if parts := strings.Split(w, "-"); len(parts) == 3 {
		return r.inYear(1, atoi(parts[2]), time.Month(atoi(parts[1])), parts[0]), true
	}
	if parts := strings.Split(w, "/"); len(parts) > 1 && parts[0] != "w" {
		year := ""
		if len(parts) == 3 {
			year = parts[2]
		}
		d, m := atoi(parts[0]), atoi(parts[1])
		return r.inYear(1, d, time.Month(m), year), true
	}
	if m, ok := month(w); ok {
		if n, ok := ordinal(r.look(at + 1)); ok {
			words, year := r.year(at + 2)
			return r.inYear(2+words, n, m, year), true
		}
	}
	n, ok := ordinal(w)
	if !ok {
		return days{}, false
	}
	of := at + 1
	if r.look(of) == "of" {
		of++
	}
	if m, ok := month(r.look(of)); ok {
		words, year := r.year(of + 1)
		return r.inYear(of+1+words-at, n, m, year), true
	}
	if !strings.HasSuffix(w, "st") && !strings.HasSuffix(w, "nd") && !strings.HasSuffix(w, "rd") && !strings.HasSuffix(w, "th") {
		return days{}, false
	}
	return r.ofMonth(n), true
}

// year reads a year of four figures, if there is one.
func (r *reader) year(at int) (words int, year string) {
	if w := r.look(at); len(w) == 4 && w >= "2000" && w <= "2999" {
		return 1, w
	}
	return 0, ""
}

// farthest is for how many years after this one a date is believed.
const farthest = 2

// inYear is a date of a year, or without one, of the next.
func (r *reader) inYear(words, day int, m time.Month, year string) days {
	y := r.now.Year()
	if year != "" {
		if y = atoi(year); y >= 0 && y < 100 {
			y += 2000
		}
	}
	t := time.Date(y, m, day, 0, 0, 0, 0, r.now.Location())
	if year == "" && t.Before(r.today()) {
		t = time.Date(y+1, m, day, 0, 0, 0, 0, r.now.Location())
	}
	if m < 1 || m > 12 || t.Day() != day || y > r.now.Year()+farthest {
		return days{words: words, why: NoSuchDate}
	}
	return r.past(date(words, t))
}

// ofMonth is the next such day of a month.
func (r *reader) ofMonth(n int) days {
	y, m, today := r.now.Date()
	if n < today {
		m++
	}
	t := time.Date(y, m, n, 0, 0, 0, 0, r.now.Location())
	d := date(1, t)
	d.number = n
	switch {
	case t.Day() != n || n == 0:
		return days{words: 1, why: NoSuchDate}
	case n == today:
		d.why = TodayOrLater
		if later := time.Date(y, m+1, n, 0, 0, 0, 0, r.now.Location()); later.Day() == n {
			d.on, d.last = append(d.on, key(later)), later
		}
	}
	return d
}

// past says so if days are over.
func (r *reader) past(d days) days {
	if d.last.Before(r.today()) {
		d.why = Past
	}
	return d
}

// ordinal reads a day of a month, "14" or "14th".
func ordinal(w string) (int, bool) {
	w = strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(w, "st"), "nd"), "rd"), "th")
	n := atoi(w)
	return n, n > 0 && n <= 31
}

// atoi reads figures, -1 if there is anything else.
func atoi(w string) int {
	n, err := strconv.Atoi(w)
	if err != nil || n < 0 {
		return -1
	}
	return n
}

// merged are the days of two readings.
func merged(words int, why Why, readings ...days) days {
	d := days{words: words, why: why, first: readings[0].first}
	for _, o := range readings {
		for day := o.first; !day.After(o.last); day = after(day, 1) {
			if k := key(day); !slices.Contains(d.on, k) {
				d.on = append(d.on, k)
			}
		}
		d.last = o.last
	}
	return d
}
