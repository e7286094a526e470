package when

import (
	"slices"

	"example.org/dryhand/conversations/diary"
)

// noGood is how many words from one on say that what was named before them does not suit,
// "is no good for me", "doesn't work"; 0 if they do not.
func (r *reader) noGood(at int) int {
	i := at
	for slices.Contains([]string{"is", "are", "s", "time", "one", "would", "be", "really", "its", "thats"}, r.look(i)) {
		i++
	}
	if w := r.look(i); w != "not" && w != "isnt" && w != "arent" && w != "doesnt" && w != "wouldnt" && w != "no" {
		return 0
	}
	i++
	for slices.Contains([]string{"any", "be", "really", "going", "to", "so", "too", "very", "a", "much"}, r.look(i)) {
		i++
	}
	if !slices.Contains([]string{"good", "use", "suit", "suitable", "work", "possible", "ok", "okay", "great", "convenient", "ideal", "go", "best"}, r.look(i)) {
		return 0
	}
	i++
	if r.look(i) == "for" && (r.look(i+1) == "me" || r.look(i+1) == "us") {
		i += 2
	}
	return i - at
}

// struck reads what says that the time just named does not suit, "Tuesday the 20th, 12 is no
// good": it is struck out rather than wished for.
func (r *reader) struck() bool {
	if n := atoi(r.word(0)); n >= 1 && n <= 12 && r.noGood(r.at+1) > 0 {
		if m, words, why, ok := r.clock(r.at, true); ok {
			r.addHours(near(words, m, 15, why))
			r.at += words
		}
	}
	n := r.noGood(r.at)
	if n == 0 || r.current.Any() && len(r.list) == 0 {
		return false
	}
	comma := false
	for i := r.at - 1; i >= 0 && r.words[i] != "." && !comma; i-- {
		comma = r.words[i] == ","
	}
	out := []diary.Times{r.current}
	if !comma { // "Thursday or Friday is no good"
		out, r.list = slices.Concat(r.list, out), nil
	}
	r.current, r.joined = diary.Times{}, ""
	for _, t := range out {
		r.strike(t)
	}
	r.at += n
	return true
}

// strike takes times out: hours on their days, or days whole.
func (r *reader) strike(t diary.Times) {
	switch {
	case t.Any():
	case hasHours(t):
		r.m.Not = append(r.m.Not, t)
	case !t.From.IsZero() && !t.To.IsZero():
		r.exclude(window(0, t.From, after(t.To, -1)))
	case len(t.On) > 0:
		r.exclude(days{on: t.On})
	default:
		r.exclude(days{weekdays: t.Weekdays})
	}
}
