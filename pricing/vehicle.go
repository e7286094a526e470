package pricing

import "math"

// Body is a body style.
type Body string

// The body styles. Roadster is a soft top with two seats, Convertible one with
// four.
const (
	Hatchback   Body = "hatchback"
	Saloon      Body = "saloon"
	Estate      Body = "estate"
	Coupe       Body = "coupe"
	SUV         Body = "suv"
	MPV         Body = "mpv"
	Van         Body = "van"
	Pickup      Body = "pickup"
	Convertible Body = "convertible"
	Roadster    Body = "roadster"
)

// Bodies are all body styles, in a fixed order.
func Bodies() []Body {
	return []Body{Hatchback, Saloon, Estate, Coupe, SUV, MPV, Van, Pickup, Convertible, Roadster}
}

// Vehicle is one car as far as work and money are concerned. Lengths are in
// millimetres, the width without mirrors.
type Vehicle struct {
	Name     string `json:"name"`
	Body     Body   `json:"body"`
	LengthMM int    `json:"length_mm"`
	WidthMM  int    `json:"width_mm"`
	HeightMM int    `json:"height_mm"`
	Seats    int    `json:"seats"`
	Wheels   int    `json:"wheels"`
	Lamps    int    `json:"lamps"`
	// FromYear and ToYear are the years this shape was sold in Britain, 0 where
	// open or unknown.
	FromYear int `json:"from_year,omitempty"`
	ToYear   int `json:"to_year,omitempty"`
}

// shape is what a body style makes of the box around the car.
type shape struct {
	// skin is how much of the five-face box (two sides, two ends, roof) the
	// outer skin has: paint, glass and lamps, without wheels and underside.
	skin float64
	// paint is how much of the skin of a hard-roofed car is painted.
	paint float64
	// roof is how much of the footprint a soft top covers, along its folds.
	roof float64
	// cabin is how much of the footprint is lived in; a van's load space is not
	// cleaned unless somebody asks.
	cabin float64
	// What to take when only the length is known, in millimetres: width is
	// wide + length·18 %, height is high + (length - from)·rise.
	length, wide, high, from int
	rise                     float64
	seats                    int
	// quick is how much quicker flat sides are gone round than their area says.
	quick float64
}

// shapeOf holds for each body style. The skin factors lie between the ratios
// measured on car meshes (0.59 to 0.78, see testdata/pricing); paint shares, soft
// tops and typical sizes are common practice, from memory.
func shapeOf(b Body) (shape, bool) {
	switch b {
	case Hatchback:
		return shape{skin: .72, paint: .58, cabin: 1, length: 4200, wide: 1000, high: 1480, seats: 5}, true
	case Saloon:
		return shape{skin: .71, paint: .60, cabin: 1, length: 4700, wide: 1000, high: 1450, seats: 5}, true
	case Estate:
		return shape{skin: .74, paint: .58, cabin: 1.05, length: 4650, wide: 1000, high: 1480, seats: 5}, true
	case Coupe:
		return shape{skin: .69, paint: .62, cabin: .95, length: 4400, wide: 1010, high: 1380, seats: 4}, true
	case SUV:
		return shape{skin: .74, paint: .61, cabin: 1.05, length: 4450, wide: 1030, high: 1640, seats: 5}, true
	case MPV:
		return shape{skin: .76, paint: .59, cabin: 1.1, length: 4600, wide: 1010, high: 1680, seats: 7}, true
	case Van:
		return shape{quick: .8, skin: .80, paint: .69, cabin: .7, length: 5000, wide: 1000, high: 1830, from: 4400, rise: .35, seats: 3}, true
	case Pickup:
		return shape{skin: .72, paint: .62, cabin: .95, length: 5300, wide: 900, high: 1800, seats: 5}, true
	case Convertible:
		return shape{skin: .72, paint: .58, roof: .41, cabin: 1.05, length: 4200, wide: 1000, high: 1430, seats: 4}, true
	case Roadster:
		return shape{skin: .70, paint: .60, roof: .26, cabin: 1, length: 4050, wide: 1010, high: 1260, seats: 2}, true
	}
	return shape{}, false
}

