package reading

import (
	"slices"

	"example.org/dryhand/pricing"
)

// body reads a body style that stands apart from a car's name, and narrows down
// a car that can be several.
func (p *page) body(out *Reading) {
	for _, m := range p.of(aBody) {
		if !p.free(m) || p.before(m.from, 1, gone, notMine) {
			continue
		}
		b := p.book.body(m.name)
		out.Body, out.Shape = b.ID, b.As
		p.narrow(out, b)
		return
	}
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
		case isYear(t.key) && (out.Year == 0 || p.key(i-1) == "a" && p.key(i-2) == "its") && p.saysYear(i):
			out.Year = n
			p.take(i, i+1)
		}
	}
}

// saysYear tells whether four digits are a model year: beside a car, and neither
// money nor when something happened.
func (p *page) saysYear(i int) bool {
	before := p.key(i - 1)
	if slices.Contains([]string{"£", "since", "in", "from", "until", "till", "before", "by", "code", "to", "about"}, before) || p.after(i, 0, currency, notMoney) {
		return false
	}
	if before == "a" || before == "its" {
		return true
	}
	for k, t := range p.words {
		if p.together(i, k) && (t.car || p.has(k, aBody, plate)) {
			return true
		}
	}
	return false
}
