package wording

import "strings"

// Plain is text without case, punctuation and doubled spaces, for comparing.
func Plain(s string) string {
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

// isPlain tells whether Plain would change nothing. It may say no of a text that is.
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
