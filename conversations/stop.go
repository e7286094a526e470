package conversations

import (
	"slices"
	"strings"
	"unicode"
)

// Whoever wants to hear no more must not have to spell it: "stop" is understood in
// any spelling, alone or with the words people put around it.

// stopWord is what any spelling is held against.
const stopWord = "stop"

// otherWords differ from it by as little as a slip of the finger and mean something
// else, some of them about a car.
var otherWords = []string{"top", "shop", "step", "spot", "stoop", "atop", "slop", "strop", "stoep", "so", "to", "post", "pots", "opts", "tops", "shot", "slot", "stow", "stock", "store", "story", "stub"}

// around are the words people put around it without meaning anything else.
var around = strings.Fields("please pls plz now it this these that all everything ok okay thanks thank you ta hi hello sorry just can could would will want i id like we us me you your my the to from for any more " +
	"message messages messaging text texts texting reminder reminders reminding nudge nudges sending send contacting writing bothering spam spamming emails mails and again at once immediately")

// stops tells whether a text says stop: every word of it is that, in some spelling,
// or goes around it.
func stops(text string) bool {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '\'' && r != '’' })
	const most = 9
	if len(words) == 0 || len(words) > most {
		return false
	}
	if strings.Join(words, "") == stopWord { // s t o p, s.t.o.p.
		return true
	}
	found := false
	for _, w := range words {
		w = strings.Map(func(r rune) rune {
			if r == '\'' || r == '’' {
				return -1
			}
			return r
		}, w)
		switch {
		case isStop(w):
			found = true
		case !slices.Contains(around, w):
			return false
		}
	}
	return found
}

// lookalikes are written for letters of the word.
var lookalikes = strings.NewReplacer("0", "o", "5", "s", "ö", "o", "ó", "o", "ο", "o", "о", "o", "ѕ", "s")

// isStop tells whether a word is "stop" in some spelling: letters held down or in
// each other's place, one left out, one too many, one wrong; a nought for the o.
func isStop(word string) bool {
	if slices.Contains(otherWords, word) {
		return false
	}
	word = lookalikes.Replace(word)
	for _, w := range []string{word, squeezed(word)} {
		if !slices.Contains(otherWords, w) && (w == "stopped" || w == "stopping" || w == "stops" || near(w)) {
			return true
		}
	}
	return false
}

// squeezed is a word without letters that repeat the one before.
func squeezed(word string) string {
	return string(slices.Compact([]rune(word)))
}

// near tells whether a word is one slip away from "stop". Of the shorter ones, only
// those that still begin like it: "sop" may be anything.
func near(word string) bool {
	w, s := []rune(word), []rune(stopWord)
	switch len(w) {
	case len(s) - 1:
		return word == "stp" || word == "sto" || word == "sop"
	case len(s) + 1:
		for i := range w {
			if string(slices.Delete(slices.Clone(w), i, i+1)) == stopWord {
				return true
			}
		}
		return false
	case len(s):
		var differ []int
		for i := range w {
			if w[i] != s[i] {
				differ = append(differ, i)
			}
		}
		swapped := len(differ) == 2 && differ[1] == differ[0]+1 && w[differ[0]] == s[differ[1]] && w[differ[1]] == s[differ[0]]
		return len(differ) <= 1 || swapped
	}
	return false
}