// metres are the three dimensions in metres.
func (v Vehicle) metres() (length, width, height float64) {
	return float64(v.LengthMM) / 1000, float64(v.WidthMM) / 1000, float64(v.HeightMM) / 1000
}

// box is the five-face box around the car in m²: 2LH + 2WH + LW.
func (v Vehicle) box() float64 {
	l, w, h := v.metres()
	return 2*l*h + 2*w*h + l*w
}

// BodyArea is the outer skin in m²: paint, glass, lamps and soft top, without
// wheels and underside. It is the five-face box 2LH + 2WH + LW times a factor of
// the body style.
func (v Vehicle) BodyArea() float64 {
	s, _ := shapeOf(v.Body)
	return v.box() * s.skin
}

// SoftTopArea is the fabric of the roof in m², 0 for a hard roof: a share of
// the footprint, LW, that the body style says.
func (v Vehicle) SoftTopArea() float64 {
	s, _ := shapeOf(v.Body)
	l, w, _ := v.metres()
	return l * w * s.roof
}

// PaintedArea is the paint in m²: the painted share of [Vehicle.BodyArea]; where
// a soft top takes the place of a roof, six tenths of the fabric's area would
// have been paint.
func (v Vehicle) PaintedArea() float64 {
	s, _ := shapeOf(v.Body)
	return math.Max(0, v.box()*s.skin*s.paint-0.6*v.SoftTopArea())
}

// The car whose minutes the rules file gives: a hatchback of 4.3 by 1.8 by
// 1.46 m with five seats.
func reference() Vehicle {
	return Vehicle{Name: "medium hatchback", Body: Hatchback, LengthMM: 4300, WidthMM: 1800, HeightMM: 1460, Seats: 5, Wheels: 4, Lamps: 2}
}

// OutsideSize is how long work that goes round the whole outside takes,
// compared with the medium hatchback: paint and soft top in proportion to the
// power 0.85, because walking, hoses and buckets do not grow with the car
// (common practice, from memory).
func (v Vehicle) OutsideSize() float64 {
	size := math.Pow((v.PaintedArea()+v.SoftTopArea())/reference().PaintedArea(), 0.85)
	if s, _ := shapeOf(v.Body); s.quick > 0 {
		size *= s.quick
	}
	return size
}

// InsideSize is the same for the inside: half by the floor of the cabin, half by
// the seats (common practice, from memory).
func (v Vehicle) InsideSize() float64 {
	s, _ := shapeOf(v.Body)
	l, w, _ := v.metres()
	rl, rw, _ := reference().metres()
	return s.cabin * (0.5*l*w/(rl*rw) + 0.1*float64(v.Seats))
}

// VehicleFromBody is a car of which only the body style and a rough length are
// known. A length of 0 stands for one typical of the style; lengths no car has
// are taken for the nearest one has (2.4 to 7.5 m). An unknown body style is
// taken for a hatchback.
func VehicleFromBody(b Body, lengthMM int) Vehicle {
	s, ok := shapeOf(b)
	if !ok {
		b = Hatchback
		s, _ = shapeOf(b)
	}
	if lengthMM == 0 {
		lengthMM = s.length
	}
	lengthMM = min(max(lengthMM, 2400), 7500)
	v := Vehicle{Name: string(b), Body: b, LengthMM: lengthMM, WidthMM: s.wide + lengthMM*18/100, Seats: s.seats, Wheels: 4, Lamps: 2}
	v.HeightMM = s.high + int(s.rise*float64(max(0, lengthMM-s.from)))
	switch {
	case b == Hatchback && lengthMM < 3650:
		v.Seats = 4
	case b == MPV && lengthMM < 4400:
		v.Seats = 5
	case b == Van && lengthMM < 4500:
		v.Seats = 2
	}
	return v
}
