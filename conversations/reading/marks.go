package reading

import "slices"

// mark is a phrase found in tokens from..to (exclusive).
type mark struct {
	kind     kind
	name     string
	from, to int
	// typo tells that a typing error was forgiven in it.
	typo bool
}

// page is one text being read.
type page struct {
	*Reader
	text  string
	words []token
	marks []mark
	// at are the marks that cover each word, by index.
	at [][]int
	// seen is what [page.found] found.
	seen []sight
}

func (r *Reader) prepare(text string) *page {
	p := &page{Reader: r, text: text, words: tokens(text, longest)}
	for i := range p.words {
		p.words[i].key = r.dict.spell(p.words[i].key)
		p.words[i].alike = r.dict.alike(p.words[i].key)
	}
	p.find()
	return p
}

// find marks every phrase. Inside a longer phrase of its group a shorter one
// means nothing, and nothing means anything inside an ignored one.
func (p *page) find() {
	var all []mark
	for i := range p.words {
		for _, first := range p.words[i].alike {
			for _, e := range p.dict.first[first] {
				if m, ok := p.matches(i, e); ok {
					all = append(all, m)
				}
			}
		}
	}
	// What hides a mark overlaps it, and so stands near it in the list. What shares a word
	// with an ignored phrase counts for nothing itself and hides nothing: in "a good clean
	// inside" the inside is left, though "clean inside" would be a phrase of its own.
	broken := p.broken(all)
	for i, m := range all {
		first, _ := slices.BinarySearchFunc(all, m.from-longestPhrase, func(o mark, from int) int { return o.from - from })
		last := i
		for last < len(all) && all[last].from <= m.from {
			last++
		}
		if !hiddenBy(all[first:last], broken[first:last], m) {
			p.marks = append(p.marks, m)
		}
	}
	p.index()
	for _, m := range p.marks {
		if m.kind == ignored && !p.withinHint(m) {
			p.take(m.from, m.to)
		}
	}
}

// withinHint tells whether a mark is part of something seen: the "been washed" of what "has
// not been washed".
func (p *page) withinHint(m mark) bool {
	return slices.ContainsFunc(p.on(m.from, aHint), func(o mark) bool { return o.from < m.from && m.to <= o.to })
}

// hiddenBy tells whether one of some marks that are whole hides another.
func hiddenBy(near []mark, broken []bool, m mark) bool {
	for i, o := range near {
		if !broken[i] && o.hides(m) {
			return true
		}
	}
	return false
}

// broken tells of each mark whether an ignored phrase has taken some of its words and not
// all of them. Of ignored phrases none is.
func (p *page) broken(all []mark) []bool {
	by := make([][]mark, len(p.words)) // the ignored ones that cover each word
	for _, m := range all {
		for i := m.from; m.kind == ignored && i < m.to; i++ {
			by[i] = append(by[i], m)
		}
	}
	out := make([]bool, len(all))
	for k, m := range all {
		for i := m.from; m.kind != ignored && i < m.to; i++ {
			out[k] = out[k] || slices.ContainsFunc(by[i], func(o mark) bool { return !(o.from <= m.from && m.to <= o.to) && !(m.from <= o.from && o.to <= m.to) })
		}
	}
	return out
}

// longestPhrase is how many words a phrase may have.
const longestPhrase = 12

// index notes which marks cover each word.
func (p *page) index() {
	p.at = make([][]int, len(p.words))
	for k, m := range p.marks {
		for i := m.from; i < m.to; i++ {
			p.at[i] = append(p.at[i], k)
		}
	}
}

// hides tells whether a mark makes another mean nothing.
func (m mark) hides(o mark) bool {
	if m.from == o.from && m.to == o.to {
		return m.kind == ignored && o.kind != ignored || o.typo && !m.typo
	}
	if m.from > o.from || o.to > m.to {
		return false
	}
	switch {
	case m.kind == ignored:
		return true
	case m.kind == toUnit && o.kind == surface, (m.kind == toUnit || m.kind == toThem) && o.kind == aHint:
		return true
	case m.kind == aHint, m.kind == aHintAt, placeKind(m.kind):
		return o.kind == m.kind || group(o.kind) == group(m.kind) || group(o.kind) == aWork || o.kind == aTask || o.kind == aHintAt || o.kind == aTell || o.kind == aNone
	case slices.Contains([]kind{aSpot, aPart, aBit, aWork}, m.kind) && o.kind == anAsk && m.to-m.from > 1:
		return true
	case m.kind == howMany, m.kind == aPart && o.kind == aBody:
		return o.kind == aBody
	}
	return group(o.kind) == group(m.kind)
}

