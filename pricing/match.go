package pricing

import (
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/agnivade/levenshtein"
)

// Match is what was found of a car in what somebody wrote. Neither Vehicle nor
// Ambiguous: no known car was named.
type Match struct {
	// Vehicle is the car, if there is only one it can be.
	Vehicle *Vehicle
	// Ambiguous are the cars it can be, if there are several, or the ones that
	// are near if what was written fits none exactly.
	Ambiguous []Vehicle
	// Rest is what was not part of the car's name, its year or its body style.
	Rest string
	// Near: the name was found only by taking some letters for wrong.
	Near bool
	// Bare: the name is also an everyday word or a plain number, and was taken
	// for a car because hardly anything else was written.
	Bare bool
}

// MatchVehicle finds a car in what somebody wrote, through nicknames, misspellings
// and trim levels. What can be two cars comes back as two.
func (r *Rules) MatchVehicle(text string) Match {
	s := cars().scan(text)
	if len(s.hits) == 0 {
		return Match{Rest: s.rest()}
	}
	found := s.narrowed(cars())
	m := Match{Rest: s.rest(), Near: s.every(func(h hit) bool { return h.near > 0 }), Bare: s.every(func(h hit) bool { return h.bare })}
	if len(found) == 1 && !s.doubt {
		v := cars().cars[found[0]].Vehicle
		m.Vehicle = &v
		return m
	}
	for _, c := range found {
		m.Ambiguous = append(m.Ambiguous, cars().cars[c].Vehicle)
	}
	return m
}

// word is one run of letters and digits.
type word struct {
	said  string // as written
	plain string // squeezed
	body  []Body // the body styles it can mean
	used  bool
}

// hit is a car's name found in words from..to.
type hit struct {
	car      int
	from, to int
	size     int // letters of the name
	near     int // letters that differ
	bare     bool
}

// scan is one reading of a text.
type scan struct {
	words []word
	makes map[string]bool
	year  int
	hits  []hit
	// doubt: the body style that was written fits none of the cars found.
	doubt bool
}

// longestText bounds the work: nobody needs more words to name a car.
const longestText = 60

func (g *garage) scan(text string) *scan {
	s := &scan{makes: map[string]bool{}}
	cut := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }
	for _, w := range strings.FieldsFunc(text, cut) {
		if p := squeeze(w); p != "" && len(s.words) < longestText {
			s.words = append(s.words, word{said: w, plain: p})
		}
	}
	s.notCars()
	s.findMakes(g)
	s.findBodies()
	s.findNames(g)
	if len(s.hits) == 0 {
		s.findNear(g)
	}
	return s
}

// notCars sets aside phrases of the trade that sound like cars.
func (s *scan) notCars() {
	for i := range s.words[:max(0, len(s.words)-1)] {
		switch s.words[i].plain + " " + s.words[i+1].plain {
		case "mini valet", "mini detail", "mini clean", "mini service":
			s.words[i].plain = ""
		}
	}
}

// span is words from..to (exclusive) written together.
func (s *scan) span(from, to int) string {
	var b strings.Builder
	for _, w := range s.words[from:to] {
		b.WriteString(w.plain)
	}
	return b.String()
}

// widest is how many words a name may have.
const widest = 5

// spans calls f for every run of a few words.
func (s *scan) spans(f func(from, to int, key string)) {
	for from := range s.words {
		for to := from + 1; to <= min(len(s.words), from+widest); to++ {
			f(from, to, s.span(from, to))
		}
	}
}

func (s *scan) findMakes(g *garage) {
	s.spans(func(from, to int, key string) {
		if m, ok := g.makes[key]; ok {
			s.makes[m] = true
			s.use(from, to)
		}
	})
}

func (s *scan) use(from, to int) {
	for i := from; i < to; i++ {
		s.words[i].used = true
	}
}

// findBodies reads body styles and a year.
func (s *scan) findBodies() {
	for i, w := range s.words {
		if n, err := strconv.Atoi(w.plain); err == nil && len(w.plain) == 4 && n >= 1960 && n <= 2040 {
			// Peugeot's 2008 is a car as well as a year.
			if n != 2008 || !s.makes["Peugeot"] {
				s.year = n
				s.words[i].used = true
			}
		}
		if b := bodiesOf(w.plain, s.after(i)); b != nil {
			s.words[i].body, s.words[i].used = b, true
			if w.plain == "soft" || w.plain == "people" || w.plain == "pick" {
				s.words[i+1].used = true
			}
		}
	}
}

