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
	p.tasks(out, aims)
	p.pieces(out)
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

// tasks reads which single pieces of work are asked for by name.
func (p *page) tasks(out *Reading, aims []aim) {
	var named []mark
	add := func(to *[]string, id string) {
		if !slices.Contains(*to, id) {
			*to = append(*to, id)
		}
	}
	for _, m := range p.of(aTask) {
		switch {
		case !p.free(m) || p.before(m.from, reach, general) || p.before(m.from, 0, already, never, aHint):
		case p.denied(m, not) || p.unneeded(m):
			add(&out.Spared, m.name)
		default:
			named = append(named, m)
			add(&out.Tasks, m.name)
		}
	}
	out.Tasks = slices.DeleteFunc(out.Tasks, func(id string) bool { return slices.Contains(out.Spared, id) })
	within := func(a aim) bool {
		return slices.ContainsFunc(named, func(m mark) bool { return m.from <= a.from && a.to <= m.to })
	}
	for _, a := range aims {
		if a.wanted && within(a) && !slices.ContainsFunc(aims, func(o aim) bool { return o.name == a.name && o.wanted && !within(o) }) {
			add(&out.ByTask, a.name)
		}
	}
}

// pieces reads what is spoken of by name within what is asked for.
func (p *page) pieces(out *Reading) {
	for _, m := range p.of(aPiece) {
		if p.free(m) && !p.before(m.from, reach, general) && !p.before(m.from, 0, already, never, aHint) &&
			!p.denied(m, not) && !p.unneeded(m) && !slices.Contains(out.Named, m.name) {
			out.Named = append(out.Named, m.name)
		}
	}
}

// aims are all mentions. A phrase of work is wanted; the name of a part alone is
// wanted if something is asked for it, or if nothing at all is said of it. What
// stands behind a "no" is left out.
func (p *page) aims() []aim {
	var out []aim
	for _, m := range p.of(aWork, aPart, aBit) {
		if !p.free(m) || p.isSideOf(m) || p.before(m.from, reach, general) {
			continue
		}
		m.name = p.meant(m)
		a := aim{mark: m, left: m.kind != aBit && !p.isPackage(m) && !p.isPiece(m) && (p.denied(m, not) || p.unneeded(m))}
		a.wanted = p.wanted(m) && !p.denied(m, not) && !p.unneeded(m)
		out = append(out, a)
	}
	return out
}

// isSideOf tells whether "inside" or "outside" says only which side of something
// is meant: "the inside of my windows".
func (p *page) isSideOf(m mark) bool {
	if p.before(m.from, 1, tapYes, socketYes, water, power) {
		return true // "a tap just outside"
	}
	if m.kind != aPart || p.key(m.to) != "of" || !p.together(m.from, m.to) {
		return false
	}
	i := m.to + 1
	for ; p.key(i) == "the" || p.key(i) == "my" || p.key(i) == "all"; i++ {
	}
	return slices.ContainsFunc(p.on(i, aPart), func(o mark) bool { return o.name == "glass" })
}

// meant is the want that a phrase names. To polish "them" is about the lamps, if
// they were what was spoken of last.
func (p *page) meant(m mark) string {
	it := []string{"them", "those", "these", "it"}
	if m.name != "polish" || !slices.Contains(it, p.key(m.to)) && !slices.Contains(it, p.key(m.to-1)) && !slices.Contains(it, p.key(m.to-2)) {
		return m.name
	}
	last := m.name
	for _, o := range p.of(aPart, aSpot) {
		if o.to <= m.from && p.words[m.from].sentence-p.words[o.from].sentence <= 2 {
			last = o.name
		}
	}
	if last == "headlights" {
		return last
	}
	return m.name
}

// isPackage tells whether a phrase asks for several things at once. "Not the full
// works" leaves none of them out by name.
func (p *page) isPackage(m mark) bool {
	return slices.ContainsFunc(p.on(m.from, aWork, aPart), func(o mark) bool { return o.from == m.from && o.to == m.to && o.name != m.name })
}

// isPiece tells whether a phrase names a piece of the work inside: who wants "no
// shampooing" may want the rest of it.
func (p *page) isPiece(m mark) bool {
	return m.name == "interior" && m.kind == aWork && slices.ContainsFunc(p.on(m.from, aTask), func(o mark) bool { return o.to >= m.to })
}

