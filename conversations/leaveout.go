package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What a customer wants left out of the work they ask for: "inside and out but skip the
// wheels", "leave the glass out", "no sealant please". What they do not want must not be in
// the price, nor be put in because it was named.

// sparing is a piece of work that is to be left out: how they call it, and the tasks it is.
type sparing struct {
	words string
	tasks []string
}

// mostSparings is how many pieces of work one text can leave out.
const mostSparings = 8

// sparedIn are the pieces of work a text wants left out. Only tells whether it says nothing
// else that matters.
func (t *turn) sparedIn(e *Enquiry, text string) (out []sparing, only bool) {
	only = t.Reader != nil
	if !only || !t.speaksOf(wording.Plain(text), wording.SayLeavesOut) {
		return nil, false
	}
	goesOn := false // "skip the wheels and the glass"
	begun := 0
	for _, at := range append(sentenceEnds.FindAllStringIndex(text, -1), []int{len(text), len(text)}) {
		part, next := text[begun:at[0]], strings.Trim(text[at[0]:at[1]], " ")
		begun = at[1]
		words := t.bare(strings.Fields(wording.Plain(part)))
		if len(words) == 0 {
			continue
		}
		named, before := t.leftOutOf(words)
		if named == nil && goesOn {
			named, before = words, 0
		}
		only = only && before == 0
		s, ok := t.workSpared(e, named)
		if !ok || len(out) == mostSparings || len(t.Reader.Read(part).Absent) > 0 { // "no stains" in it
			only, goesOn = false, false
			continue
		}
		out, goesOn = append(out, s), next == t.typed(wording.SayAnd)[0]
	}
	return out, only && len(out) > 0
}

// bare are words without the small ones before and behind them.
func (t *turn) bare(words []string) []string {
	small := slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayAnd), t.typed(wording.SayPleased), t.typed(wording.SayCouldYou), t.typed(wording.SayRoughly))
	for len(words) > 0 && longestOf(t.typed(wording.SayLeavesOut), words) == 0 {
		n := longestOf(small, words)
		if n == 0 {
			break
		}
		words = words[n:]
	}
	for len(words) > 0 && longestOf(small, words[len(words)-1:]) == 1 {
		words = words[:len(words)-1]
	}
	return words
}

// leftOutOf are the words behind those that leave something out, nil if none do, and how
// many stand before: "skip the wheels", "full valet except the wheels", "leave the glass as
// it is".
func (t *turn) leftOutOf(words []string) (of []string, before int) {
	for i := range words {
		n := longestOf(t.typed(wording.SayLeavesOut), words[i:])
		if n == 0 {
			continue
		}
		of = words[i+n:]
		for k := range of {
			if m := longestOf(t.typed(wording.SayLeftThere), of[k:]); m > 0 && k+m == len(of) {
				return of[:k], i
			}
		}
		return of, i
	}
	return nil, 0
}

// workSpared is the work that some words name. It is none if one of them is no name of work,
// "without scratching the wheels", or all of a side is meant, which is asked for by itself.
func (t *turn) workSpared(e *Enquiry, words []string) (sparing, bool) {
	const most = 4
	small := slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayDoing))
	var named []string
	for len(words) > 0 {
		if n := longestOf(small, words); n > 0 {
			words = words[n:]
			continue
		}
		named, words = append(named, words[0]), words[1:]
	}
	if len(named) == 0 || len(named) > most {
		return sparing{}, false
	}
	s := sparing{words: strings.Join(named, " ")}
	whole := t.workNamed(named)
	if len(t.lineWords(named)) == len(named) && (len(named) > 1 || !slices.ContainsFunc(whole, t.isSide)) { // "inside" is no inside of the glass
		s.tasks = t.linesCalled(named)
	}
	if len(s.tasks) == 0 {
		if slices.ContainsFunc(whole, func(w string) bool { return t.isSide(w) || w == "polish" || slices.Contains(e.Answers[askWants], w) }) {
			return sparing{}, false
		}
		for _, id := range t.Rules.Order() {
			if t.isWork(id) && slices.ContainsFunc(whole, func(w string) bool { return string(t.areaOf(id)) == w || t.holdsWant([]string{id}, w) }) {
				s.tasks = append(s.tasks, id)
			}
		}
		for _, w := range named {
			if r := t.Reader.Read(w); len(r.Wants)+len(r.Tasks)+len(r.Hints)+len(r.Named) == 0 {
				return sparing{}, false
			}
		}
	}
	if slices.ContainsFunc(s.tasks, func(id string) bool { return slices.Contains(e.Answers[askWants], id) }) {
		return sparing{}, false // it was asked for: other work is asked for now
	}
	also := t.needing(s.tasks) // nobody dresses the tyres of dirty wheels
	if len(also) > mostHanging || len(t.needing(slices.Concat(s.tasks, also))) > 0 || t.isPartOf(named, s.tasks) {
		return sparing{}, false // more hangs on it than they think, or it is one step with more
	}
	s.tasks = append(s.tasks, also...)
	return s, len(s.tasks) > 0
}

// isSide tells whether a name is that of one side of the car, or of all there is of it.
func (t *turn) isSide(name string) bool { return name == "exterior" || t.wholeSide(name) }

