package diary

import (
	_ "embed" // areas.csv
	"regexp"
	"strconv"
	"strings"
)

//go:embed areas.csv
var areas string

// postcode is an outward code, with the rest of a postcode or without.
var postcode = regexp.MustCompile(`^([A-Z]{1,2})[0-9][0-9A-Z]?(?: ?[0-9][A-Z]{2})?$`)

// Outward is roughly where a British postcode, or only its outward code, lies:
// the middle of its area, the letters it begins with, and how far from there
// people live, in [Point.Within]. That is good enough to reckon a way and the
// sun by until somebody shares where the car stands; it is no address. It
// reports false for what is no postcode and for areas it does not know, the
// islands outside the United Kingdom among them.
//
// The table, areas.csv, is from memory.
func Outward(code string) (Point, bool) {
	m := postcode.FindStringSubmatch(strings.ToUpper(strings.Join(strings.Fields(code), " ")))
	if m == nil {
		return Point{}, false
	}
	_, row, ok := strings.Cut(areas, "\n"+m[1]+",")
	if !ok {
		return Point{}, false
	}
	row, _, _ = strings.Cut(row, "\n")
	var v [3]float64
	for i, f := range strings.SplitN(row, ",", len(v)) {
		n, err := strconv.ParseFloat(f, 64)
		if err != nil {
			return Point{}, false
		}
		v[i] = n
	}
	return Point{Lat: v[0], Lon: v[1], Within: v[2]}, true
}