// wanted tells whether a mention that is not denied asks for something.
func (p *page) wanted(m mark) bool {
	switch {
	case m.kind == aWork:
		return !p.before(m.from, 0, already, never) && (p.cut(m.from) || !p.before(m.from, 0, aHint)) && !(p.key(m.from-1) == "caked" || p.key(m.from-1) == "covered")
	case p.after(m.to-1, 0, usually):
		return false
	case p.requested(m):
		return true
	}
	return !p.after(m.to-1, 0, state) && !p.before(m.from, 0, describes) && !p.isPlaceOnly(m) && !slices.ContainsFunc(p.seen, func(s sight) bool {
		sameClause := p.oneClause(min(s.to, m.to), max(s.from, m.from))
		return sameClause || slices.Contains(s.at, m) || m.kind == aBit && p.together(s.from, m.from)
	})
}

// isPlaceOnly tells whether a mention only says where something is: "on the
// windscreen", "general muck inside", or is told about: "windows always steamed".
func (p *page) isPlaceOnly(m mark) bool {
	in := func(i int) bool {
		return slices.Contains([]string{"on", "in", "of", "over"}, p.key(i)) && p.together(i, m.from)
	}
	if in(m.from-1) || in(m.from-2) && (p.key(m.from-1) == "the" || p.key(m.from-1) == "my") {
		return true
	}
	loose := func(i int) bool {
		return !p.words[i].car && !p.words[i].taken && len(p.at[i]) == 0
	}
	sideways := slices.Contains([]string{"inside", "outside"}, p.key(m.from))
	return m.to < len(p.words) && !p.cut(m.to) && loose(m.to) || sideways && !p.cut(m.from) && loose(m.from-1)
}

// denied tells whether a "no" or "not" reaches a mention: through small words and
// other mentions, and no further.
func (p *page) denied(m mark, by ...kind) bool {
	through := []kind{filler, aPart, aWork, aBit, aSpot}
	if m.kind == aHint || m.kind == aNone {
		through = append(through, aHint, aNone)
	}
	for i := m.from - 1; i >= 0 && m.from-i < walk && p.together(i, m.from); i-- {
		switch {
		case p.words[i+1].comma && (i+1 != m.from || !p.has(i, through[1:]...)):
			return false
		case p.has(i, by...):
			return !p.has(i, aHint) // "not been washed" is how it is, not what is to be left
		case p.has(i, only) || !p.has(i, through...):
			return false
		}
	}
	return false
}

// unneeded tells whether a mention is said not to be needed behind it.
func (p *page) unneeded(m mark) bool {
	for i := m.to; i < len(p.words) && i-m.to < walk && p.together(i, m.from) && !p.words[i].comma; i++ {
		switch {
		case p.has(i, unneeded):
			return !p.ofNext(i)
		case p.key(i) == "myself" && (p.key(m.from-1) == "do" || p.key(m.from-1) == "the" && p.key(m.from-2) == "do"):
			return true // "if I do the inside myself", not "I've cleaned it myself"
		case p.key(i) == "myself" && m.kind == aWork && slices.Contains([]string{"can", "ill", "will", "could", "id"}, p.key(m.from-1)):
			return true // "I can hoover it myself"
		case p.newPart(i, m):
			return false
		case !p.has(i, filler, state, aPart, aSpot, aHint, aHintAt, who):
			return false
		}
	}
	return false
}

// ofNext tells whether what is said not to be needed stands behind those words:
// in "the inside, I don't need the outside" it is the outside.
func (p *page) ofNext(i int) bool {
	to := i + 1
	for _, u := range p.on(i, unneeded) {
		to = max(to, u.to)
	}
	for to < len(p.words) && !p.cut(to) && slices.Contains([]string{"the", "my", "any", "about", "with", "doing", "to", "do"}, p.key(to)) {
		to++
	}
	return to < len(p.words) && !p.cut(to) && p.has(to, aPart, aBit, aWork)
}