// needing are the other tasks that are not done without one of some.
func (t *turn) needing(ids []string) (out []string) {
	for _, id := range t.Rules.Order() {
		task, _ := t.Rules.Task(id)
		if !slices.Contains(ids, id) && slices.ContainsFunc(task.Needs, func(need string) bool {
			return slices.ContainsFunc(strings.Split(need, " or "), func(of string) bool { return slices.Contains(ids, of) })
		}) {
			out = append(out, id)
		}
	}
	return out
}

// spares keeps what they want left out, to be said back.
func (h *heard) spares() {
	out, _ := h.sparedIn(h.e, h.text)
	for _, s := range out {
		some := false
		for _, id := range s.tasks {
			if !slices.Contains(h.e.Spared, id) {
				h.e.Spared = append(h.e.Spared, id)
				h.filled, some = append(h.filled, heardSpared+id), true
			}
		}
		if some {
			h.tell(h.word(wording.SaidWithout, wording.Facts{Text: s.words}))
		}
	}
}

// lessWork takes a text at the price that only wants something left out of it, and reports
// whether it was one: there has to be some of it in the price, and no longer once it is
// left out.
func (t *turn) lessWork(e *Enquiry, text string) bool {
	out, only := t.sparedIn(e, text)
	r := t.heardIn(text)
	besides := len(r.When) > 0 || t.wantsNow(e, r, text) != nil // who is heard of these is heard of this
	if len(out) == 0 || !only && besides || e.Quote.NeedSee != "" || e.Quote.Refused != "" {
		return false
	}
	in := func(s sparing) bool {
		return slices.ContainsFunc(s.tasks, func(id string) bool { return slices.Contains(e.Quote.Tasks, id) })
	}
	if !slices.ContainsFunc(out, in) {
		return false
	}
	was := slices.Clone(e.Spared)
	for _, s := range out {
		e.Spared = append(e.Spared, s.tasks...)
	}
	without, err := t.quoted(t.priced(e))
	e.Spared = was
	left := tasksOf(without)
	still := func(s sparing) bool {
		return slices.ContainsFunc(s.tasks, func(id string) bool { return slices.Contains(left, id) })
	}
	if err != nil || !slices.ContainsFunc(left, t.isWork) || slices.ContainsFunc(out, still) {
		return false // the rest cannot be done without it: the boss's to say
	}
	said := t.hearWhat(e, text, reading.Reading{})
	if figure, some := readQuote(t, e, text); some && e.answer(askBudget) != figure[0] { // "do it for 90 without the wheels"
		t.retract(e, askBudget)
		e.Answers[askBudget], e.Trail = figure, append(e.Trail, askBudget)
	}
	t.retract(e, askQuote)
	e.Rev++
	e.At = ""
	t.put(e, t.understood(said))
	return true
}

// sparedNames are what the customer wants left out, as it is called in a list: a part of the
// car where nothing else is done to it, else the work.
func (t *turn) sparedNames(e *Enquiry) (names []string) {
	spared := t.sparedBy(e)
	if len(spared) == 0 {
		return nil
	}
	done := t.doneFor(e, spared)
	var families []string
	for _, id := range done {
		families = append(families, t.familyOf(id))
	}
	for _, id := range spared {
		task, _ := t.Rules.Task(id)
		if slices.Contains(done, id) || t.hangsOn(id, spared) || task.Family != "" && slices.Contains(families, task.Family) {
			continue // of what took its place nothing is missing
		}
		families = append(families, task.Family)
		name := t.areaName(task.Area)
		if name == "" || slices.ContainsFunc(done, func(other string) bool { return t.areaOf(other) == task.Area }) {
			name = task.Words
		}
		if name = short([]string{name})[0]; !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// hangsOn tells whether a task needs another of some, so that it went out with that.
func (t *turn) hangsOn(id string, spared []string) bool {
	others := slices.DeleteFunc(slices.Clone(spared), func(o string) bool { return o == id })
	return slices.Contains(t.needing(others), id)
}

// doneFor is the work that is in a price, or may come to be where there is none yet.
func (t *turn) doneFor(e *Enquiry, spared []string) (done []string) {
	if e.Quote != nil {
		return e.Quote.Tasks
	}
	for _, id := range t.Rules.Order() {
		if !slices.Contains(spared, id) && slices.ContainsFunc(e.Answers[askWants], func(w string) bool { return t.holdsWant([]string{id}, w) }) {
			done = append(done, id)
		}
	}
	return done
}

// familyOf is the family of a task, empty if it has none.
func (t *turn) familyOf(id string) string {
	task, _ := t.Rules.Task(id)
	return task.Family
}

// sparedBy are the tasks the customer wants left out, but for those that are in what they
// have asked for since: "and the wheels after all".
func (t *turn) sparedBy(e *Enquiry) (out []string) {
	wanted := func(task pricing.Task) bool {
		return slices.ContainsFunc(e.Answers[askWants], func(w string) bool {
			return w == task.ID || !t.wholeSide(w) && (w == string(task.Area) || w != "exterior" && len(task.For[w]) > 0)
		})
	}
	for _, id := range e.Spared {
		task, ok := t.Rules.Task(id)
		if !ok || wanted(task) {
			continue
		}
		out = append(out, id)
	}
	return out
}
