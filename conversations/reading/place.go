package reading

import (
	"slices"
	"strings"
)

// place reads where the work is to happen.
func (p *page) place(out *Reading) {
	p.postcode(out)
	for _, m := range p.places(out) {
		if p.before(m.from, 2, asking) || p.key(m.from) == "come" && slices.Contains([]string{"it", "that", "this", "they", "these", "stain", "stains", "smell", "marks", "hair"}, p.key(m.from-1)) {
			continue // "can it come out" is about the stain
		}
		if out.Place.Whose != "" && out.Place.Whose != string(m.kind) {
			out.Place.Whose = "" // "can you come, or shall I bring it" leaves it open
			break
		}
		out.Place.Whose = string(m.kind)
	}
	out.Place.Tap = p.answer(tapYes, tapNo, water)
	out.Place.Socket = p.answer(socketYes, socketNo, power)
	for _, m := range p.of(surface) {
		if out.Place.Surface == "" && !p.before(m.from, 1, not) {
			out.Place.Surface = m.name
		}
	}
}

// places are all words that say who comes to whom.
func (p *page) places(out *Reading) []mark {
	all := p.of(toUnit, toThem)
	for _, m := range p.of(carry) {
		if to := p.carried(m); to > 0 {
			all = append(all, mark{kind: toUnit, from: m.from, to: to})
		}
	}
	for _, m := range p.of(surface, where) {
		if p.doneAt(m) {
			all = append(all, mark{kind: toThem, from: m.from, to: m.to})
		}
	}
	if m, ok := p.reached(); ok && out.Place.Postcode != "" {
		all = append(all, m)
	}
	slices.SortStableFunc(all, func(a, b mark) int { return a.from - b.from })
	return all
}

// farthest is how many words may stand between a verb and what belongs to it.
const farthest = 7

// carried is the end of "bring my old van round to you" if a verb begins it and
// it is we to whom it is brought, else 0.
func (p *page) carried(m mark) int {
	if p.key(m.from-1) == "you" || p.before(m.from, 3, not) {
		return 0
	}
	i := m.to
	for i < len(p.words) && i-m.to < farthest && p.together(m.from, i) && (p.words[i].car || p.has(i, thing, aBody)) && !p.toUs(i, m) {
		i++
	}
	if i == m.to {
		return 0
	}
	if p.toUs(i, m) || strings.HasPrefix(p.key(m.from), "bring") && p.key(m.to) == "it" && (i == len(p.words) || p.cut(i) || p.has(i, day, dayWith)) {
		return i
	}
	return 0
}

// toUs tells whether a word begins "over to you" or the like, as it goes with a
// verb: one gets a car "to you", but does not only get it "round".
func (p *page) toUs(i int, verb mark) bool {
	short := []string{"round", "around", "over", "down", "along", "in", "off", "across"}
	gets := []string{"get", "getting", "take", "taking", "leave", "run", "running"}
	return i < len(p.words) && p.together(verb.from, i) && slices.ContainsFunc(p.on(i, yours), func(m mark) bool {
		return m.from == i && !(slices.Contains(gets, p.key(verb.from)) && m.to-m.from == 1 && slices.Contains(short, p.key(i)))
	})
}

// doneAt tells whether the work is asked for where a mention says: "do it on the
// drive". To have a drive does not ask us to come.
func (p *page) doneAt(m mark) bool {
	at := func(i int) bool {
		return p.together(i, m.from) && slices.Contains([]string{"on", "in", "at"}, p.key(i))
	}
	placed := m.kind == where || at(m.from) || at(m.from-1) || at(m.from-2) || at(m.from-3)
	return placed && p.before(m.from, farthest, doingIt) && !p.before(m.from, farthest, past)
}

// reached is "do you cover" before a postcode, which asks us to come.
func (p *page) reached() (mark, bool) {
	for _, m := range p.of(reaches) {
		for i := m.to; i < len(p.words) && i-m.to < 3 && p.together(m.from, i); i++ {
			if isOutward(p.key(i)) {
				return mark{kind: toThem, from: m.from, to: m.to}, true
			}
		}
	}
	return mark{}, false
}

// answer is what was said of something the place has or has not. What is only
// "water" or "power" needs a word that says it is there.
func (p *page) answer(yes, no, weak kind) Answer {
	for _, m := range p.of(yes, no, weak) {
		switch {
		case p.before(m.from, 2, asking), m.kind == weak && !p.isSupply(m):
			continue
		case m.kind == no, p.before(m.from, 3, not) && !p.onlyObjects(m.from), p.alsoNot(m):
			return No
		case m.kind == weak && !p.isThere(m):
			continue
		}
		return Yes
	}
	return ""
}

