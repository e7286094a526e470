package reading

import "slices"

// cars reads how many cars are meant, by a phrase or by the cars named.
func (p *page) cars(out *Reading) {
	for _, m := range p.of(howMany) {
		out.Cars = max(out.Cars, number(m.name))
	}
	out.Cars = max(out.Cars, p.counted())
	if n := len(out.Vehicles); n > 1 && !p.either(out.Vehicles) {
		out.Cars = max(out.Cars, n)
	}
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
		if v < 2 || v > mostCars || p.words[i].taken {
			continue
		}
		for k := i + 1; k < len(p.words) && k <= i+3 && !p.cut(k); k++ {
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
