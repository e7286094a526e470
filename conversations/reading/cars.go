package reading

import "slices"

// cars reads how many cars are meant, by a phrase or by the cars named.
func (p *page) cars(out *Reading) {
	for _, m := range p.of(howMany) {
		if !p.elsewhere(m.from) {
			out.Cars = max(out.Cars, number(m.name))
		}
	}
	out.Cars = max(out.Cars, p.counted(), p.ofUs(), p.twoBodies(out))
	if n := len(out.Vehicles); n > 1 && !p.either(out.Vehicles) {
		out.Cars = max(out.Cars, n)
	}
	if len(p.of(oneOnly)) > 0 {
		out.Cars = 0
	}
	out.Together = out.Cars > 1 && out.Budget.Kind != "" && len(p.of(together)) > 0
}

// elsewhere tells whether cars counted at a word are not those to be done: room for
// them, between them, swapped, done before.
func (p *page) elsewhere(i int) bool {
	return p.before(i, 2, notThese)
}

// ofUs is how many people speak of their cars: "six of us want our cars washing".
func (p *page) ofUs() int {
	for i := range p.words {
		n := p.book.Numbers[p.key(i)]
		if d := number(p.key(i)); d > 0 {
			n = d
		}
		if n < 2 || n > mostCars || p.key(i+1) != "of" || p.key(i+2) != "us" || p.words[i].taken {
			continue
		}
		for k := i + 3; k < len(p.words) && p.together(i, k); k++ {
			if p.has(k, carsNoun) {
				return n
			}
		}
	}
	return 0
}

// twoBodies is 2 if two cars are spoken of by nothing but their shape: "an SUV and an
// estate".
func (p *page) twoBodies(out *Reading) int {
	all := p.of(aBody)
	for k := 1; k < len(all); k++ {
		a, b := all[k-1], all[k]
		between := p.key(a.to) == "and" && (p.key(a.to+1) == "a" || p.key(a.to+1) == "an" || p.key(a.to+1) == "my") && b.from == a.to+2
		if len(out.Vehicles) == 0 && a.name != b.name && between && p.together(a.from, b.from) {
			return 2
		}
	}
	return 0
}

// mostCars is the largest number of cars that is believed; more is a figure of
// something else.
const mostCars = 9

// counted is the largest number that stands before cars: "three company cars",
// "2 corsas".
func (p *page) counted() int {
	n := 0
	for i := range p.words {
		v := number(p.key(i))
		if v < 0 {
			v = p.book.Numbers[p.key(i)]
		}
		if v < 2 || v > mostCars || p.words[i].taken || p.elsewhere(i) {
			continue
		}
		if p.key(i-1) == "of" && p.key(i-2) == "fleet" {
			n = max(n, v)
		}
		for k := i + 1; k < len(p.words) && k <= i+3 && !p.cut(k) && !isNumber(p.key(k)); k++ {
			if p.has(k, carsNoun) || p.words[k].car && manyOf(p.words[k].key) {
				n = max(n, v+p.andOne(k+1))
			}
			if p.has(k, notMoney) && !p.has(k, carsNoun) {
				break
			}
		}
	}
	return n
}

// andOne is 1 if one more car is named from a word on: "2 vans and a Shogun".
func (p *page) andOne(i int) int {
	if (p.key(i) == "and" || p.key(i) == "plus") && (p.key(i+1) == "a" || p.key(i+1) == "my" || p.key(i+1) == "the") && i+2 < len(p.words) && p.words[i+2].car && p.together(i, i+2) {
		return 1
	}
	return 0
}

// manyOf tells whether a car's name is said of several, as in "two corsas".
func manyOf(name string) bool {
	return len(name) > 3 && name[len(name)-1] == 's' && !slices.Contains([]string{"yaris", "prius", "ignis", "avensis", "focus", "lexus", "auris", "venus", "lotus", "taurus", "solaris", "koleos", "dacias"}, name)
}

// either tells whether two cars are named because somebody does not know which
// it is: "fiesta or fusion".
func (p *page) either(cars []Vehicle) bool {
	for i := 1; i < len(cars); i++ {
		between := p.text[cars[i-1].Span.To:cars[i].Span.From]
		if slices.Contains(words(between), "or") && len(words(between)) < 4 {
			return true
		}
	}
	return false
}
