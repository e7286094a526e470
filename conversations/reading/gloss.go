package reading

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/dryhand/pricing"
)

// Gloss puts what is said in another language into the words of the phrases file, so
// that one reader reads both. It is no translation: it knows the words that matter
// here, and whatever it does not know becomes a word that means nothing. So nothing
// is read from an accident of spelling: "to" and "most" are Polish words as well.
type Gloss struct {
	// first are the entries by their first word, or by "*" if it is only the
	// beginning of one or a number.
	first map[string][]glossed
}

// glossed is one phrase of another language. A word ends in "*" where only its
// beginning counts; {hour} is a number from 6 to 21 or a time of day, {n} any number.
type glossed struct {
	words []string
	means string
}

// nothing stands for what a gloss does not know: the phrases file has no such word.
const nothing = "qx"

// Words of a gloss that stand for numbers.
const (
	anHour   = "{hour}"
	anyCount = "{n}"
)

// NewGloss makes a gloss from phrases and what they mean in the words of the phrases
// file; "-" means nothing. Capitals and accents do not matter. The error names every
// phrase that is none, that is there twice, or whose numbers do not come out.
func NewGloss(phrases map[string]string) (*Gloss, error) {
	g := &Gloss{first: map[string][]glossed{}}
	var wrong []error
	seen := map[string]bool{}
	for _, p := range slices.Sorted(maps.Keys(phrases)) {
		e := glossed{strings.Fields(folded(p)), phrases[p]}
		key := strings.Join(e.words, " ")
		switch {
		case len(e.words) == 0 || strings.TrimSpace(e.means) == "":
			wrong = append(wrong, fmt.Errorf("%q: a phrase and its meaning are needed; \"-\" means nothing", p))
			continue
		case seen[key]:
			wrong = append(wrong, fmt.Errorf("%q is there twice", p))
			continue
		case strings.Count(key, anHour) != strings.Count(e.means, anHour) || strings.Count(key, anyCount) != strings.Count(e.means, anyCount):
			wrong = append(wrong, fmt.Errorf("%q: has other numbers than %q", p, e.means))
			continue
		}
		seen[key] = true
		first := e.words[0]
		if strings.HasSuffix(first, "*") || first == anHour || first == anyCount {
			first = "*"
		}
		g.first[first] = append(g.first[first], e)
	}
	return g, errors.Join(wrong...)
}

// gloss is a text put into the words of the phrases file, and where its parts were.
type gloss struct {
	text  string
	parts []glossPart
}

// glossPart is what a part of the text has become.
type glossPart struct{ now, was Span }

// was is where in the text as it was written a part of the gloss comes from.
func (g gloss) was(s Span) Span {
	out := Span{From: -1}
	for _, p := range g.parts {
		if p.now.From < s.To && p.now.To > s.From {
			if out.From < 0 {
				out.From = p.was.From
			}
			out.To = p.was.To
		}
	}
	out.From = max(out.From, 0)
	return out
}

// English is a text in the words of the phrases file.
func (g *Gloss) English(text string) string { return g.put(text, nil).text }

// put puts a text into the words of the phrases file; what stands in the spans to be
// left out means nothing.
func (g *Gloss) put(text string, leaveOut []Span) gloss {
	words := glossWords(text)
	var out gloss
	var b strings.Builder
	at := 0
	for i := 0; i < len(words); {
		means, n := nothing, 1
		if w := words[i]; !slices.ContainsFunc(leaveOut, func(s Span) bool { return s.From < w.To && w.From < s.To }) {
			means, n = g.at(words[i:], text)
		}
		b.WriteString(text[at:words[i].From])
		from := b.Len()
		if means == "-" {
			means = nothing
		}
		b.WriteString(means)
		was := Span{words[i].From, words[i+n-1].To}
		out.parts = append(out.parts, glossPart{Span{from, b.Len()}, was})
		at, i = was.To, i+n
	}
	b.WriteString(text[at:])
	out.text = b.String()
	return out
}

