package conversations

import (
	"fmt"
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// The lines of a price have names that people use: "dash in, door edges out". What hangs on
// a line goes out with it, and where much does, or the name is that of a part of a line only,
// it stays and that is said.

// piece is some words that put work into a job, or take it out of it.
type piece struct {
	words []string
	out   bool
}

// pieces are what a text puts in and takes out: "stains in, smell out", "the stain instead
// of the smell". What is asked counts only where that is said.
func (t *turn) pieces(text string, asked bool) (all []piece) {
	takes, puts, behind := slices.Concat(t.typed(wording.SayTakesOut), t.typed(wording.SayLeavesOut)), t.typed(wording.SayPutsIn), t.typed(wording.SayLeftThere)
	for _, s := range sentences(strings.NewReplacer(",", ". ", ";", ". ", " - ", ". ").Replace(text)) {
		if strings.Contains(s, "?") && !asked {
			continue
		}
		words, off := strings.Fields(wording.Plain(s)), false
		var some []string
		settle := func(out bool) {
			if len(some) > 0 {
				all, some = append(all, piece{some, out}), nil
			}
		}
		for i := 0; i < len(words); {
			n, m := longestOf(takes, words[i:]), longestOf(puts, words[i:])
			switch {
			case n > 0 && n >= m && len(some) > 0 && longestOf(behind, words[i:]) == n && len(t.called(some)) > 0: // "the smell out"
				settle(true)
				off = false
				i += n
			case n > 0 && n >= m:
				settle(off)
				off = true
				i += n
			case m > 0:
				settle(off)
				off = false
				i += m
			default:
				some = append(some, words[i])
				i++
			}
		}
		settle(off)
	}
	return all
}

// called are the lines, or else the parts of the car, that some words name.
func (t *turn) called(words []string) []string {
	if ids := t.linesCalled(words); len(ids) > 0 {
		return ids
	}
	return t.partsCalled(words)
}

// partsCalled are the pieces of work and the parts of the car that some words name anywhere:
// what the owner writes to a customer of a boot lid is no line of the list.
func (t *turn) partsCalled(words []string) []string {
	return slices.DeleteFunc(slices.Clone(t.workNamed(words)), t.wholeSide)
}

// linesCalled are the pieces of work whose lines have all of some words in them that any line
// has: "the dash needs it" names those with a dash.
func (t *turn) linesCalled(words []string) (ids []string) {
	named := t.lineWords(words)
	if len(named) == 0 {
		return nil
	}
	for _, id := range t.Rules.Order() {
		line := t.lineOf(id)
		if t.isWork(id) && !slices.ContainsFunc(named, func(w string) bool { return !slices.Contains(line, w) }) {
			ids = append(ids, id)
		}
	}
	return ids
}

// lineWords are those of some words that stand in the line of any work and are not small.
func (t *turn) lineWords(words []string) (named []string) {
	const least = 3 // letters
	small := slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayDoing), t.typed(wording.SayAnd), t.typed(wording.SayPutsIn),
		t.typed(wording.SayTakesOut), t.typed(wording.SayThatOne), t.typed(wording.LabelInside), t.typed(wording.LabelOutside), t.typed(wording.SayPleased))
	known := map[string]bool{}
	for _, id := range t.Rules.Order() {
		for _, w := range t.lineOf(id) {
			known[w] = t.isWork(id) || known[w]
		}
	}
	for _, w := range words {
		if one := singular(w); len(w) >= least && !slices.Contains(small, w) && known[one] {
			named = append(named, one)
		}
	}
	return named
}

// lineOf are the words of some work as they stand on a button.
func (t *turn) lineOf(id string) (words []string) {
	const most = 5 // words of a sentence: "the smell traced and treated where it comes from"
	task, _ := t.Rules.Task(id)
	line := forButton(task.Words)
	all := strings.Fields(wording.Plain(line))
	if !strings.Contains(line, ",") {
		all = all[:min(most, len(all))]
	}
	for _, w := range all {
		words = append(words, singular(w))
	}
	return words
}

// singular is a word without the s of several.
func singular(word string) string {
	if strings.HasSuffix(word, "ss") {
		return word
	}
	return strings.TrimSuffix(word, "s")
}

