package reading

import (
	"slices"
	"strings"

	"example.org/dryhand/pricing"
)

// widest is how many words a car's name with make and body style may have.
const widest = 6

// vehicles finds every car named. A car that was sold or is somebody else's is
// taken out of the text without being one.
func (p *page) vehicles(out *Reading) {
	last := -1
	for i := 0; i < len(p.words); i++ {
		v, to := p.carAt(i)
		if to == 0 {
			continue
		}
		isGone := p.before(i, 1, gone)
		p.takeCar(i, to)
		switch {
		case last == i && !p.cut(i) && len(out.Vehicles) > 0 && !apart(out.Vehicles[len(out.Vehicles)-1], v):
			// Two names in one breath are one car.
			out.Vehicles[len(out.Vehicles)-1].Span.To = v.Span.To
		case len(out.Vehicles) > 0 && p.isMakeOf(out.Vehicles[len(out.Vehicles)-1], v):
			out.Vehicles[len(out.Vehicles)-1] = v
		case len(out.Vehicles) > 0 && p.isMakeOf(v, out.Vehicles[len(out.Vehicles)-1]):
			// "a 500, the wee fiat": the make is said once more.
		case !isGone && !slices.ContainsFunc(out.Vehicles, v.same):
			out.Vehicles = append(out.Vehicles, v)
		}
		i, last = to-1, to
	}
	p.softRoof(out)
}

// isMakeOf tells whether a car of which only the make was named is the one named
// next: "a peugeot, a 107 I think".
func (p *page) isMakeOf(unknown, v Vehicle) bool {
	all := v.Ambiguous
	if v.Car != nil {
		all = []pricing.Vehicle{*v.Car}
	}
	if unknown.Car != nil || unknown.Ambiguous != nil || len(all) == 0 {
		return false
	}
	name := plain(p.text[unknown.Span.From:unknown.Span.To])
	return !slices.ContainsFunc(all, func(c pricing.Vehicle) bool { return !strings.HasPrefix(strings.ToLower(c.Name), name) })
}

func (p *page) takeCar(from, to int) {
	p.take(from, to)
	for i := from; i < to; i++ {
		p.words[i].car = true
	}
}

// softRoof lets "roof" mean the soft top where the car has one.
func (p *page) softRoof(out *Reading) {
	soft := slices.ContainsFunc(p.of(aBody), func(m mark) bool { return p.book.body(m.name).As == pricing.Convertible })
	for _, v := range out.Vehicles {
		soft = soft || v.Car != nil && v.Car.SoftTopArea() > 0
	}
	p.vanCab()
	for i := range p.marks {
		if p.marks[i].kind == roof {
			p.marks[i].kind, p.marks[i].name = aSpot, string(pricing.Paintwork)
			if soft {
				p.marks[i].kind, p.marks[i].name = aPart, string(pricing.SoftTop)
			}
		}
	}
}

// apart tells whether two names are of cars that cannot be one.
func apart(a, b Vehicle) bool {
	known := func(v Vehicle) bool { return v.Car != nil || v.Ambiguous != nil }
	return known(a) && known(b) && !a.same(b) && a.Ambiguous == nil && b.Ambiguous == nil
}

// vanCab lets "cab" mean the front of a van or pickup inside, where one is spoken
// of, and not a soft top.
func (p *page) vanCab() {
	big := slices.ContainsFunc(p.of(aBody), func(m mark) bool {
		as := p.book.body(m.name).As
		return as == pricing.Van || as == pricing.Pickup
	})
	for i := range p.marks {
		m := &p.marks[i]
		switch {
		case m.kind == cab && big && slices.Contains([]string{"double", "single", "crew", "king", "extra"}, p.key(m.from-1)):
			// It is what kind of pickup it is.
		case m.kind == cab && big:
			m.kind, m.name = aBit, string(pricing.Interior)
		case m.kind == aBody && big && m.to-m.from == 1 && p.has(m.from, cab, aBit) && p.book.body(m.name).As == pricing.Convertible:
			m.kind = cab
		}
	}
}

func (v Vehicle) same(o Vehicle) bool {
	return v.Car != nil && o.Car != nil && *v.Car == *o.Car
}

