package reading

import (
	"maps"
	"slices"
	"strings"

	"example.org/dryhand/pricing"
)

// sight is something seen, with the areas where.
type sight struct {
	mark
	areas []string
	// at are the words that say where.
	at []mark
}

// hints reads what was seen where, the answers this gives and the flags it
// raises.
func (p *page) hints(out *Reading) {
	for _, s := range p.seen {
		for _, a := range s.areas {
			h := Hint{a, s.name, p.placed(s), p.span(s.from, s.to)}
			if !slices.ContainsFunc(out.Hints, func(o Hint) bool { return o.Area == h.Area && o.Evidence == h.Evidence }) {
				out.Hints = append(out.Hints, h)
			}
		}
		if !s.typo {
			p.answers(out, s)
		}
		flag := p.book.hint(s.name).Flag
		if _, ok := p.rules.Flag(flag); ok && !slices.Contains(out.Flags, flag) {
			out.Flags = append(out.Flags, flag)
		}
	}
	p.nearestOf(out)
	for _, m := range p.of(aHint) {
		if p.free(m) && p.denied(m, not) {
			out.Denied = append(out.Denied, Hint{Evidence: m.name, Span: p.span(m.from, m.to)})
		}
	}
	p.absent(out)
	for _, m := range p.of(aTell) {
		if p.free(m) && !p.denied(m, not, never) && !m.typo {
			out.Tells = append(out.Tells, Told{pricing.Area(m.name), p.span(m.from, m.to)})
		}
	}
	for _, m := range p.of(downed) {
		if !p.denied(m, not) {
			out.PlayedDown = append(out.PlayedDown, p.span(m.from, m.to))
		}
	}
	p.fewOfMany(out)
	// Of what is "a state" some crumbs are not all there is: how bad it is, is asked.
	for _, h := range out.Hints {
		if h.Evidence != "neglected" {
			continue
		}
		areas := []string{h.Area}
		if h.Area == "car" {
			areas = []string{string(pricing.Interior), string(pricing.Paintwork), string(pricing.Wheels)}
		}
		for _, a := range areas {
			if out.Grades[pricing.Area(a)] < pricing.Poor {
				delete(out.Grades, pricing.Area(a))
			}
		}
	}
}

// absent notes of which areas it is said that there is nothing: "no pets, no stains". What
// is only to be left, "never mind the stains", is there.
func (p *page) absent(out *Reading) {
	for _, m := range p.of(aNone) {
		area := pricing.Area(m.name)
		if !p.free(m) || m.typo || !p.denied(m, notThere) || out.Grades[area] > 0 ||
			slices.ContainsFunc(out.Absent, func(o Told) bool { return o.Area == area }) {
			continue
		}
		from := m.from
		for !p.has(from, notThere) {
			from--
		}
		out.Absent = append(out.Absent, Told{area, p.span(from, m.to)})
	}
	out.Absent = slices.DeleteFunc(out.Absent, func(o Told) bool { // "no dog, but two cats"
		return slices.ContainsFunc(p.of(aNone), func(m mark) bool { return m.name == string(o.Area) && !p.denied(m, notThere) })
	})
	for _, a := range out.Absent {
		if out.Grades == nil {
			out.Grades = map[pricing.Area]pricing.Grade{}
		}
		out.Grades[a.Area] = pricing.Light
	}
}

// fewOfMany lifts a "little" where it is one of several: some crumbs and a bit of sand are
// no less than crumbs and sand.
func (p *page) fewOfMany(out *Reading) {
	kinds := map[pricing.Area]map[int]pricing.Grade{} // by where they stand
	for _, s := range p.seen {
		for area, n := range p.book.hint(s.name).Answers {
			if s.typo || out.Grades[pricing.Area(area)] == 0 {
				continue
			}
			if kinds[pricing.Area(area)] == nil {
				kinds[pricing.Area(area)] = map[int]pricing.Grade{}
			}
			kinds[pricing.Area(area)][s.from] = pricing.Grade(n)
		}
	}
	for area, of := range kinds {
		if len(of) < 2 {
			continue
		}
		least := pricing.Severe
		for _, g := range of {
			least = min(least, g)
		}
		out.Grades[area] = max(out.Grades[area], least)
	}
}

// nearestOf notes what everything seen comes nearest to, for whoever is asked about an area
// and tells of it in words of their own. That all is clean says less than the dust beside it.
func (p *page) nearestOf(out *Reading) {
	var clean []sight
	for _, s := range p.seen {
		if s.typo {
			continue
		}
		if len(p.book.hint(s.name).Least) > 0 {
			clean = append(clean, s)
			continue
		}
		p.nearest(&out.Nearest, s)
	}
	var fair map[pricing.Area]pricing.Grade
	for _, s := range clean {
		p.nearest(&fair, s)
	}
	for area, g := range fair {
		if out.Nearest == nil {
			out.Nearest = map[pricing.Area]pricing.Grade{}
		}
		if out.Nearest[area] == 0 {
			out.Nearest[area] = g
		}
	}
}

// nearest notes what one thing seen comes nearest to.
func (p *page) nearest(grades *map[pricing.Area]pricing.Grade, s sight) {
	h := p.book.hint(s.name)
	for area, n := range h.Nearest {
		inside := slices.Contains([]string{"stains", "mould", "smell", "pet-hair"}, area) && slices.Contains(s.areas, string(pricing.Interior))
		if p.placed(s) && !inside && !slices.Contains(s.areas, area) {
			continue
		}
		if slices.Contains(h.Least, p.saidAs(s.mark)) {
			n = int(pricing.Light)
		}
		p.atLeast(grades, area, n, s)
	}
}

