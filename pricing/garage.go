package pricing

import (
	_ "embed" // the vehicle tables
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"
)

//go:embed vehicles/vehicles.csv
var vehicleTable string

//go:embed vehicles/makes.csv
var makeTable string

// garage is the table of known cars, prepared for finding them in text.
type garage struct {
	cars []car
	// names are what cars are called, without spaces and punctuation.
	names map[string][]name
	// like are the names that may be guessed from one with letters wrong, by
	// their first letter, in the order of the alphabet.
	like map[byte][]string
	// makes are what makes are called.
	makes map[string]string
}

type car struct {
	Vehicle
	make   string
	trims  []string
	source string
}

// name is one way of calling a car.
type name struct {
	car int
	// needsMake: the word alone is an everyday word or a bare number.
	needsMake bool
	// stem: letters may follow, as in 320d.
	stem bool
	// made: the make is part of the name. Such a name is never guessed from one
	// like it, or one model would pass for another of the same make.
	made bool
}

// lines are a table's rows, comments left out.
func lines(table string) [][]string {
	var out [][]string
	for _, l := range strings.Split(table, "\n") {
		if l != "" && l[0] != '#' {
			out = append(out, strings.Split(l, ","))
		}
	}
	return out
}

func options(field string) []string {
	if field == "" {
		return nil
	}
	return strings.Split(field, "|")
}

// cars are the known cars, prepared when somebody first names one. The tables are
// compiled in, so a fault in them is a bug, and a test finds it.
var cars = sync.OnceValue(newGarage)

func newGarage() *garage {
	g := &garage{names: map[string][]name{}, makes: map[string]string{}}
	spellings := map[string][]string{}
	for _, l := range lines(makeTable) {
		for _, s := range append(options(l[1]), l[0]) {
			g.makes[squeeze(s)] = l[0]
			spellings[l[0]] = append(spellings[l[0]], squeeze(s))
		}
	}
	for _, l := range lines(vehicleTable) {
		c, err := readCar(l)
		if err != nil {
			panic("pricing: the vehicle table is broken: " + err.Error())
		}
		g.add(c, l[1], options(l[7]), spellings[l[0]])
	}
	g.like = map[byte][]string{}
	for _, known := range slices.Sorted(maps.Keys(g.names)) {
		if len(known) >= shortestNear && !strings.ContainsAny(known, "0123456789") {
			g.like[known[0]] = append(g.like[known[0]], known)
		}
	}
	return g
}

func readCar(l []string) (car, error) {
	const fields = 12
	if len(l) != fields {
		return car{}, fmt.Errorf("%q has %d fields, not %d", l, len(l), fields)
	}
	c := car{make: l[0], trims: options(l[8]), source: l[11]}
	c.Name, c.Body, c.Wheels, c.Lamps = strings.TrimSpace(l[0]+" "+strings.TrimPrefix(l[1], l[0]+" ")), Body(l[2]), 4, 2
	for i, field := range map[int]*int{3: &c.LengthMM, 4: &c.WidthMM, 5: &c.HeightMM, 6: &c.Seats, 9: &c.FromYear, 10: &c.ToYear} {
		if l[i] == "" && i > 8 {
			continue
		}
		n, err := strconv.Atoi(l[i])
		if err != nil {
			return car{}, fmt.Errorf("%q: field %d: %w", l, i+1, err)
		}
		*field = n
	}
	if _, ok := shapeOf(c.Body); !ok {
		return car{}, fmt.Errorf("%q: no such body style", l)
	}
	return c, nil
}

// add enters a car under all its names, each also behind each spelling of its
// make.
func (g *garage) add(c car, model string, others, makes []string) {
	at := len(g.cars)
	g.cars = append(g.cars, c)
	own := name{car: at}
	for _, o := range others {
		own.needsMake = own.needsMake || o == "!"+strings.ToLower(model)
	}
	own.needsMake = own.needsMake || digits(squeeze(model)) || bodiesOf(squeeze(model), "") != nil
	g.call(squeeze(model), own, makes)
	for _, o := range others {
		n := name{car: at, needsMake: strings.HasPrefix(o, "!"), stem: strings.HasSuffix(o, "*")}
		g.call(squeeze(o), n, makes)
	}
}

func (g *garage) call(key string, n name, makes []string) {
	g.enter(key, n)
	n.needsMake, n.made = false, true
	for _, m := range makes {
		if !strings.HasPrefix(key, m) {
			g.enter(m+key, n)
		}
	}
}

func (g *garage) enter(key string, n name) {
	for _, old := range g.names[key] {
		if old.car == n.car {
			return
		}
	}
	g.names[key] = append(g.names[key], n)
}

func digits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// squeeze is text without case, accents, spaces and punctuation.
func squeeze(s string) string {
	return strings.Map(func(r rune) rune {
		r = unaccent(unicode.ToLower(r))
		if r < 128 && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
			return r
		}
		return -1
	}, s)
}

// unaccent is the plain letter under the accents that car names have.
func unaccent(r rune) rune {
	switch r {
	case 'é', 'è', 'ë', 'ê':
		return 'e'
	case 'š':
		return 's'
	case 'ö', 'ó':
		return 'o'
	case 'ü':
		return 'u'
	case 'á', 'ä':
		return 'a'
	}
	return r
}

// bodiesOf are the body styles a word can mean.
func bodiesOf(w, next string) []Body {
	switch w {
	case "hatch", "hatchback", "sportback", "fastback", "liftback":
		return []Body{Hatchback}
	case "saloon", "sedan":
		return []Body{Saloon}
	case "estate", "avant", "touring", "tourer", "wagon", "sportwagon":
		return []Body{Estate}
	case "coupe", "coup":
		return []Body{Coupe}
	case "convertible", "convertable", "cabriolet", "cabrio", "cabriolette", "softtop", "roadster", "spider", "spyder", "ragtop":
		return []Body{Convertible, Roadster}
	case "soft":
		if next == "top" {
			return []Body{Convertible, Roadster}
		}
	case "van":
		return []Body{Van}
	case "pickup":
		return []Body{Pickup}
	case "pick":
		if next == "up" {
			return []Body{Pickup}
		}
	case "suv":
		return []Body{SUV}
	case "mpv":
		return []Body{MPV}
	case "people":
		if next == "carrier" {
			return []Body{MPV}
		}
	}
	return nil
}
