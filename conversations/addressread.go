package conversations

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/dryhand/conversations/wording"
)

// An address in a text: where it begins and ends, and what is said beside it.

// saidOnce is a text without the reminder that it was said before: "14 Mill Road like I
// said", "I told you, 14 Mill Road".
func (t *turn) saidOnce(text string) string {
	words := strings.Fields(text)
	reminds := func(words []string) bool { return t.allOf(strings.Join(words, " "), t.typed(wording.SayAsISaid)) }
	for i := 1; i < len(words); i++ {
		if reminds(words[i:]) {
			return strings.Join(words[:i], " ")
		}
	}
	for i := len(words) - 1; i > 0; i-- {
		if reminds(words[:i]) {
			return strings.Join(words[i:], " ")
		}
	}
	return text
}

// asksAround tells whether the sentence of a text in which an address stands is a question:
// "do you come to houses? I'm at 14 Mill Road" tells where somebody is.
func (t *turn) asksAround(text, at string) bool {
	from, to, ok := whereIn(text, at)
	if !ok {
		return t.isQuestion(text) // it stands over several lines
	}
	if i := strings.LastIndexAny(text[:from], "?!\n"); i >= 0 {
		text, to = text[i+1:], to-i-1
	} else if i := strings.LastIndex(text[:from], ". "); i >= 0 {
		text, to = text[i+1:], to-i-1
	}
	if i := strings.IndexAny(text[to:], ".?!\n"); i >= 0 {
		text = text[:to+i+1]
	}
	return t.isQuestion(text) && !t.goesOnAsking(text[:to], text[to:])
}

// goesOnAsking tells whether only what stands behind an address asks something, and something
// else: "14 Fleet Road and the child seats?"
func (t *turn) goesOnAsking(told, behind string) bool {
	const (
		least = 3 // words; "14 Fleet Road ok?" asks about it
		most  = 6 // words of the place in between
	)
	words := strings.Fields(wording.Plain(behind))
	asks := slices.Concat(t.typed(wording.SayAnd), t.typed(wording.SayAsks))
	for i := 0; i <= min(most, len(words)-least); i++ {
		if longestOf(asks, words[i:]) > 0 {
			return !t.isQuestion(told) && t.isQuestion(strings.TrimLeft(behind, " .,;…"))
		}
	}
	return false
}

// asksBehind tells whether a text goes on from an address to a question.
func (t *turn) asksBehind(text, at string) bool {
	_, to, ok := whereIn(text, at)
	return ok && t.goesOnAsking(text[:to], text[to:])
}

// whereIn is where an address stands in a text, by its first and its last word.
func whereIn(text, at string) (from, to int, ok bool) {
	first, last, _ := strings.Cut(at, " ")
	if i := strings.LastIndex(last, " "); i >= 0 {
		last = last[i+1:]
	}
	from = strings.Index(text, first)
	to = from + strings.Index(text[max(0, from):], last) + len(last)
	return from, to, at != "" && from >= 0 && to >= from+len(last)
}

// addressIn is the address that stands in a text: a number with the name of a street behind
// it, and what follows of the place, or else what stands behind words that announce one.
func (t *turn) addressIn(text string) (string, bool) {
	at, _, ok := t.addressApart(text)
	return at, ok
}

// addressApart is addressIn, with what else is said.
func (t *turn) addressApart(text string) (at, rest string, ok bool) {
	said := strings.Fields(text)
	plain := make([]string, len(said))
	for i, w := range said {
		plain[i] = wording.Plain(w)
	}
	from, end := t.streetIn(said, plain)
	before, n := t.announced(plain)
	if n > 0 && end == 0 {
		from, end = n, len(said)
		if last := slices.IndexFunc(said[n:], t.endsSentence); last >= 0 {
			end = n + last + 1
		}
		if end-from < 2 {
			return "", text, false
		}
	} else if n > 0 && n < from && from-n <= 4 {
		from = n // "the address is Rose Cottage, 3 Mill Lane"
	}
	at = tidyAddress(strings.Join(said[from:end], " "))
	if at == "" || utf8.RuneCountInString(at) > longestAddress {
		return "", text, false
	}
	if n == 0 || before > from {
		before = from
	}
	return at, strings.Join(slices.Concat(said[:before], said[end:]), " "), true
}