// saidAs are the words of a mark, with those that were made one of two taken apart.
func (p *page) saidAs(m mark) string {
	w := make([]string, 0, m.to-m.from)
	for i := m.from; i < m.to; i++ {
		w = append(w, p.key(i))
	}
	return strings.Join(p.dict.shortened(w), " ")
}

// answers notes the answers to questions of the rules that something seen gives.
// Of two answers the worse stands.
func (p *page) answers(out *Reading, s sight) {
	answers := maps.Clone(p.book.hint(s.name).Answers)
	for area, n := range p.book.hint(s.name).There {
		if slices.Contains(s.areas, area) && p.placed(s) {
			answers = both(answers, map[string]int{area: n})
		}
	}
	for area, n := range answers {
		known := slices.ContainsFunc(p.rules.Areas(), func(a pricing.AreaRule) bool { return string(a.ID) == area })
		if !known {
			continue
		}
		p.atLeast(&out.Grades, area, n, s)
	}
}

// atLeast notes what something seen makes of an area, where it is not worse already.
// "A bit of" makes one less of it, and so does "only a splash, I wiped it up" of what was
// spilt; of what is worst it does not.
func (p *page) atLeast(grades *map[pricing.Area]pricing.Grade, area string, n int, s sight) {
	g := pricing.Grade(n)
	spilt := area == string(pricing.Stains) && g < pricing.Severe && p.playsDown(s.from)
	if (spilt || p.before(s.from, 1, little)) && g > pricing.Light {
		g--
	}
	if *grades == nil {
		*grades = map[pricing.Area]pricing.Grade{}
	}
	(*grades)[pricing.Area(area)] = max((*grades)[pricing.Area(area)], g)
}

// playsDown tells whether something near a word is said to have been little, or to be
// gone already: in its sentence or the next.
func (p *page) playsDown(i int) bool {
	return slices.ContainsFunc(p.of(downed), func(m mark) bool {
		return p.words[m.from].sentence-p.words[i].sentence <= 1 && !p.denied(m, not)
	})
}

// Seen is what a thing by that name under "hints" in the phrases file says of a car, and
// which of the wants asks for it; no Hints if there is none of that name.
func (r *Reader) Seen(name string) Reading {
	h := r.book.hint(name)
	if len(h.Says) == 0 {
		return Reading{}
	}
	read := r.Read(h.Says[0])
	read.Wants = nil
	for _, want := range []string{h.Want, h.Area} {
		if slices.Contains(r.book.wantIDs(), want) {
			read.Wants = append(read.Wants, want)
		}
	}
	return read
}

// Anywhere tells whether a thing by that name under "hints" in the phrases file says how
// the car is on either side of it, so that the word alone leaves open which.
func (r *Reader) Anywhere(name string) bool {
	h := r.book.hint(name)
	inside := func(a string) bool { return a == string(pricing.Interior) }
	outside := func(a string) bool { return a == string(pricing.Paintwork) }
	return (inside(h.Area) || slices.ContainsFunc(h.Also, inside)) && (outside(h.Area) || slices.ContainsFunc(h.Also, outside))
}

// About are the areas of the rules file that a thing by that name under "hints" in the
// phrases file says something of, in the order of the alphabet.
func (r *Reader) About(name string) (areas []pricing.Area) {
	h := r.book.hint(name)
	for _, of := range []map[string]int{h.Answers, h.There, h.Nearest} {
		for a := range of {
			areas = append(areas, pricing.Area(a))
		}
	}
	areas = append(areas, pricing.Area(h.Area))
	slices.Sort(areas)
	return slices.Compact(areas)
}

// found is everything seen that is not denied.
func (p *page) found() []sight {
	var out []sight
	for _, m := range p.of(aHint, aHintAt) {
		if !p.free(m) || p.denied(m, not, never) {
			continue
		}
		if p.isOfAnother(m) || p.agrees(m) {
			continue
		}
		if s := p.see(m); m.kind == aHint || len(s.at) > 0 {
			out = append(out, s)
		}
	}
	return out
}

// agrees tells whether a word for a good state only begins a sentence, "ok just the
// outside then", or says how the work is to be: "a good wash".
func (p *page) agrees(m mark) bool {
	if m.kind == aHintAt && p.key(m.to-1) == "good" && m.to < len(p.words) && !p.cut(m.to) && p.has(m.to, aWork, request) {
		return true
	}
	return m.kind == aHintAt && m.to-m.from == 1 && (m.from == 0 || p.cut(m.from)) && slices.Contains([]string{"ok", "okay", "alright", "good"}, p.key(m.from))
}

// isOfAnother tells whether a word for the state of a car says only how bad
// something else is: "the smell is awful", "horrible stains".
func (p *page) isOfAnother(m mark) bool {
	if m.name != "neglected" {
		return false
	}
	other := func(i int) bool {
		return p.together(i, m.from) && slices.ContainsFunc(p.on(i, aHint), func(o mark) bool { return o.name != m.name && o.name != "clean-enough" })
	}
	is := slices.Contains([]string{"is", "are", "was", "looks", "look"}, p.key(m.from-1))
	return is && other(m.from-2) || m.to < len(p.words) && !p.cut(m.to) && other(m.to)
}
