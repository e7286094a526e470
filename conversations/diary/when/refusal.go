package when

import (
	"slices"

	"example.org/dryhand/conversations/diary"
)

// refusal reads "not Fridays", "no mornings", "except the 14th or the 15th".
func (r *reader) refusal() bool {
	if r.word(0) != "not" && !r.butNot() {
		return false
	}
	if r.asksAnyway() {
		return true
	}
	if how, _ := r.preposition(); how != "" {
		return r.bound()
	}
	start, any, unclear := r.at, false, false
	r.at++
	for {
		back := r.at
		if any {
			r.at++ // the joint
		}
		r.passFillers()
		if !r.refuse(unclear) {
			r.at = back
			break
		}
		any = true
		if w := r.word(0); w != "or" && w != "and" && w != "," && w != "/" {
			break
		}
		unclear = unclear || r.word(0) == "," && !r.closes(r.at+1)
	}
	if !any {
		r.at = start
	}
	return any
}

// asksAnyway passes over the "not" of a question that asks for what stands behind it: "can we
// not do Saturday then", "can't you do Friday?". "Can you not do Fridays please" is no
// question.
func (r *reader) asksAnyway() bool {
	who := func(w string) bool { return w == "we" || w == "you" || w == "u" || w == "i" || w == "it" }
	asks := (r.word(-2) == "can" || r.word(-2) == "could") && who(r.word(-1)) || r.at < len(r.words) && who(r.word(1)) && r.word(2) == "do" && r.starts()
	if r.word(0) != "not" || !asks || slices.Contains(r.words[r.at:], "please") {
		return false
	}
	r.at++
	return true
}

// starts tells whether a word begins a sentence.
func (r *reader) starts() bool {
	w := r.word(-1)
	return w == "" || w == "." || w == "," || w == "oh" || w == "ok" || w == "so"
}

// butNot tells whether "but" stands for "not", as in "any day but Friday".
func (r *reader) butNot() bool {
	switch r.word(-1) {
	case "day", "days", "time", "anytime", "anyday", "anything":
		return r.word(0) == "but" && r.word(1) != "not"
	}
	return false
}

// closes tells whether a list of days goes on from a word to an "or", so that
// all of it is one list: "the 15th, 16th or 17th".
func (r *reader) closes(at int) bool {
	for {
		for w := r.look(at); w == "the" || w == "on"; w = r.look(at) {
			at++
		}
		d, ok := r.days(at)
		if !ok {
			return false
		}
		if at += d.words; r.look(at) == "or" || r.look(at) == "and" {
			return true
		}
		if r.look(at) != "," {
			return false
		}
		at++
	}
}

// passFillers goes on to what is refused: "not on a Friday", "can't do mornings".
func (r *reader) passFillers() {
	for {
		switch r.word(0) {
		case "on", "the", "any", "do", "a", "in", "make", "it", "come", "be", "there", "at", "free", "available":
		default:
			return
		}
		if _, ok := r.days(r.at); ok {
			return
		}
		r.at++
	}
}

// refuse excludes the days or hours at hand, unless it is unclear whether they
// are meant.
func (r *reader) refuse(unclear bool) bool {
	if d, ok := r.days(r.at); ok {
		h, hour := r.part(r.at + d.words)
		if hour {
			d.words += h.words
		}
		switch {
		case unclear:
			r.doubt(Scope, d.words, d.dates()...)
		case hour && h.why == "" && r.note(d): // "not Friday afternoon" leaves Friday morning
			if t, ok := both(d.times(), diary.Times{StartFrom: h.from, StartBefore: h.before, DoneBy: h.done}); ok {
				r.m.Not = append(r.m.Not, t)
			}
		case hour:
			r.doubt(Scope, d.words, d.dates()...)
		case r.note(d):
			r.exclude(d)
		}
		r.at += d.words
		return true
	}
	h, ok := r.part(r.at)
	if !ok {
		return false
	}
	only := &r.m.Only
	switch {
	case unclear || h.why != "":
		r.doubt(Scope, h.words)
	case h.from > 0 && h.before > 0:
		r.m.Not = append(r.m.Not, diary.Times{StartFrom: h.from, StartBefore: h.before})
	case h.from > 0:
		only.StartBefore = least(only.StartBefore, h.from)
	default:
		only.StartFrom = max(only.StartFrom, h.before)
	}
	r.at += h.words
	return true
}

// exclude takes days out.
func (r *reader) exclude(d days) {
	only := &r.m.Only
	only.Not = union(only.Not, d.weekdays)
	switch {
	case len(d.on) > 0:
		only.NotOn = union(only.NotOn, d.on)
	case d.window():
		// What is over needs no taking out, and may have begun a thousand years ago.
		first := d.first
		if today := r.today(); first.Before(today) {
			first = today
		}
		for day := first; !day.After(d.last); day = after(day, 1) {
			only.NotOn = append(only.NotOn, key(day))
		}
	}
}