// announced is where words begin that announce an address, and where it begins behind
// them; 0 if there are none.
func (t *turn) announced(plain []string) (from, to int) {
	for i := range plain {
		n := longestOf(t.typed(wording.SayAddressIs), plain[i:])
		if n > 0 && (i == 0 || !slices.Contains(t.typed(wording.SayYour), plain[i-1])) {
			return i, i + n
		}
	}
	return 0, 0
}

// streetIn is from which word to which the number stands, with the name of a street and
// what follows of the place; end is 0 if there is none.
func (t *turn) streetIn(said, plain []string) (from, end int) {
	streets, not := t.typed(wording.SayStreet), t.typed(wording.SayNoStreet)
	const most = 3 // words of a street's name
	for i := range said {
		if !isHouseNumber(plain[i]) {
			continue
		}
		for j := i + 1; j < len(said) && j <= i+1+most; j++ {
			if j > i+1 && slices.Contains(streets, plain[j]) {
				if i > 1 && slices.Contains(t.typed(wording.SayFlat), plain[i-2]) && len(plain[i-1]) <= 3 {
					i -= 2 // "flat 2, 14 Larch Close"
				}
				return i, t.addressEnd(said, plain, j+1)
			}
			name := strings.TrimRight(said[j], ".")
			if slices.Contains(not, plain[j]) || strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) && !strings.ContainsRune("'’-", r) }) {
				break
			}
		}
	}
	return 0, 0
}

// addressEnd is where an address ends of which the street ends at a word: the words and
// the short parts behind it name the place, until something else is spoken of.
func (t *turn) addressEnd(said, plain []string, from int) int {
	stop := slices.Concat(t.typed(wording.SayAnd), t.typed(wording.SayNoStreet))
	const most = 6 // words behind the street
	end := from
	for end < len(said) && end < from+most && !t.endsSentence(said[end-1]) {
		part := end + 1
		for part < len(said) && part < end+3 && !strings.ContainsAny(said[part-1], ".,;!?") {
			part++
		}
		words := strings.Join(said[end:part], " ")
		if slices.Contains(stop, plain[end]) || t.isQuestion(strings.Join(said[end:], " ")) || t.saysMore(words) {
			break
		}
		end++
	}
	return end
}

// saysMore tells whether words are read as anything but the name of a place.
func (t *turn) saysMore(words string) bool {
	if t.Reader == nil {
		return false
	}
	r := t.Reader.Read(words)
	p := r.Place
	return len(r.Asks)+len(r.Wants)+len(r.Tasks)+len(r.Vehicles)+len(r.When)+len(r.Hints) > 0 || r.Budget.Kind != "" || p.Surface != "" || p.Tap != "" || p.Socket != "" || p.Whose != ""
}

// isHouseNumber tells a number as a house has: "14", "14a".
func isHouseNumber(w string) bool {
	digits := strings.TrimRightFunc(w, unicode.IsLetter)
	return digits != "" && len(digits) <= 4 && len(w) <= len(digits)+1 && strings.Trim(digits, "0123456789") == ""
}

// endsSentence tells whether a sentence ends with a word; "St." ends none.
func (t *turn) endsSentence(w string) bool {
	return strings.ContainsAny(w[len(w)-1:], "!?;") || strings.HasSuffix(w, ".") && !slices.Contains(t.typed(wording.SayStreet), wording.Plain(w))
}

// tidyAddress is an address on one line, without what closes a sentence.
func tidyAddress(text string) string {
	lines := strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' })
	for i := range lines {
		lines[i] = strings.Trim(strings.Join(strings.Fields(lines[i]), " "), ",;:. ")
	}
	lines = slices.DeleteFunc(lines, func(l string) bool { return l == "" })
	return strings.TrimRight(strings.Join(lines, ", "), ".,;:!? ")
}
