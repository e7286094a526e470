package reading

import (
	"slices"

	"example.org/dryhand/pricing"
)

// body reads a body style that stands apart from a car's name, and narrows down
// a car that can be several.
func (p *page) body(out *Reading) {
	for _, m := range p.of(aBody) {
		b := p.book.body(m.name)
		if !p.free(m) || m.from > 0 && p.words[m.from-1].car && !p.cut(m.from) || p.before(m.from, 1, gone, notMine, not, never) || p.noBody(m) || !fits(b.As, out.Vehicles) {
			continue
		}
		out.Body, out.Shape = b.ID, b.As
		p.narrow(out, b)
		return
	}
}

// noBody tells whether a word for a body style means something else: "pick up the
// car", "on the Meadow estate", "the hatch leaks", "a builder's van".
func (p *page) noBody(m mark) bool {
	next := p.key(m.to)
	switch word := p.key(m.from); {
	case word == "pick" && m.to-m.from == 2:
		goes := slices.Contains([]string{"the", "my", "it", "from", "our", "her", "him", "me", "kids", "up"}, next) && p.together(m.from, m.to)
		return goes || p.before(m.from, 0, notABody)
	case word == "estate":
		return p.before(m.from, 0, notABody) || p.before(m.from, 1, onEstate) && !p.has(m.from-1, mine)
	case word == "hatch", word == "cab" && m.to-m.from == 1:
		return p.key(m.from-1) == "the" || p.key(m.from-1) == "boot" || p.key(m.from-1) == "rear" || p.key(m.from-2) == "just"
	}
	return p.before(m.from, 0, others)
}

// fits tells whether one of the cars named can have a body style, if their sizes are
// known at all: "van" is no word for a Civic.
func fits(b pricing.Body, cars []Vehicle) bool {
	known := false
	for _, v := range cars {
		all := v.Ambiguous
		if v.Car != nil {
			all = []pricing.Vehicle{*v.Car}
		}
		known = known || len(all) > 0
		if len(all) == 0 || slices.ContainsFunc(all, func(c pricing.Vehicle) bool { return alike(c.Body, b) }) {
			return true
		}
	}
	return !known
}

// alike tells whether people call the one what the tables call the other.
func alike(a, b pricing.Body) bool {
	like := func(x, y pricing.Body) bool { return a == x && b == y || a == y && b == x }
	return a == b || like(pricing.Convertible, pricing.Roadster) || like(pricing.Hatchback, pricing.SUV) || like(pricing.Hatchback, pricing.Saloon) ||
		like(pricing.MPV, pricing.Van) || like(pricing.MPV, pricing.SUV) || like(pricing.Coupe, pricing.Hatchback)
}

// narrow keeps the cars that fit the body style that was named elsewhere.
func (p *page) narrow(out *Reading, b bodyWords) {
	if len(out.Vehicles) != 1 || out.Vehicles[0].Car != nil {
		return
	}
	v := &out.Vehicles[0]
	var fit []pricing.Vehicle
	for _, c := range v.Ambiguous {
		if c.Body == b.As || b.As == pricing.Convertible && c.Body == pricing.Roadster {
			fit = append(fit, c)
		}
	}
	if len(fit) == 1 {
		v.Car, v.Ambiguous = &fit[0], nil
	} else if len(fit) > 1 {
		v.Ambiguous = fit
	}
}

// age reads a model year and the age a registration tells.
func (p *page) age(out *Reading) {
	for i, t := range p.words {
		if t.taken {
			continue
		}
		n := number(t.key)
		twoDigits := len(t.key) == 2 && n >= 0
		switch {
		case twoDigits && out.Plate == 0 && p.after(i, 0, plate), twoDigits && out.Plate == 0 && p.before(i, 0, plate):
			out.Plate = n
			p.take(i, i+1)
		case out.Plate == 0 && p.platedAt(i) > 0:
			// "a sixty four plate", as it is spoken.
			n, to := p.wordNumber(i)
			out.Plate = n
			p.take(i, to)
		case isYear(t.key) && (out.Year == 0 || p.key(i-1) == "a" && p.key(i-2) == "its") && p.saysYear(i):
			out.Year = n
			p.take(i, i+1)
		}
	}
}

// platedAt is the end of a number in words that a plate follows, 0 if none does.
func (p *page) platedAt(i int) int {
	n, to := p.wordNumber(i)
	if n < 2 || n > 99 || isNumber(p.key(i)) || !p.after(to-1, 0, plate) {
		return 0
	}
	return to
}

// saysYear tells whether four digits are a model year: beside a car, and neither
// money nor when something happened.
func (p *page) saysYear(i int) bool {
	before := p.key(i - 1)
	if slices.Contains([]string{"£", "since", "in", "from", "until", "till", "before", "by", "code", "to", "about"}, before) || p.after(i, 0, currency, notMoney) {
		return false
	}
	if before == "a" || before == "its" || len(p.words) == 1 {
		return true
	}
	for k, t := range p.words {
		if p.together(i, k) && (t.car || p.has(k, aBody, plate)) {
			return true
		}
	}
	return false
}
