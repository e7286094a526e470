package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// Praise after a job may name what was wrong with the car before: "smells so much better,
// thank you". It is no complaint, and no sign of what is to be done.

// praises tells whether a text praises what can be smelt or seen of a job, and says nothing
// but friendly words beside it.
func (t *turn) praises(text string) bool {
	rest := t.lessPraise(text)
	return rest != wording.Plain(text) && (rest == "" || t.pleased(rest) || t.madeOf(strings.Fields(rest), t.typed(wording.SayBeside)))
}

// lessPraise is a text without its words of praise: those that are so by themselves, and a
// word for a smell or a look with a good one behind it.
func (t *turn) lessPraise(text string) string {
	whole, senses, good := t.typed(wording.SayPraise), t.typed(wording.SaySmells), slices.Concat(t.typed(wording.SayBetter), t.typed(wording.SayPleased))
	beside, not := t.typed(wording.SayBeside), t.typed(wording.SayNotFine)
	const near = 3 // words before it: "doesn't really smell better"
	var rest []string
	for words := strings.Fields(wording.Plain(text)); len(words) > 0; {
		n := longestOf(whole, words)
		if n == 0 && !slices.ContainsFunc(rest[max(0, len(rest)-near):], func(w string) bool { return slices.Contains(not, w) }) {
			n = sensedGood(words, senses, beside, good)
		}
		if n == 0 {
			rest, n = append(rest, words[0]), 1
		}
		words = words[n:]
	}
	return strings.Join(rest, " ")
}

// sensedGood is how many words at the beginning of some say that something smells or looks
// good, 0 if they do not.
func sensedGood(words, senses, beside, good []string) int {
	at := longestOf(senses, words)
	if at == 0 {
		return 0
	}
	for at < len(words) {
		if n := longestOf(good, words[at:]); n > 0 {
			return at + n
		}
		if !slices.Contains(beside, words[at]) {
			return 0
		}
		at++
	}
	return 0
}
