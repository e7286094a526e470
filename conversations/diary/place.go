package diary

import (
	"math"
	"time"
)

// Point is a place on the earth in degrees, north and east positive. The zero
// Point, in the sea off Africa, stands for a place we do not know.
type Point struct {
	Lat float64 `json:"lat,omitempty"`
	Lon float64 `json:"lon,omitempty"`
	// Within is how far, in kilometres and as a root mean square, the true place
	// lies from here, as where only the postcode area is known; zero is here.
	Within float64 `json:"within,omitempty"`
}

// Known tells whether the place is known.
func (p Point) Known() bool { return p != Point{} }

// earthKm is the mean radius R1 of the IUGG ellipsoid in kilometres.
const earthKm = 6371.0088

// Distance is the great-circle distance in kilometres on a sphere of the
// earth's mean radius, by the haversine formula (R. W. Sinnott, "Virtues of the
// haversine", Sky and Telescope 68, 1984), which keeps its precision for
// neighbours. The sphere is wrong by up to 0.3 %.
func Distance(a, b Point) float64 {
	const rad = math.Pi / 180
	sinLat := math.Sin((b.Lat - a.Lat) * rad / 2)
	sinLon := math.Sin((b.Lon - a.Lon) * rad / 2)
	h := sinLat*sinLat + math.Cos(a.Lat*rad)*math.Cos(b.Lat*rad)*sinLon*sinLon
	return 2 * earthKm * math.Asin(math.Sqrt(min(1, h)))
}

// Travel says how long it takes from one job to the next.
type Travel struct {
	// RoadFactor is kilometres by road per kilometre as the crow flies, and
	// KmPerHour the speed on it. With either zero, every way takes Unknown.
	RoadFactor, KmPerHour float64
	// Unknown is the time to allow where one of the places is not known.
	Unknown time.Duration
}

// Between is the time from a to b, rounded up to a full minute. Where a place is
// known only within some kilometres, the distance is the root mean square of
// what it may be: for offsets that are independent and have no direction, the
// squares of the distance and of both offsets add up.
func (t Travel) Between(a, b Point) time.Duration {
	if !a.Known() || !b.Known() || t.RoadFactor <= 0 || t.KmPerHour <= 0 {
		return t.Unknown
	}
	km := math.Sqrt(math.Pow(Distance(a, b), 2) + a.Within*a.Within + b.Within*b.Within)
	minutes := math.Ceil(km * t.RoadFactor / t.KmPerHour * 60)
	return time.Duration(minutes) * time.Minute
}
