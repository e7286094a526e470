package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Whoever has his hands in a car reads the step he is at, and nothing else. So what was
// promised of a piece of work, and what they told of where the hair or the stain is, stands
// beside the step it is about.

// besideSteps puts beside the steps of a sheet what was promised and told of each, and at its
// head what they told besides.
func (t *turn) besideSteps(e *Enquiry, s *jobsheet.Sheet) {
	defer t.asTheSheet()()
	told := t.toldOfParts(e)
	beside := map[pricing.Area]bool{}
	for i := range s.Steps {
		s.Steps[i].Said = t.stepSaid(e, s.Steps[i].Task, told)
		task, _ := t.Rules.Task(s.Steps[i].Task)
		beside[task.Area] = true
	}
	for _, x := range told {
		asked := len(x.areas) == 0 && t.Reader != nil && slices.Contains(t.Reader.Read(x.text).Asks, "price") // answered by now
		if !asked && !slices.ContainsFunc(x.areas, func(a pricing.Area) bool { return beside[a] }) {
			s.Said = append(slices.Clip(s.Said), t.word(wording.LineNoted, wording.Facts{Text: x.text, Earlier: x.before}))
		}
	}
}

// stepSaid are the lines beside one step: where it stops, as they were told, and what they
// told of the part it is about.
func (t *turn) stepSaid(e *Enquiry, id string, told []toldOfPart) (lines []string) {
	if stop := e.Quote.Stops[id]; stop > 0 {
		lines = append(lines, t.word(wording.LineStops, wording.Facts{Minutes: stop}))
	}
	task, _ := t.Rules.Task(id)
	for _, x := range told {
		if task.Area != "" && slices.Contains(x.areas, task.Area) {
			lines = append(lines, t.word(wording.LineTold, wording.Facts{Text: x.text, Earlier: x.before}))
		}
	}
	return lines
}

// toldOfPart is what they told of some parts of a car, in their words. No parts: it says
// nothing of the state of any.
type toldOfPart struct {
	note
	areas []pricing.Area
}

// note is something they wrote for the owner to read, and what it takes back, if it does, of
// what they had written before.
type note struct{ text, before string }

// standingNotes are the notes that hold: one that was taken back stands with the one that did.
func (t *turn) standingNotes(e *Enquiry) (notes []note) {
	for _, text := range e.Noted {
		n := note{text: text}
		if at := slices.IndexFunc(notes, func(was note) bool { return t.unsays(text, was.text) }); at >= 0 {
			n.before = notes[at].text
			notes = slices.Delete(notes, at, at+1)
		}
		notes = append(notes, n)
	}
	return notes
}

// unsays tells whether a text says that there is none of what one before it spoke of:
// "there's a scratch on the door", "sorry, no scratch".
func (t *turn) unsays(text, was string) bool {
	had, not := strings.Fields(wording.Plain(was)), t.typed(wording.SayNo)
	words := strings.Fields(wording.Plain(text))
	for i := range words {
		if i == 0 || !slices.Contains(not, words[i-1]) || len([]rune(words[i])) < leastNamed {
			continue
		}
		one := strings.TrimSuffix(words[i], "s")
		for k, w := range had {
			if strings.TrimSuffix(w, "s") == one && (k == 0 || !slices.Contains(not, had[k-1])) {
				return true
			}
		}
	}
	return false
}

// leastNamed is how many letters the name of something on a car has at least.
const leastNamed = 3

// toldOfParts are what they began with, as far as it tells of a part that costs nothing
// unless somebody tells of it, as hair and stains are, and all they wrote besides. Each is
// read once, as reading is what takes long.
func (t *turn) toldOfParts(e *Enquiry) (told []toldOfPart) {
	for _, x := range t.partsTold(e, note{text: e.First}) {
		if len(x.areas) > 0 {
			told = append(told, x)
		}
	}
	for _, n := range t.standingNotes(e) {
		if n.text != e.First {
			told = slices.Concat(told, t.partsTold(e, n))
		}
	}
	return told
}

// partsTold are the sentences of a text that tell of parts, or all of it without parts if none
// does.
func (t *turn) partsTold(e *Enquiry, n note) (told []toldOfPart) {
	text := strings.Join(strings.Fields(n.text), " ")
	n.text = text
	if t.Reader == nil || text == "" {
		return []toldOfPart{{note: n}}
	}
	g := t.glossOf(t.languageOf(e.Chat))
	read := text
	if g != nil {
		read = g.English(text)
	}
	r := t.Reader.Read(read)
	areas := map[string][]pricing.Area{}
	tells := func(a pricing.Area, at int) {
		if !t.onlyIfTold(a) {
			return
		}
		s := text // of another language nobody knows which word stood where
		if g == nil {
			s = sentenceAt(text, at)
		}
		if !slices.Contains(areas[s], a) {
			areas[s] = append(areas[s], a)
		}
	}
	for _, h := range r.Hints {
		for _, a := range t.Reader.About(h.Evidence) {
			tells(a, h.Span.From)
		}
	}
	for _, x := range r.Tells {
		tells(x.Area, x.Span.From)
	}
	if len(areas) == 0 {
		return []toldOfPart{{note: n}}
	}
	for _, s := range append(sentences(text), text) {
		if areas[s] != nil {
			told = append(told, toldOfPart{note{strings.TrimSpace(s), n.before}, areas[s]})
			delete(areas, s)
		}
	}
	return told
}

// onlyIfTold tells whether a part costs nothing unless somebody tells of it.
func (t *turn) onlyIfTold(a pricing.Area) bool {
	rule, ok := t.Rules.Area(a)
	return ok && rule.OnlyIfTold
}

// sentenceAt is the sentence of a text that holds a place in it.
func sentenceAt(text string, at int) string {
	for _, s := range sentences(text) {
		if at < len(s) {
			return s
		}
		at -= len(s)
	}
	return text
}
