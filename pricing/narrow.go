package pricing

import "slices"

// narrowed are the cars a reading leaves possible: the fullest names, in the body
// style, trim and year that were written. Cars that were named elsewhere in the
// text stay possible.
func (s *scan) narrowed(g *garage) []int {
	best := s.fullest(s.hits)
	var other []hit
	for _, h := range s.hits {
		if !overlaps(h, best) && h.size >= 3 && h.near == 0 {
			other = append(other, h)
		}
	}
	cars := s.filter(g, best)
	if len(other) > 0 {
		cars = append(cars, s.filter(g, s.fullest(other))...)
	}
	for _, h := range s.hits {
		if slices.Contains(cars, h.car) {
			s.use(h.from, h.to)
		}
	}
	slices.Sort(cars)
	return slices.Compact(cars)
}

// fullest are the hits with the longest name and the fewest wrong letters.
func (s *scan) fullest(hits []hit) []hit {
	score := func(h hit) int { return 4*h.size - 10*h.near }
	top := score(hits[0])
	for _, h := range hits {
		top = max(top, score(h))
	}
	var out []hit
	for _, h := range hits {
		if score(h) == top {
			out = append(out, h)
		}
	}
	return out
}

func overlaps(h hit, others []hit) bool {
	return slices.ContainsFunc(others, func(o hit) bool { return h.from < o.to && o.from < h.to })
}

// filter keeps the cars that fit the body style, trim and year, wherever at
// least one does.
func (s *scan) filter(g *garage, hits []hit) []int {
	var cars []int
	body, fit := s.bodies(), map[int]bool{}
	for _, h := range hits {
		if !slices.Contains(cars, h.car) {
			cars = append(cars, h.car)
		}
		fit[h.car] = fit[h.car] || body[g.cars[h.car].Body] || s.namesBody(h)
	}
	fits := keep(cars, func(c int) bool { return fit[c] })
	if len(fits) > 0 {
		cars = fits
	} else if len(body) > 0 {
		s.doubt = true
	}
	if fits = keep(cars, func(c int) bool { return s.saysTrim(g.cars[c].trims) }); len(fits) > 0 {
		cars = fits
	}
	if s.year > 0 {
		fits = keep(cars, func(c int) bool {
			v := g.cars[c]
			return (v.FromYear == 0 || s.year >= v.FromYear) && (v.ToYear == 0 || s.year <= v.ToYear)
		})
		if len(fits) > 0 {
			cars = fits
		}
	}
	return cars
}

func keep(cars []int, fits func(int) bool) []int {
	var out []int
	for _, c := range cars {
		if fits(c) {
			out = append(out, c)
		}
	}
	return out
}

// saysTrim tells whether one of the trims was written.
func (s *scan) saysTrim(trims []string) bool {
	found := false
	s.spans(func(from, to int, key string) {
		for _, t := range trims {
			if squeeze(t) == key {
				found = true
				s.use(from, to)
			}
		}
	})
	return found
}

// Vehicles are all known cars, in the order of the table.
func (r *Rules) Vehicles() []Vehicle {
	out := make([]Vehicle, len(cars().cars))
	for i, c := range cars().cars {
		out[i] = c.Vehicle
	}
	return out
}
