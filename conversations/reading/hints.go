package reading

import (
	"slices"

	"example.org/dryhand/pricing"
)

// sight is something seen, with the areas where.
type sight struct {
	mark
	areas []string
}

// hints reads what was seen where, the answers this gives and the flags it
// raises.
func (p *page) hints(out *Reading) {
	for _, s := range p.found() {
		for _, a := range s.areas {
			h := Hint{a, s.name, p.span(s.from, s.to)}
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
}

// answers notes the answers to questions of the rules that something seen gives.
// "A bit of" makes one less of it; of two answers the worse stands.
func (p *page) answers(out *Reading, s sight) {
	for area, n := range p.book.hint(s.name).Answers {
		known := slices.ContainsFunc(p.rules.Areas(), func(a pricing.AreaRule) bool { return string(a.ID) == area })
		if !known {
			continue
		}
		g := pricing.Grade(n)
		if p.before(s.from, 1, little) && g > pricing.Light {
			g--
		}
		if out.Grades == nil {
			out.Grades = map[pricing.Area]pricing.Grade{}
		}
		out.Grades[pricing.Area(area)] = max(out.Grades[pricing.Area(area)], g)
	}
}

// found is everything seen that is not denied.
func (p *page) found() []sight {
	var out []sight
	for _, m := range p.of(aHint) {
		if !p.free(m) || p.denied(m) {
			continue
		}
		out = append(out, sight{m, p.areas(m)})
	}
	return out
}

// areas are where something was seen: its own area, unless one that is possible
// for it is named beside it.
func (p *page) areas(m mark) []string {
	h := p.book.hint(m.name)
	possible := append([]string{h.Area}, h.Also...)
	if len(h.Also) == 0 {
		return possible[:1]
	}
	if behind := p.run(m.to, +1, possible); len(behind) > 0 {
		return behind
	}
	if before := p.run(m.from-1, -1, possible); len(before) > 0 {
		return before
	}
	return possible[:1]
}

// run are the areas named from a word on, through linking words only.
func (p *page) run(i, step int, possible []string) []string {
	var out []string
	for start := i; i >= 0 && i < len(p.words) && p.together(i, start) && p.together(i, start-step); i += step {
		if a := p.areaAt(i); a != "" {
			if slices.Contains(possible, a) && !slices.Contains(out, a) {
				out = append(out, a)
			}
			continue
		}
		if !p.has(i, link, filler, aHint) {
			break
		}
	}
	return out
}

// areaAt is the area that a word names.
func (p *page) areaAt(i int) string {
	for _, m := range p.of(aSpot, aPart) {
		if m.from <= i && i < m.to {
			if m.name == "exterior" {
				return string(pricing.Paintwork)
			}
			return m.name
		}
	}
	return ""
}