func placeKind(k kind) bool {
	return slices.Contains([]kind{tapYes, tapNo, socketYes, socketNo, surface, toThem, toUnit}, k)
}

// group are the kinds among which the longest phrase wins.
func group(k kind) kind {
	switch k {
	case aWork, aPart, aBit, aSpot, roof, not, unneeded, only, request, fix:
		return aWork
	case tapYes, tapNo, water:
		return tapYes
	case socketYes, socketNo, power:
		return socketYes
	case day, dayWith, dayLink:
		return day
	case about, most, least, budgetCue:
		return budgetCue
	case little, fairBit:
		return little
	}
	return k
}

func (p *page) matches(i int, e entry) (mark, bool) {
	m := mark{kind: e.kind, name: e.name, from: i, to: i + len(e.words)}
	if m.to > len(p.words) {
		return m, false
	}
	for k, w := range e.words {
		t := &p.words[i+k]
		if !slices.Contains(t.alike, w) || k > 0 && p.cut(i+k) {
			return m, false
		}
		m.typo = m.typo || t.key != w
	}
	return m, true
}

// cut tells whether a stop or comma stands before a word.
func (p *page) cut(i int) bool {
	return i == 0 || p.words[i].comma || p.words[i].sentence != p.words[i-1].sentence
}

func (p *page) take(from, to int) {
	for i := from; i < to; i++ {
		p.words[i].taken = true
	}
}

// free tells whether nothing of a mark has been taken for something else.
func (p *page) free(m mark) bool {
	return !slices.ContainsFunc(p.words[m.from:m.to], func(t token) bool { return t.taken })
}

// of are the marks of some kinds, in the order of the text.
func (p *page) of(kinds ...kind) []mark {
	var out []mark
	for _, m := range p.marks {
		if slices.Contains(kinds, m.kind) {
			out = append(out, m)
		}
	}
	return out
}

// on are the marks of some kinds that cover a word.
func (p *page) on(i int, kinds ...kind) []mark {
	var out []mark
	if i < 0 || i >= len(p.words) {
		return nil
	}
	for _, k := range p.at[i] {
		if slices.Contains(kinds, p.marks[k].kind) {
			out = append(out, p.marks[k])
		}
	}
	return out
}

// has tells whether a mark of a kind covers a word.
func (p *page) has(i int, kinds ...kind) bool {
	return i >= 0 && i < len(p.words) && slices.ContainsFunc(p.at[i], func(k int) bool { return slices.Contains(kinds, p.marks[k].kind) })
}

// before tells whether a mark of a kind ends within a few words before a word,
// in the same sentence.
func (p *page) before(i, reach int, kinds ...kind) bool {
	for last := i - 1; last >= 0 && i-1-last <= reach && p.together(last, i); last-- {
		if slices.ContainsFunc(p.on(last, kinds...), func(m mark) bool { return m.to == last+1 }) {
			return true
		}
	}
	return false
}

// after is the same for marks that begin within a few words behind a word.
func (p *page) after(i, reach int, kinds ...kind) bool {
	for first := i + 1; first < len(p.words) && first-i-1 <= reach && p.together(i, first); first++ {
		if slices.ContainsFunc(p.on(first, kinds...), func(m mark) bool { return m.from == first }) {
			return true
		}
	}
	return false
}

// together tells whether two words stand in one sentence.
func (p *page) together(a, b int) bool {
	return a >= 0 && b < len(p.words) && p.words[a].sentence == p.words[b].sentence
}

func (p *page) key(i int) string {
	if i < 0 || i >= len(p.words) {
		return ""
	}
	return p.words[i].key
}

// span is where tokens from..to stand in the text.
func (p *page) span(from, to int) Span { return Span{p.words[from].from, p.words[to-1].to} }
