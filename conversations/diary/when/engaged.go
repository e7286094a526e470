package when

import (
	"slices"

	"example.org/dryhand/conversations/diary"
)

// engagements are what people are busy with at an hour: "the hairdresser at 2" is when they
// cannot, and no hour to come at. Common words, no source.
var engagements = []string{"hairdresser", "hairdressers", "barber", "barbers", "dentist", "dentists", "doctor", "doctors", "gp", "nurse", "hospital", "clinic",
	"vet", "vets", "physio", "chiropodist", "optician", "opticians", "appointment", "appt", "meeting", "interview", "lesson", "class", "gym", "yoga", "golf",
	"church", "funeral", "wedding", "flight", "train", "shift", "scan", "nursery", "pickup", "match", "rehearsal"}

// noEngagement are words with which "I have … at 2" tells of no engagement.
var noEngagement = []string{"time", "slot", "car", "it", "you", "that", "this", "anything", "free", "gap", "not", "until", "by", "from", "before", "after", "at", "and", "or", ",", ".", "if"}

// engaged reads what somebody says they are busy with, up to the hour: "I have the
// hairdresser at 2", "got the dentist at 10".
func (r *reader) engaged() bool {
	n, told := 0, false
	for _, said := range [][]string{{"i", "have", "got"}, {"i", "have"}, {"i", "got"}, {"ive", "got"}, {"ive"}} {
		if rest := r.words[r.at:]; len(rest) > len(said) && slices.Equal(rest[:len(said)], said) {
			n, told = len(said), true
			break
		}
	}
	const most = 5 // words for what it is
	for from := n; n-from < most; n++ {
		w := r.word(n)
		if w == "at" && n > from {
			break
		}
		if w == "" || slices.Contains(noEngagement, w) {
			return false
		}
		if _, day := weekday(w); day {
			return false
		}
		told = told || slices.Contains(engagements, w)
		if !told && w != "the" && w != "a" && w != "an" && w != "my" {
			return false
		}
	}
	if !told || r.word(n) != "at" {
		return false
	}
	m, words, why, ok := r.clock(r.at+n+1, true)
	if !ok {
		return false
	}
	if why == "" {
		r.busy = m
	}
	r.at += n + 1 + words
	return true
}

// keepClear takes the hour somebody is busy at out of the times they named: the work is
// done by then, or begins when an hour has passed.
func (r *reader) keepClear() {
	if r.busy == 0 {
		return
	}
	const hour = 60
	var out []diary.Times
	for _, t := range r.m.Prefer {
		if t.StartFrom < r.busy {
			before := t
			before.DoneBy = least(t.DoneBy, r.busy)
			out = append(out, before)
		}
		if (t.StartBefore == 0 || t.StartBefore > r.busy+hour) && (t.DoneBy == 0 || t.DoneBy > r.busy+hour) {
			later := t
			later.StartFrom = max(t.StartFrom, r.busy+hour)
			out = append(out, later)
		}
	}
	if len(out) > 0 {
		r.m.Prefer = out
	}
}
