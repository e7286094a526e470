package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// How the words of a text are gone through, whatever they are about: its sentences, whether
// one asks something, and phrases one after the other.

// usedUp goes along words that are known and tells whether that leads to their end, and
// if so, whether there was anything among them that it is about. Of the words still left,
// known takes so many from the beginning, 0 if it knows none, and says whether it is
// about those.
func usedUp(words []string, known func(left []string) (n int, about bool)) (all, found bool) {
	for len(words) > 0 {
		n, about := known(words)
		if n == 0 {
			return false, false
		}
		found = found || about
		words = words[n:]
	}
	return true, found
}

// longestOf is how many words of a text the longest of some phrases takes from its
// beginning, 0 if none does.
func longestOf(phrases, words []string) (n int) {
	for _, p := range phrases {
		if f := strings.Fields(wording.Plain(p)); len(f) > n && len(f) <= len(words) && slices.Equal(f, words[:len(f)]) {
			n = len(f)
		}
	}
	return n
}

// sentences are the sentences of a text, and its lines, each with the mark it ends with.
func sentences(text string) []string {
	return strings.SplitAfter(strings.NewReplacer(". ", ".\n", "? ", "?\n", "! ", "!\n").Replace(text), "\n")
}

// questions are how many sentences of a text ask something that the desk is not about to
// say anyway.
func (t *turn) questions(text string) (n int) {
	for _, s := range sentences(text) {
		if s = strings.TrimSpace(s); t.isQuestion(s) && (!t.asksWhatComes(s) || t.speaksOf(wording.Plain(s), wording.SayVAT)) {
			n++
		}
	}
	return n
}

// isQuestion tells whether a text asks something, with its mark or without: "can u do it
// with the tools in".
func (t *turn) isQuestion(text string) bool {
	words := strings.Fields(t.spelled(text))
	small := slices.Concat(t.typed(wording.SayAnd), t.typed(wording.SayHangOn))
	for n := longestOf(small, words); n > 0; n = longestOf(small, words) {
		words = words[n:]
	}
	if !strings.Contains(text, "?") && longestOf(t.typed(wording.SayWhenTelling), words) > 0 {
		return false // "when my wife's off, Wednesdays"
	}
	const tag = 2 // words: "wont have to take the seats out will i"
	if len(words) > tag+1 && slices.Contains(t.typed(wording.SayTag), strings.Join(words[len(words)-tag:], " ")) {
		return true
	}
	return len(words) > 1 && (strings.Contains(text, "?") || len(words) > 2 && longestOf(t.typed(wording.SayAsks), words) > 0)
}

// speaksOf tells whether one of the ways of saying something stands among the words.
func (t *turn) speaksOf(said string, k wording.Key) bool {
	return slices.ContainsFunc(t.typed(k), func(w string) bool { return strings.Contains(" "+said+" ", " "+wording.Plain(w)+" ") })
}
