package reading

import "slices"

// aim is what one mention of work or of a part of the car amounts to.
type aim struct {
	mark
	wanted, left bool
}

// work reads what is wanted and what is to be left out.
func (p *page) work(out *Reading) {
	aims := p.aims()
	said := func(want string, is func(aim) bool) bool {
		return slices.ContainsFunc(aims, func(a aim) bool { return a.name == want && is(a) })
	}
	wants, left := map[string]bool{}, map[string]bool{}
	for _, id := range p.book.wantIDs() {
		wants[id] = said(id, func(a aim) bool { return a.wanted })
		left[id] = said(id, func(a aim) bool { return a.left })
	}
	if p.onlyOne("exterior", wants, aims) {
		left["interior"] = true
	}
	if p.onlyOne("interior", wants, aims) {
		left["exterior"] = true
	}
	for _, a := range p.asked() {
		wants[a] = true
	}
	for _, id := range p.book.wantIDs() {
		switch {
		case left[id]:
			out.Excludes = append(out.Excludes, id)
		case wants[id]:
			out.Wants = append(out.Wants, id)
		}
	}
}

// aims are all mentions. A phrase of work is wanted; the name of a part alone is
// wanted if something is asked for it, or if nothing at all is said of it. What
// stands behind a "no" is left out.
func (p *page) aims() []aim {
	var out []aim
	for _, m := range p.of(aWork, aPart) {
		if !p.free(m) {
			continue
		}
		a := aim{mark: m, left: p.denied(m) || p.unneeded(m)}
		a.wanted = !a.left && (m.kind == aWork || p.requested(m) || !p.complained(m))
		out = append(out, a)
	}
	return out
}

// denied tells whether a "no" or "not" reaches a mention: through small words and
// other mentions, and no further.
func (p *page) denied(m mark) bool {
	for i := m.from - 1; i >= 0 && p.together(i, m.from); i-- {
		switch {
		case p.has(i, not):
			return true
		case p.has(i, only):
			return false
		case p.words[i+1].comma && !p.has(i, aPart, aWork, aSpot, aHint):
			return false
		case !p.has(i, filler, aPart, aWork, aSpot, aHint):
			return false
		}
	}
	return false
}

// unneeded tells whether a mention is said not to be needed behind it.
func (p *page) unneeded(m mark) bool {
	for i := m.to; i < len(p.words) && p.together(i, m.from) && !p.words[i].comma; i++ {
		switch {
		case p.has(i, unneeded):
			return true
		case !p.has(i, filler, aPart, aSpot):
			return false
		}
	}
	return false
}

// requested tells whether something is asked for in a mention's sentence.
func (p *page) requested(m mark) bool {
	return p.before(m.from, 4, request, only) || p.after(m.to-1, 3, request)
}

// complained tells whether a mention only says where something was seen.
func (p *page) complained(m mark) bool {
	return slices.ContainsFunc(p.of(aHint), func(h mark) bool { return p.together(h.from, m.from) })
}

// onlyOne tells whether this and nothing else is said to be wanted.
func (p *page) onlyOne(id string, wants map[string]bool, aims []aim) bool {
	for _, a := range aims {
		if a.name != id || !a.wanted {
			continue
		}
		if p.onlyAt(a.mark) && !wants[opposite(id)] {
			return true
		}
	}
	return false
}

func opposite(id string) string {
	if id == "exterior" {
		return "interior"
	}
	return "exterior"
}

// onlyAt tells whether an "only" stands with a mention, before or behind it.
func (p *page) onlyAt(m mark) bool {
	for i := m.from - 1; i >= 0 && p.together(i, m.from); i-- {
		if p.has(i, only) {
			return true
		}
		if !p.has(i, filler, aWork, aPart, request) {
			break
		}
	}
	for i := m.to; i < len(p.words) && p.together(i, m.from); i++ {
		if p.has(i, only) {
			return true
		}
		if !p.has(i, filler, aWork, aPart) {
			break
		}
	}
	return false
}

// asked are the wants that follow from asking to be rid of something seen.
func (p *page) asked() []string {
	var out []string
	for _, f := range p.of(fix) {
		for _, h := range p.found() {
			near := p.words[f.from].sentence - p.words[h.from].sentence
			if near != 0 && near != 1 || p.denied(f) {
				continue
			}
			want := p.book.hint(h.name).Want
			if want == "" {
				want = h.areas[0]
			}
			if slices.Contains(p.book.wantIDs(), want) && !slices.Contains(out, want) {
				out = append(out, want)
			}
		}
	}
	return out
}