// carAt reads the longest name of a car that begins at a word; to is 0 if none
// does.
func (p *page) carAt(i int) (v Vehicle, to int) {
	if p.words[i].taken || p.key(i) == "£" || p.isArticle(i) || p.inPhrase(i) || p.isPlace(i) {
		return v, 0
	}
	for to := min(p.stretch(i), i+widest); to > i; to-- {
		m := p.rules.MatchVehicle(p.said(i, to))
		if m.Rest != "" || m.Vehicle == nil && len(m.Ambiguous) == 0 || !p.believed(i, to, m) {
			continue
		}
		from, to := p.trimmed(i, to)
		if from > i {
			return v, 0 // it is found again where it begins
		}
		if top := p.roofSpokenOf(from, to); top > from {
			to, m = top, p.rules.MatchVehicle(p.said(from, top))
		}
		return Vehicle{p.span(from, to), m.Vehicle, m.Ambiguous}, to
	}
	return p.otherCar(i)
}

// roofSpokenOf is where the soft top begins at the end of a car's name, where something is
// said of that roof and not of the car, "mx5 soft top green with algae", or of the car
// beside it, "mx5 soft top needs a clean and the car a wash"; 0 if it belongs to the name.
func (p *page) roofSpokenOf(from, to int) int {
	for _, m := range p.of(aPart) {
		if m.name != string(pricing.SoftTop) || m.to != to || m.from <= from {
			continue
		}
		if v := p.rules.MatchVehicle(p.said(from, m.from)).Vehicle; v == nil || v.SoftTopArea() == 0 || to >= len(p.words) || p.cut(to) {
			return 0
		}
		next := to
		for next < len(p.words) && !p.cut(next) && p.has(next, link, filler) && !p.has(next, aHint, request) {
			next++
		}
		if next < len(p.words) && !p.cut(next) && p.has(next, aHint) {
			return m.from
		}
		asks := p.has(to, request) || slices.Contains([]string{"need", "needs", "wants", "want"}, p.key(to))
		for i := to; i+1 < len(p.words) && p.words[i].sentence == p.words[to].sentence; i++ {
			if asks && p.key(i) == "the" && p.key(i+1) == "car" {
				return m.from
			}
		}
	}
	return 0
}

// isArticle tells whether a word is the "a" before a name and not part of it, as
// it is in "a class".
func (p *page) isArticle(i int) bool {
	return p.key(i) == "a" && p.key(i+1) != "class" && p.key(i+1) != "klass"
}

// inPhrase tells whether a word is part of a longer phrase of work, as "mini" in
// "mini valet".
func (p *page) inPhrase(i int) bool {
	return slices.ContainsFunc(p.on(i, aWork), func(m mark) bool { return m.to-m.from > 1 })
}

// isPlace tells whether a word is a postcode, as "M4" in "flats in M4".
func (p *page) isPlace(i int) bool {
	return isOutward(p.key(i)) && (p.key(i-1) == "in" && p.together(i-1, i) || p.before(i, 0, near) && isInward(p.key(i+1)))
}

// stretch is the end of the run of words without a stop, a comma or a taken
// word that begins at a word.
func (p *page) stretch(i int) int {
	to := i + 1
	for to < len(p.words) && !p.cut(to) && !p.words[to].taken {
		to++
	}
	return to
}

func (p *page) said(from, to int) string {
	var keys []string
	for i := from; i < to; i++ {
		if i == from || !isGeneration(p.key(i)) {
			keys = append(keys, p.words[i].raw)
		}
	}
	return strings.Join(keys, " ")
}

// isGeneration tells whether a word is the generation of a model, as in "golf mk7",
// which the tables do not tell apart.
func isGeneration(w string) bool {
	n, ok := strings.CutPrefix(w, "mk")
	return ok && n != "" && strings.Trim(n, "0123456789iv") == ""
}

// trimmed leaves out a year at either end of a name.
func (p *page) trimmed(from, to int) (int, int) {
	for to-from > 1 && isYear(p.key(from)) && p.isCar(from+1, to) {
		from++
	}
	for to-from > 1 && isYear(p.key(to-1)) && p.isCar(from, to-1) {
		to--
	}
	return from, to
}