// at is what stands at the beginning of some words, and how many of them it takes: of
// two phrases the longer one, and of two as long the one that says more exactly.
func (g *Gloss) at(words []glossWord, text string) (means string, n int) {
	best, exact := glossed{}, -1
	for _, e := range slices.Concat(g.first[words[0].plain], g.first["*"]) {
		if len(e.words) < len(best.words) || len(e.words) > len(words) {
			continue
		}
		if x := e.fits(words, text); x >= 0 && (len(e.words) > len(best.words) || x > exact) {
			best, exact = e, x
		}
	}
	if exact < 0 {
		if w := words[0].plain; strings.ContainsAny(w, "0123456789") {
			return w, 1 // numbers and postcodes are the same in every language
		}
		return nothing, 1
	}
	means = best.means
	for i, w := range best.words {
		if w == anHour || w == anyCount {
			said := words[i].plain
			if w == anHour {
				said = hour(said)
			}
			means = strings.Replace(means, w, said, 1)
		}
	}
	return means, len(best.words)
}

// fits is how many letters of a phrase stand there, -1 if it does not.
func (e glossed) fits(words []glossWord, text string) (letters int) {
	for i, want := range e.words {
		got := words[i].plain
		stem, open := strings.CutSuffix(want, "*")
		switch {
		case i > 0 && strings.ContainsAny(text[words[i-1].To:words[i].From], ".,;:!?()\n"):
			return -1 // a phrase does not go on behind a mark
		case want == anHour && hour(got) != "", want == anyCount && isNumber(got), want == got:
			letters += len(got)
		case open && strings.HasPrefix(got, stem):
			letters += len(stem)
		default:
			return -1
		}
	}
	return letters
}

// hour is a time of day as the phrases file has it, empty if a word is none: 14 and
// 14:30 and 14.30, by day.
func hour(w string) string {
	h, m, exact := strings.Cut(strings.Replace(w, ".", ":", 1), ":")
	n := number(h)
	if n < 6 || n > 21 || exact && (number(m) < 0 || number(m) > 59 || len(m) != 2) {
		return ""
	}
	if !exact {
		m = "00"
	}
	return fmt.Sprintf("%02d:%s", n, m)
}

// glossWord is a word of a text in another language.
type glossWord struct {
	Span
	plain string
}

func glossWords(text string) []glossWord {
	var out []glossWord
	for i := 0; i < len(text) && len(out) < longest; {
		r, size := utf8.DecodeRuneInString(text[i:])
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			size = wordLen(text[i:])
			out = append(out, glossWord{Span{i, i + size}, folded(text[i : i+size])})
		}
		i += size
	}
	return out
}

// folded is a text in small letters and without accents, also those that English
// words never have: people leave them out on a telephone.
func folded(s string) string { return unaccented.Replace(plain(s)) }

var unaccented = strings.NewReplacer("ą", "a", "ć", "c", "ę", "e", "ł", "l", "ń", "n", "ś", "s", "ź", "z", "ż", "z", "ç", "c", "ñ", "n", "ß", "ss",
	"ã", "a", "õ", "o", "ș", "s", "ț", "t", "ă", "a", "î", "i", "š", "s", "ž", "z", "č", "c", "ř", "r", "ě", "e", "ý", "y", "í", "i", "ì", "i", "ò", "o", "ù", "u", "à", "a")

// ReadIn reads a text in another language: cars, whose names are the same everywhere,
// and what its gloss knows; without one no more than that.
func (r *Reader) ReadIn(g *Gloss, text string) Reading {
	cars := r.Read(text).Vehicles
	if g == nil {
		return Reading{Vehicles: cars}
	}
	var named []Span
	for _, v := range cars {
		named = append(named, v.Span)
	}
	put := g.put(text, named)
	out := r.Read(put.text)
	out.Vehicles, out.Plate = cars, 0
	if len(cars) == 1 && out.Shape != "" {
		// "Octavię kombi": the body tells which of two cars of one name it is.
		of := slices.DeleteFunc(slices.Clone(cars[0].Ambiguous), func(c pricing.Vehicle) bool { return c.Body != out.Shape })
		if len(of) == 1 {
			out.Vehicles = []Vehicle{{Span: cars[0].Span, Car: &of[0]}}
		}
	}
	if len(cars) > 0 {
		out.Body, out.Shape = "", ""
	}
	out.Budget.Span = put.was(out.Budget.Span)
	out.Hints, out.When = slices.Clone(out.Hints), slices.Clone(out.When)
	for i := range out.Hints {
		out.Hints[i].Span = put.was(out.Hints[i].Span)
	}
	for i := range out.When {
		out.When[i] = put.was(out.When[i])
	}
	return out
}
