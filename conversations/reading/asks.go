package reading

import (
	"maps"
	"slices"
)

// asks reads what is asked apart from the work.
func (p *page) asks(out *Reading) {
	for _, a := range slices.Sorted(maps.Keys(p.book.Asks)) {
		said := slices.ContainsFunc(p.of(anAsk), func(m mark) bool { return m.name == a && p.free(m) })
		if said {
			out.Asks = append(out.Asks, a)
		}
	}
}

// cars reads how many cars are meant, by a phrase or by the cars named.
func (p *page) cars(out *Reading) {
	for _, m := range p.of(howMany) {
		out.Cars = max(out.Cars, number(m.name))
	}
	if n := len(out.Vehicles); n > 1 {
		out.Cars = max(out.Cars, n)
	}
}