func (p *page) isCar(from, to int) bool {
	m := p.rules.MatchVehicle(p.said(from, to))
	return m.Vehicle != nil || len(m.Ambiguous) > 0
}

func isYear(w string) bool {
	n := number(w)
	return len(w) == 4 && n >= 1960 && n <= 2040
}

// believed tells whether a name found means the car. Names with letters wrong
// must not be words we know; everyday words and numbers need to be spoken of as
// somebody's.
func (p *page) believed(from, to int, m pricing.Match) bool {
	if m.Near && !m.Bare {
		return !slices.ContainsFunc(p.words[from:to], func(t token) bool { return p.dict.known[t.key] && len(t.key) > 2 })
	}
	if !m.Bare {
		return !p.isHalf(from, to) || p.spokenOf(from, to)
	}
	switch {
	case p.key(from)[0] <= '9':
		return p.numberIsCar(from, to)
	case to-from == 1 && p.has(from, neverCar, aBody):
		return false
	}
	return p.spokenOf(from, to)
}

// isHalf tells whether a name is also a word of every day.
func (p *page) isHalf(from, to int) bool {
	return slices.ContainsFunc(p.on(from, halfCar), func(m mark) bool { return m.from == from && m.to == to })
}

// spokenOf tells whether a name is spoken of as a car: as somebody's, or by
// itself, with a year or the age of a plate at most.
func (p *page) spokenOf(from, to int) bool {
	if to < len(p.words) && !p.cut(to) && (isYear(p.key(to)) || p.after(to, 0, plate)) {
		to++
	}
	return p.owned(from) || p.alone(from, to) || p.cut(from) && p.after(to-1, 0, carGoesOn)
}

// numberIsCar tells whether a bare number is a car, as in "my 208".
func (p *page) numberIsCar(from, to int) bool {
	if p.before(from, 0, currency, about, most, least, budgetCue) || p.after(to-1, 0, currency, notMoney) || p.key(from-1) == "£" || strings.HasSuffix(p.key(to-1), "ish") {
		return false
	}
	long := p.words[to-1].to-p.words[from].from > 2
	return long && (p.spokenOf(from, to) || p.before(from, 0, plate))
}

// alone tells whether a name stands between stops or commas, or before a plate.
func (p *page) alone(from, to int) bool {
	return p.cut(from) && (to == len(p.words) || p.cut(to) || p.after(to-1, 1, plate))
}

// owned tells whether a word is spoken of as somebody's car.
func (p *page) owned(i int) bool { return p.before(i, 0, mine) }

// otherCar reads a car whose size no table of ours knows, by a make or model of
// the phrases file.
func (p *page) otherCar(i int) (v Vehicle, to int) {
	for _, m := range p.on(i, otherCar) {
		if m.from == i && !m.typo && (!p.isHalf(i, m.to) || p.spokenOf(i, m.to)) {
			to = max(to, m.to)
		}
	}
	if to == 0 && p.isMake(i) {
		to = i + 1
	}
	if to == 0 {
		return v, 0
	}
	for to < len(p.words) && !p.cut(to) && (p.has(to, aBody) || p.isModel(to)) {
		to++
	}
	return Vehicle{Span: p.span(i, to)}, to
}

// isModel tells whether a word with a figure in it may be a model: neither a year
// nor the age of a plate nor money.
func (p *page) isModel(i int) bool {
	w := p.key(i)
	return strings.ContainsAny(w, "0123456789") && !strings.ContainsAny(w, ".:/,") && len(w) <= 5 && !isYear(w) && !strings.HasSuffix(w, "ish") &&
		!p.after(i, 0, plate, currency, notMoney) && !p.has(i, day, most, notMoney) && !p.clock(i)
}

// isMake tells whether a word is a make and nothing else.
func (p *page) isMake(i int) bool {
	w := p.key(i)
	if p.dict.ours[w] || isNumber(w) || p.has(i, aBody) {
		return false
	}
	return p.rules.MatchVehicle(w).Rest == ""
}
