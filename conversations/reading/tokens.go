package reading

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// token is one word, number or pound sign of a text.
type token struct {
	// key is the word in small letters without accents and apostrophes, and as
	// it is spelled when it is not thumbed in a hurry; raw is it before that.
	key, raw string
	from, to int
	// sentence counts the full stops, line breaks and the like before it.
	sentence int
	// comma tells that a comma, dash or bracket stands before it.
	comma bool
	// asked tells that a question mark stands behind it.
	asked bool
	// alike are the known words it may be meant to be, itself first.
	alike []string
	// taken tells that the word has been understood and means nothing else.
	taken bool
	// car tells that it was taken for part of a car's name.
	car bool
}

// tokens cuts a text into at most most words.
func tokens(text string, most int) []token {
	out := make([]token, 0, min(most, 1+strings.Count(text, " ")))
	sentence, comma := 0, false
	for i := 0; i < len(text) && len(out) < most; {
		r, size := utf8.DecodeRuneInString(text[i:])
		switch {
		case r == '£':
			out = append(out, token{key: "£", from: i, to: i + size, sentence: sentence, comma: comma})
			comma = false
		case r == '&':
			out = append(out, token{key: "and", raw: "and", from: i, to: i + size, sentence: sentence, comma: comma})
			comma = false
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			size = wordLen(text[i:])
			t := token{key: plain(text[i : i+size]), from: i, to: i + size, sentence: sentence, comma: comma}
			if t.raw = t.key; t.key != "" {
				out = append(out, t)
				comma = false
			}
		case strings.ContainsRune(".!?;\n\r…", r):
			if r == '?' && len(out) > 0 {
				out[len(out)-1].asked = true
			}
			sentence++
		case strings.ContainsRune(",()[]–—:", r), r == '-' && i > 0 && text[i-1] == ' ':
			comma = true
		}
		i += size
	}
	return out
}

// wordLen is how many bytes the word at the start of s has. Marks inside a number
// (9:30, 1,200, 12.50, 14/3) and apostrophes inside a word belong to it.
func wordLen(s string) int {
	i := 0
	for i < len(s) && isSimple(s[i]) {
		i++
	}
	for i < len(s) {
		r, size := utf8.DecodeRuneInString(s[i:])
		next, _ := utf8.DecodeRuneInString(s[i+size:])
		inside := unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mn, r)
		digits := i > 0 && s[i-1] >= '0' && s[i-1] <= '9' && next >= '0' && next <= '9'
		switch {
		case inside:
		case isApostrophe(r) && unicode.IsLetter(next):
		case digits && strings.ContainsRune(":./", r):
		case digits && r == ',' && thousands(s[i+size:]):
		default:
			return i
		}
		i += size
	}
	return i
}

// thousands tells whether three digits and no fourth follow.
func thousands(s string) bool {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n == 3
}

func isApostrophe(r rune) bool { return r == '\'' || r == '’' || r == '‘' || r == '`' }

// isSimple tells whether a byte is a small letter or a figure, as nearly all are.
func isSimple(c byte) bool { return c >= 'a' && c <= 'z' || c >= '0' && c <= '9' }

// simple tells whether plain would change nothing. It may say no of a text that is.
func simple(s string) bool {
	for i := range len(s) {
		if !isSimple(s[i]) {
			return false
		}
	}
	return true
}

// plain is a word in small letters, without accents and apostrophes.
func plain(s string) string {
	if simple(s) {
		return s
	}
	return strings.Map(func(r rune) rune {
		r = unicode.ToLower(r)
		switch {
		case isApostrophe(r), unicode.Is(unicode.Mn, r):
			return -1
		case strings.ContainsRune("éèëê", r):
			return 'e'
		case strings.ContainsRune("áàäâ", r):
			return 'a'
		case strings.ContainsRune("öóô", r):
			return 'o'
		case strings.ContainsRune("üúû", r):
			return 'u'
		}
		return r
	}, s)
}

// words are the words of a phrase, as [tokens] cuts them.
func words(phrase string) []string {
	all := tokens(phrase, longestPhrase+1)
	out := make([]string, len(all))
	for i, t := range all {
		out[i] = t.key
	}
	return out
}