// newPart tells whether something is said of another part from a word on: "just
// the inside, really the outside my son does", not "the inside and the wheels".
func (p *page) newPart(i int, m mark) bool {
	if !slices.ContainsFunc(p.on(i, aPart), func(o mark) bool { return o.name != m.name }) {
		return false
	}
	for i--; i > m.to && (p.key(i) == "the" || p.key(i) == "my"); i-- {
	}
	return p.key(i) != "and" && p.key(i) != "or" && p.key(i) != "nor"
}

// reach is how many words may stand between a mention and what asks for it.
const reach = 4

// oneClause tells whether no stop or comma stands from the word before from to
// the word to.
func (p *page) oneClause(from, to int) bool {
	for i := from; i <= to && i < len(p.words); i++ {
		if p.cut(i) {
			return false
		}
	}
	return true
}

// requested tells whether something is asked for beside a mention.
func (p *page) requested(m mark) bool {
	beside := func(r mark) bool {
		from, to := r.to, m.from
		if r.from >= m.to {
			from, to = m.to, r.from
		}
		for i := from; i < to; i++ {
			if p.has(i, aHint) {
				return false // "cleaned, it is rank inside" asks for nothing there
			}
		}
		return (r.kind == request || r.kind == only && r.to <= m.from) && from <= to && to-from <= reach && p.oneClause(from, to)
	}
	for i := max(0, m.from-reach-1); i < min(len(p.words), m.to+reach+1); i++ {
		if slices.ContainsFunc(p.on(i, request, only), beside) {
			return true
		}
	}
	return false
}

// onlyOne tells whether this and nothing else is said to be wanted.
func (p *page) onlyOne(id string, wants map[string]bool, aims []aim) bool {
	for _, a := range aims {
		if a.name != id || !a.wanted || !p.byName(a.mark) {
			continue
		}
		if p.onlyAt(a.mark) && !wants[opposite(id)] {
			return true
		}
	}
	return false
}

// byName tells whether a mention says the name of the side and not only what is
// done there: "just a wash" says nothing about the inside.
func (p *page) byName(m mark) bool {
	return m.kind == aPart || p.namesSide(m)
}

func (p *page) namesSide(m mark) bool {
	for _, w := range p.book.Wants {
		for i := m.from; w.ID == m.name && i < m.to; i++ {
			if slices.Contains(w.Parts, p.key(i)) {
				return true
			}
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
	beside := func(i int) bool {
		return p.has(i, filler, aWork, aPart, aBit) && !slices.Contains([]string{"need", "needs", "want", "wants"}, p.key(i))
	}
	for i := m.from - 1; i >= 0 && m.from-i < walk && p.together(i, m.from); i-- {
		if p.has(i, only) {
			return true
		}
		if !beside(i) {
			break
		}
	}
	for i := m.to; i < len(p.words) && i-m.to < walk && p.together(i, m.from); i++ {
		if p.has(i, only) {
			return p.key(i) != "just"
		}
		if !beside(i) {
			break
		}
	}
	return false
}

// gotOut are the places where something seen, or "it", is to be got out or off:
// "any chance of getting the hair out".
func (p *page) gotOut() []mark {
	var all []mark
	for _, m := range p.of(takeOut) {
		seen := false
		for i := m.to; i < len(p.words) && i-m.to < farthest && !p.cut(i); i++ {
			if seen && p.has(i, out) {
				all = append(all, mark{kind: fix, from: m.from, to: i + 1})
				break
			}
			seen = seen || p.has(i, aHint) || slices.Contains([]string{"it", "them", "that", "this", "mark", "marks"}, p.key(i))
		}
	}
	return all
}

// asked are the wants that follow from asking to be rid of something seen.
func (p *page) asked() []string {
	var wants []string
	for _, f := range append(p.of(fix), p.gotOut()...) {
		if before := p.key(f.from - 1); before == "cant" || before == "couldnt" {
			continue // "I can't get it out" is how it is, not what is wanted
		}
		for _, h := range p.seen {
			near := p.words[f.from].sentence - p.words[h.from].sentence
			if near < 0 || near > 2 || p.denied(f, not) {
				continue
			}
			want := h.areas[0]
			if hint := p.book.hint(h.name); hint.Want != "" && want == hint.Area {
				want = hint.Want
			}
			if slices.Contains(p.book.wantIDs(), want) && !slices.Contains(wants, want) {
				wants = append(wants, want)
			}
		}
	}
	return wants
}