// onlyObjects tells whether the "no" before a word only says that something was not right,
// and what is there follows behind its comma: "no, there is a socket as well".
func (p *page) onlyObjects(i int) bool {
	for first := i - 1; first >= 0 && i-first <= 4; first-- {
		if len(p.on(first, not)) > 0 {
			return (first == 0 || p.cut(first)) && first+2 < i && p.words[first+1].comma
		}
	}
	return false
}

// isSupply tells whether "water" or "power" is not something else: water in the
// footwell, an electric car.
func (p *page) isSupply(m mark) bool {
	next := m.to
	if next < len(p.words) && !p.cut(next) && (p.has(next, noSupply, aBody) || p.words[next].car) {
		return p.after(m.to-1, 2, surface, where)
	}
	return !p.has(m.from, aHint)
}

func (p *page) isThere(m mark) bool {
	return p.before(m.from, 2, have, tapYes, socketYes) || p.after(m.to-1, 2, surface, have, tapYes, socketYes)
}

// alsoNot tells whether something follows by "or" on what a place has not: "no
// tap or socket".
func (p *page) alsoNot(m mark) bool {
	joined := p.key(m.from-1) == "or" || p.key(m.from-1) == "nor" || p.key(m.from-1) == "a" && p.key(m.from-2) == "or"
	return joined && p.before(m.from-1, 3, tapNo, socketNo, not)
}

// postcodeAreas are the letters British postcodes begin with, as the Royal Mail
// assigns them; from memory.
const postcodeAreas = " ab al b ba bb bd bh bl bn br bs bt ca cb cf ch cm co cr ct cv cw da dd de dg dh dl dn dt dy e ec eh en ex fk fy g gl gu " +
	"gy ha hd hg hp hr hs hu hx ig im ip iv je ka kt kw ky l la ld le ll ln ls lu m me mk ml n ne ng nn np nr nw ol ox pa pe ph pl po pr " +
	"rg rh rm s sa se sg sk sl sm sn so sp sr ss st sw sy ta td tf tn tq tr ts tw ub w wa wc wd wf wn wr ws wv yo ze "

// postcode reads the outward part of a postcode. Short ones look like cars and
// motorways, so that by itself one needs a word that says it is a place.
func (p *page) postcode(out *Reading) {
	for i, t := range p.words {
		if t.taken {
			continue
		}
		outward, whole := t.key, false
		if n := len(outward); n >= 5 && isInward(outward[n-3:]) {
			outward, whole = outward[:n-3], true
		}
		whole = whole || i+1 < len(p.words) && p.together(i, i+1) && isInward(p.key(i+1))
		if !isOutward(outward) || !whole && !p.placeNamed(i) {
			continue
		}
		out.Place.Postcode = strings.ToUpper(outward)
		p.take(i, i+1)
		return
	}
}

// placeNamed tells whether a word that looks like an outward code is one.
func (p *page) placeNamed(i int) bool {
	if p.before(i, 2, near) {
		return true
	}
	letters := strings.TrimRight(p.key(i), "0123456789")
	plateFollows := i+1 < len(p.words) && !p.cut(i+1) && len(p.key(i+1)) == 3 && !p.dict.known[p.key(i+1)]
	if letters == "b" && len(p.key(i)) == 3 && !plateFollows {
		return true // no car and no road is called that
	}
	return len(letters) == 2 && !slices.Contains([]string{"mk", "ml", "ka"}, letters) && !plateFollows
}

func isOutward(w string) bool {
	letters := 0
	for letters < len(w) && w[letters] >= 'a' && w[letters] <= 'z' {
		letters++
	}
	if letters == 0 || letters > 2 || !strings.Contains(postcodeAreas, " "+w[:letters]+" ") {
		return false
	}
	rest := w[letters:]
	switch len(rest) {
	case 1:
		return rest[0] >= '0' && rest[0] <= '9'
	case 2:
		return rest[0] >= '1' && rest[0] <= '9' && (isNumber(rest[1:]) || letters <= 2 && rest[1] >= 'a' && rest[1] <= 'z')
	}
	return false
}

func isInward(w string) bool {
	return len(w) == 3 && isNumber(w[:1]) && strings.Trim(w[1:], "abdefghjlnpqrstuwxyz") == ""
}
