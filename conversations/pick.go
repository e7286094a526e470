package conversations

import (
	"slices"
	"strings"
)

// pick finds the option that was typed: its label, its number in the list, or
// one of the ways people say it.
func pick(p prompt, text string) (option, bool) {
	if o, ok := bare(p, text); ok {
		return o, true
	}
	said := plain(text)
	// Otherwise one option alone must be spoken of. "Not sure, an estate perhaps" is
	// an answer, "not sure if it's an estate or a hatchback" is none.
	var found, unsure option
	hits := 0
	for _, o := range p.options {
		for _, w := range o.typed {
			if w := plain(w); len(w) > 2 && strings.Contains(" "+said+" ", " "+w+" ") {
				if o.key == choiceUnsure {
					unsure = o
				} else {
					found = o
					hits++
				}
				break
			}
		}
	}
	if hits != 1 && unsure.key != "" {
		return unsure, true
	}
	return found, hits == 1
}

// bare finds the option of which a text is the very word, and so says no more than a
// tap does.
func bare(p prompt, text string) (option, bool) {
	said := plain(text)
	for _, o := range p.options {
		if said == plain(o.key) || slices.ContainsFunc(o.typed, func(w string) bool { return said == plain(w) }) {
			return o, true
		}
	}
	return option{}, false
}

// pickSeveral finds every option that was spoken of.
func pickSeveral(p prompt, text string) []string {
	said := " " + plain(text) + " "
	var keys []string
	for _, o := range p.options {
		if o.key == choiceDone {
			continue
		}
		for _, w := range o.typed {
			if w := plain(w); len(w) > 2 && strings.Contains(said, " "+w+" ") {
				keys = append(keys, o.key)
				break
			}
		}
	}
	return keys
}

// plain is text without case, punctuation and doubled spaces, for comparing.
func plain(s string) string {
	if isPlain(s) {
		return s // most of what it is compared with is, and is looked at with every message
	}
	s = strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r == '\'' || r == '’':
			return -1
		case r < 128 && !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9'):
			return ' '
		}
		return r
	}, strings.ToLower(s))
	return strings.Join(strings.Fields(s), " ")
}

// isPlain tells whether plain would change nothing. It may say no of a text that is.
func isPlain(s string) bool {
	space := true // before the first letter
	for i := range len(s) {
		switch c := s[i]; {
		case c >= 'a' && c <= 'z' || c >= '0' && c <= '9':
			space = false
		case c == ' ' && !space:
			space = true
		default:
			return false
		}
	}
	return !space || s == ""
}
