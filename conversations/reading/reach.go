package reading

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"example.org/dryhand/pricing/plainyaml"
)

// checkReach finds what somebody added that no text could ever match, for it is
// compared with single words in small letters without marks: the owner would wait
// for it in vain.
func (r *Reader) checkReach(f *plainyaml.File, more *book) {
	for _, w := range slices.Sorted(maps.Keys(more.Spelled)) {
		at := "spelled." + w
		oneWord(f, at, w)
		switch as := more.Spelled[w]; {
		case len(words(as)) > 1:
			f.Wrong(at, `%q is more than one word, which nothing is spelled as; if it is two made one, put it under "short"`, as)
		default:
			oneWord(f, at, as)
			if further, ok := r.book.Spelled[as]; ok && further != as {
				f.Wrong(at, "%q is itself put down as %q; write that", as, further)
			}
		}
	}
	for _, w := range slices.Sorted(maps.Keys(more.Short)) {
		at := "short." + w
		oneWord(f, at, w)
		if two := more.Short[w]; len(words(two)) != 2 || strings.Join(words(two), " ") != two {
			f.Wrong(at, "must be two words in small letters with one space between them, not %q", two)
		}
		if as, ok := r.book.Spelled[w]; ok {
			f.Wrong(at, `%q never comes so far: under "spelled" it is put down as %q`, w, as)
		}
	}
	for _, w := range slices.Sorted(maps.Keys(more.Numbers)) {
		oneWord(f, "numbers."+w, w)
	}
	for i, w := range more.Everyday {
		if len(words(w)) != 1 {
			f.Wrong(fmt.Sprintf("everyday.%d", i), "must be one word, not %q", w)
		}
	}
	lists := more.lists()
	for _, at := range slices.Sorted(maps.Keys(lists)) {
		for i, p := range lists[at] {
			phrase(f, fmt.Sprintf("%s.%d", at, i), p)
		}
	}
	for _, said := range slices.Sorted(maps.Keys(more.Mean)) {
		phrase(f, "words."+said, said)
	}
}

// oneWord tells of what is no word as texts are cut into them.
func oneWord(f *plainyaml.File, at, w string) {
	as := words(w)
	switch {
	case len(as) != 1:
		f.Wrong(at, "must be one word, not %q", w)
	case as[0] != w:
		f.Wrong(at, "%q is never met; words are compared as %q", w, as[0])
	}
}

// phrase tells of what has no words, or too many.
func phrase(f *plainyaml.File, at, p string) {
	switch n := len(words(p)); {
	case n == 0:
		f.Wrong(at, "%q has no word in it that could be found", p)
	case n > longestPhrase:
		f.Wrong(at, "a phrase may have at most %d words: %q", longestPhrase, p)
	}
}

// lists are all lists of phrases, by where they stand.
func (b *book) lists() map[string][]string {
	at := map[string][]string{"ignore": b.Ignore}
	for _, x := range b.Bodies {
		at["bodies."+x.ID+".says"] = x.Says
	}
	for _, x := range b.Wants {
		at["wants."+x.ID+".work"], at["wants."+x.ID+".parts"], at["wants."+x.ID+".bits"] = x.Work, x.Parts, x.Bits
	}
	for _, x := range b.Hints {
		at["hints."+x.ID+".says"], at["hints."+x.ID+".beside"] = x.Says, x.Beside
	}
	for group, named := range map[string]map[string][]string{"spots": b.Spots, "tells": b.Tells, "nothing": b.Nothing, "asks": b.Asks, "surfaces": b.Surfaces, "cars": b.Cars, "small": b.Small} {
		for name, list := range named {
			at[group+"."+name] = list
		}
	}
	return at
}
