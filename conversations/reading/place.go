package reading

import (
	"slices"
	"strings"
)

// place reads where the work is to happen.
func (p *page) place(out *Reading) {
	for _, m := range p.of(toUnit, toThem) {
		if p.before(m.from, 1, asking) {
			continue
		}
		if out.Place.Whose != "" && out.Place.Whose != string(m.kind) {
			out.Place.Whose = "" // "can you come, or shall I bring it" leaves it open
			break
		}
		out.Place.Whose = string(m.kind)
	}
	out.Place.Tap = p.answer(tapYes, tapNo)
	out.Place.Socket = p.answer(socketYes, socketNo)
	for _, m := range p.of(surface) {
		if out.Place.Surface == "" && !p.before(m.from, 1, not) {
			out.Place.Surface = m.name
		}
	}
	p.postcode(out)
}

// answer is what was said of something the place has or has not.
func (p *page) answer(yes, no kind) Answer {
	for _, m := range p.of(yes, no) {
		switch {
		case p.before(m.from, 2, asking):
			continue
		case m.kind == no, p.before(m.from, 2, not), p.alsoNot(m):
			return No
		}
		return Yes
	}
	return ""
}

// alsoNot tells whether something follows by "or" on what a place has not: "no
// tap or socket".
func (p *page) alsoNot(m mark) bool {
	joined := p.key(m.from-1) == "or" || p.key(m.from-1) == "nor"
	return joined && p.before(m.from-1, 0, tapNo, socketNo)
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
