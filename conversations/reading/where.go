package reading

import (
	"slices"

	"example.org/dryhand/pricing"
)

// Where on a car something was seen: in the words beside it, or where it can only be.

// walk is how many words are looked at on either side of one for what belongs to
// it.
const walk = 16

// see says where something was seen: its own area, unless one that is possible
// for it is named beside it.
func (p *page) see(m mark) sight {
	h := p.book.hint(m.name)
	s := sight{mark: m, areas: []string{h.Area}}
	if len(h.Also) == 0 {
		return s
	}
	possible := append([]string{h.Area}, h.Also...)
	for _, found := range [][]mark{p.behind(m), p.infront(m)} {
		var areas []string
		for _, o := range found {
			if a := areaOf(o); slices.Contains(possible, a) && !slices.Contains(areas, a) {
				areas = append(areas, a)
			}
		}
		if len(areas) > 0 {
			s.areas, s.at = areas, found
			return s
		}
	}
	return s
}

// placed tells whether it was said where on the car something is, also where it can be
// nowhere else: "stains on the seats".
func (p *page) placed(s sight) bool {
	named := func(m mark) bool { return slices.Contains(s.areas, areaOf(m)) }
	return len(s.at) > 0 || slices.ContainsFunc(p.behind(s.mark), named) || slices.ContainsFunc(p.infront(s.mark), named)
}

// behind are the places named behind what was seen, through linking words only:
// "sap all over the windscreen and roof".
func (p *page) behind(m mark) []mark {
	var out []mark
	for i := m.to; i < len(p.words) && i-m.to < walk && p.together(m.from, i); i++ {
		if p.words[i].comma && (len(out) == 0 && !p.words[i-1].car || !p.listed(i)) {
			break
		}
		if o, ok := p.placeAt(i); ok {
			out = append(out, o)
			i = o.to - 1
		} else if next := p.onwards(i); !p.linking(i) && (next == 0 || len(out) > 0) {
			break
		} else if !p.linking(i) {
			i = next - 1
		}
	}
	return out
}

// onwards is where a place is named behind a few words that say nothing, with a
// word before it that says so: "mud off the wellies on the carpets"; 0 if none is.
func (p *page) onwards(i int) int {
	for k := i; k < min(i+5, len(p.words)) && (k == i || !p.cut(k)) && p.together(i, k); k++ {
		if p.has(k, aHint, request) {
			return 0
		}
		if slices.Contains([]string{"on", "in", "over", "down", "inside", "into"}, p.key(k)) && p.listed(k+1) && !p.cut(k+1) {
			return k + 1
		}
	}
	return 0
}

// listed tells whether a place follows at once behind a comma.
func (p *page) listed(i int) bool {
	for ; p.key(i) == "and" || p.key(i) == "the" || p.key(i) == "my"; i++ {
	}
	if i >= len(p.words) {
		return false
	}
	_, ok := p.placeAt(i)
	return ok
}

// infront are the places named before what was seen: "wheels and sills are caked
// in". Of "plastics on the bumpers" only the plastics count.
func (p *page) infront(m mark) []mark {
	var out []mark
	within := false
	for i := m.from - 1; i >= 0 && m.from-i < walk && p.together(m.from, i); i-- {
		if p.words[i+1].comma && !(i+2 == m.from && p.key(i+1) == "all") {
			break
		}
		if o, ok := p.placeAt(i); ok {
			if next := len(out) - 1; within {
				out = out[:next]
			} else if next >= 0 && o.to == out[next].from && !p.cut(o.to) && areaOf(o) != areaOf(out[next]) && o.kind == aSpot {
				// Of "bumper plastics" only the plastics count.
				within, i = false, o.from
				continue
			}
			out, within, i = append(out, o), false, o.from
			continue
		}
		if !p.linking(i) {
			break
		}
		within = within || len(out) > 0 && slices.Contains([]string{"on", "of", "round", "around", "in"}, p.key(i))
	}
	slices.Reverse(out)
	return out
}

func (p *page) linking(i int) bool {
	return p.words[i].car || isYear(p.key(i)) || p.has(i, link, filler, aHint, aHintAt)
}

// placeAt is the place on the car that a word names.
func (p *page) placeAt(i int) (mark, bool) {
	on := p.on(i, aSpot, aPart, aBit)
	if len(on) == 0 {
		return mark{}, false
	}
	if k := slices.IndexFunc(on, func(m mark) bool { return m.kind == aSpot }); k > 0 {
		return on[k], true
	}
	return on[0], true
}

func areaOf(m mark) string {
	if m.name == "exterior" {
		return string(pricing.Paintwork)
	}
	return m.name
}
