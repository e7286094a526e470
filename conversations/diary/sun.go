package diary

import (
	"math"
	"time"
)

// Light is what the sun does on a day.
type Light int

// The sun rises and sets, or does neither: beyond the polar circles there are
// days on which it never sets or never rises.
const (
	Ordinary Light = iota
	AlwaysUp
	NeverUp
)

// zenith is the angle between the vertical and the sun's centre when its upper
// edge stands on a sea horizon: 90° 50', that is 34' of refraction and 16' of
// half diameter. It is the convention of the United States Naval Observatory.
const zenith = 90 + 50.0/60

// Sun is when the sun rises and sets at a place on the calendar date of date
// in date's own zone: the rise before and the set after that date's noon there.
// Hills, height above the sea and weather are left out. If the sun does not
// both rise and set, light says which, and the times are zero.
//
// The position of the sun is that of the NOAA solar calculator, which follows
// J. Meeus, Astronomical Algorithms, chapter 25 (low accuracy) and 28. It is
// computed at the event itself, by repetition: over a day, the sun's movement
// would be worth two minutes at British latitudes.
func Sun(date time.Time, p Point) (rise, set time.Time, light Light) {
	y, m, d := date.Date()
	noon := float64(time.Date(y, m, d, 12, 0, 0, 0, time.UTC).Unix()) - p.Lon*240
	at := [2]float64{noon, noon}
	for range 3 {
		for i, side := range [2]float64{-1, 1} {
			declination, equation := sunAt(at[i])
			angle, light := hourAngle(p.Lat, declination)
			if light != Ordinary {
				return time.Time{}, time.Time{}, light
			}
			// One degree of the earth's turn is 240 seconds.
			at[i] = noon - equation*60 + side*angle*240
		}
	}
	return instant(at[0]), instant(at[1]), Ordinary
}

func instant(unix float64) time.Time { return time.Unix(int64(math.Round(unix)), 0).UTC() }

// hourAngle is the angle in degrees by which the earth turns between the sun's
// highest point and its setting, at a latitude, for a declination.
func hourAngle(lat, declination float64) (degrees float64, light Light) {
	const rad = math.Pi / 180
	c := (math.Cos(zenith*rad) - math.Sin(lat*rad)*math.Sin(declination)) /
		(math.Cos(lat*rad) * math.Cos(declination))
	switch {
	case c > 1:
		return 0, NeverUp
	case c < -1:
		return 0, AlwaysUp
	}
	return math.Acos(c) / rad, Ordinary
}

// sunAt is the sun's declination in radians and the equation of time (apparent
// less mean solar time) in minutes, at a moment in seconds since 1970 UTC.
func sunAt(unix float64) (declination, equation float64) {
	const rad = math.Pi / 180
	// Julian centuries since noon on 1 January 2000; the minute between UTC and
	// dynamical time moves the sun by nothing that matters here.
	t := (unix - 946728000) / 86400 / 36525

	longitude := math.Mod(280.46646+t*(36000.76983+t*0.0003032), 360) * rad
	anomaly := math.Mod(357.52911+t*(35999.05029-t*0.0001537), 360) * rad
	eccentricity := 0.016708634 - t*(0.000042037+t*0.0000001267)
	centre := (math.Sin(anomaly)*(1.914602-t*(0.004817+t*0.000014)) +
		math.Sin(2*anomaly)*(0.019993-t*0.000101) + math.Sin(3*anomaly)*0.000289) * rad

	node := (125.04 - 1934.136*t) * rad
	apparent := longitude + centre - (0.00569+0.00478*math.Sin(node))*rad
	obliquity := (23.4392911 - t*(0.0130042+t*(0.00000016-t*0.000000504)) + 0.00256*math.Cos(node)) * rad
	declination = math.Asin(math.Sin(obliquity) * math.Sin(apparent))

	v := math.Tan(obliquity / 2)
	v *= v
	equation = 4 / rad * (v*math.Sin(2*longitude) - 2*eccentricity*math.Sin(anomaly) +
		4*eccentricity*v*math.Sin(anomaly)*math.Cos(2*longitude) -
		v*v/2*math.Sin(4*longitude) - 1.25*eccentricity*eccentricity*math.Sin(2*anomaly))
	return declination, equation
}