// isPartOf tells whether some words name no more than a part of what is done in one step, and
// not the first: the boot of "seats, carpets, mats and boot".
func (t *turn) isPartOf(words, ids []string) bool {
	named := t.lineWords(words)
	return len(named) > 0 && slices.ContainsFunc(ids, func(id string) bool {
		task, _ := t.Rules.Task(id)
		first, rest, several := strings.Cut(forButton(task.Words), ",")
		if !several {
			return false
		}
		has := func(in string) bool {
			return slices.ContainsFunc(strings.Fields(wording.Plain(in)), func(w string) bool { return slices.Contains(named, singular(w)) })
		}
		return !has(first) && has(rest)
	})
}

// mostHanging is how many pieces of work go out with one that somebody names.
const mostHanging = 3

// hangingOn is the work among some that cannot be done once other work is left out, as nobody
// dresses the tyres of dirty wheels. It is not ok where more hangs on that in turn, or so much
// that nobody means it who names one line.
func (t *turn) hangingOn(among, out []string) (also []string, ok bool) {
	also = t.hanging(among, out)
	return also, len(also) <= mostHanging && len(t.hanging(among, slices.Concat(out, also))) == 0
}

// hanging is the work among some, but for what is left out, that needs something left out of
// which nothing else that would do is among it.
func (t *turn) hanging(among, out []string) (ids []string) {
	for _, id := range among {
		task, _ := t.Rules.Task(id)
		if !slices.Contains(out, id) && slices.ContainsFunc(task.Needs, func(need string) bool {
			any := strings.Split(need, " or ")
			gone := slices.ContainsFunc(any, func(of string) bool { return slices.Contains(out, of) })
			left := slices.ContainsFunc(any, func(of string) bool { return slices.Contains(among, of) && !slices.Contains(out, of) })
			return gone && !left
		}) {
			ids = append(ids, id)
		}
	}
	return ids
}

// hangingFirst is some work, what hangs on other of it before that.
func (t *turn) hangingFirst(ids []string) (sorted []string) {
	left := slices.Clone(ids)
	for len(left) > 0 {
		at := max(0, slices.IndexFunc(left, func(id string) bool { return len(t.hanging(left, []string{id})) == 0 }))
		sorted, left = append(sorted, left[at]), slices.Delete(left, at, at+1)
	}
	return sorted
}

// namedOf is the work among some that a name is that of: itself, or what is done to a part.
func (t *turn) namedOf(among []string, name string) (ids []string) {
	for _, id := range among {
		if t.isWork(id) && (id == name || string(t.areaOf(id)) == name) {
			ids = append(ids, id)
		}
	}
	return ids
}

// meantWork is what some words do to the work of a job.
type meantWork struct {
	in, out []string
	lost    []string // what they name that is no work, in their words
	stays   []string // and what cannot be done, or is so already
}

// workMeant are the tasks some words put into a job and take out of it, beside what it holds
// now: of a part, what there is of it, or the nearest that was left out. What words name is
// for called to say.
func (t *turn) workMeant(e *Enquiry, now []string, text string, called func([]string) []string) (m meantWork) {
	all := t.pieces(text, false)
	if len(all) == 0 {
		return m
	}
	could, err := t.extras(e)
	if err != nil {
		t.fail(fmt.Errorf("conversations: what can be put into enquiry %s: %w", e.ID, err))
		return m
	}
	for _, p := range all {
		named, words := called(p.words), strings.Join(p.words, " ")
		if len(named) == 0 {
			m.lost = append(m.lost, words)
			continue
		}
		var has []string
		for _, w := range named {
			has = append(has, t.namedOf(now, w)...)
		}
		if p.out {
			also, ok := t.hangingOn(now, has)
			if len(has) == 0 || !ok || t.isPartOf(p.words, has) {
				m.stays = append(m.stays, words)
				continue
			}
			m.out = append(m.out, slices.Concat(has, also)...)
			continue
		}
		at := slices.IndexFunc(could, func(x extra) bool {
			return slices.ContainsFunc(named, func(w string) bool { return len(t.namedOf([]string{x.task}, w)) > 0 })
		})
		if len(has) > 0 || at < 0 {
			m.stays = append(m.stays, words)
			continue
		}
		m.in = append(m.in, could[at].task)
	}
	m.in = slices.DeleteFunc(m.in, func(id string) bool { return slices.Contains(m.out, id) })
	return m
}