// bodies are the body styles that were written.
func (s *scan) bodies() map[Body]bool {
	out := map[Body]bool{}
	for _, w := range s.words {
		for _, b := range w.body {
			out[b] = true
		}
	}
	return out
}

// namesBody tells whether a car's name, as found, has a body style in it, as a
// Gran Coupe with four doors has.
func (s *scan) namesBody(h hit) bool {
	return slices.ContainsFunc(s.words[h.from:h.to], func(w word) bool { return w.body != nil })
}

func (s *scan) after(i int) string {
	if i+1 < len(s.words) {
		return s.words[i+1].plain
	}
	return ""
}

// findNames finds every name that is written out.
func (s *scan) findNames(g *garage) {
	s.spans(func(from, to int, key string) {
		for _, n := range g.names[key] {
			if !n.stem {
				s.hit(g, n, hit{car: n.car, from: from, to: to, size: len(key)})
			}
		}
		stem := strings.TrimRight(key, "abcdefghijklmnopqrstuvwxyz")
		if len(key)-len(stem) > 3 || stem == "" {
			return
		}
		for _, n := range g.names[stem] {
			if n.stem {
				s.hit(g, n, hit{car: n.car, from: from, to: to, size: len(key)})
			}
		}
	})
}

// hit keeps a name found, if it may stand for its car here.
func (s *scan) hit(g *garage, n name, h hit) {
	made := s.makes[g.cars[n.car].make]
	if len(s.makes) > 0 && !made && !s.spelledOut(h) {
		return
	}
	// Without the make, an everyday word is a car only if nothing else was said,
	// and a model number of engine and class only beside its make or a body.
	if n.needsMake && !made && !s.alone(h) {
		return
	}
	if n.stem && !made && len(s.bodies()) == 0 && !s.alone(h) {
		return
	}
	h.bare = !made && (n.needsMake || n.stem)
	s.hits = append(s.hits, h)
}

// every tells whether all names found are of a kind.
func (s *scan) every(is func(hit) bool) bool {
	return !slices.ContainsFunc(s.hits, func(h hit) bool { return !is(h) })
}

// spelledOut tells whether a hit goes over several words, so that a make which
// is part of it does not speak against it.
func (s *scan) spelledOut(h hit) bool {
	for i := h.from; i < h.to; i++ {
		if s.words[i].used && h.to-h.from > 1 {
			return true
		}
	}
	return false
}

// alone tells whether nothing but a hit was written, besides a year, a body
// style and small words.
func (s *scan) alone(h hit) bool {
	for i, w := range s.words {
		if i >= h.from && i < h.to || w.used || slices.Contains(small(), w.plain) {
			continue
		}
		return false
	}
	return true
}

func small() []string {
	return []string{"", "a", "an", "the", "my", "its", "it", "s", "is", "have", "ive", "got", "i", "drive", "old", "new", "please", "hi", "hello"}
}

// findNear finds a name with a letter or two wrong. Beside its make, shorter
// names may be wrong as well.
func (s *scan) findNear(g *garage) {
	s.spans(func(from, to int, key string) {
		if strings.ContainsAny(key, "0123456789") || len(key) < shortestNear || to-from > 2 {
			return
		}
		for _, known := range g.like[key[0]] {
			if d := near(key, known); d > 0 {
				s.nearHits(g, g.names[known], hit{from: from, to: to, size: len(known), near: d})
			}
		}
	})
	slices.SortStableFunc(s.hits, func(a, b hit) int { return a.car - b.car })
}

func (s *scan) nearHits(g *garage, names []name, h hit) {
	for _, n := range names {
		made := s.makes[g.cars[n.car].make]
		long := h.size >= 6 && h.near == 1 || h.size >= 9
		if n.stem || n.made || n.needsMake && !made || !made && (!long || len(s.makes) > 0) {
			continue
		}
		h.car = n.car
		s.hits = append(s.hits, h)
	}
}

// shortestNear is how many letters a name needs to be known with one wrong.
const shortestNear = 4

// near is how many letters two names differ by, 0 if they are not alike. They
// begin with the same letter and have no digits in them.
func near(a, b string) int {
	allowed := 1
	if len(b) >= 7 {
		allowed = 2
	}
	if len(a)-len(b) > allowed || len(b)-len(a) > allowed {
		return 0
	}
	if d := levenshtein.ComputeDistance(a, b); d <= allowed {
		return d
	}
	return 0
}

// rest is every word that was not used, as it was written.
func (s *scan) rest() string {
	var out []string
	for _, w := range s.words {
		if !w.used {
			out = append(out, w.said)
		}
	}
	return strings.Join(out, " ")
}
