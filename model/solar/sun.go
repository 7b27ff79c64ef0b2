package solar

import (
	"math"
	"time"
)

// sun is the sun as seen from the middle of the Earth at one instant.
type sun struct {
	declinationRad float64
	equationMin    float64 // apparent minus mean solar time
}

// sunAt evaluates the NOAA equations (Meeus, Astronomical Algorithms, chapters
// 22, 25 and 28) at an instant; their names for the terms are kept.
func sunAt(at time.Time) sun {
	t := julianCentury(at)
	l0 := rad(280.46646 + t*(36000.76983+t*0.0003032))
	m := rad(357.52911 + t*(35999.05029-t*0.0001537))
	e := 0.016708634 - t*(0.000042037+t*0.0000001267)
	centre := math.Sin(m)*(1.914602-t*(0.004817+t*0.000014)) +
		math.Sin(2*m)*(0.019993-t*0.000101) + math.Sin(3*m)*0.000289
	node := rad(125.04 - 1934.136*t)
	lambda := l0 + rad(centre-0.00569-0.00478*math.Sin(node))
	meanEps := 23 + (26+(21.448-t*(46.815+t*(0.00059-t*0.001813)))/60)/60
	eps := rad(meanEps + 0.00256*math.Cos(node))

	y := math.Tan(eps/2) * math.Tan(eps/2)
	equation := y*math.Sin(2*l0) - 2*e*math.Sin(m) + 4*e*y*math.Sin(m)*math.Cos(2*l0) -
		0.5*y*y*math.Sin(4*l0) - 1.25*e*e*math.Sin(2*m)
	return sun{
		declinationRad: math.Asin(math.Sin(eps) * math.Sin(lambda)),
		equationMin:    4 * deg(equation),
	}
}

// julianCentury is the time since noon of 1 January 2000 in centuries of 36525
// days; the minute between universal and terrestrial time does not matter here.
func julianCentury(at time.Time) float64 {
	const unixOfJ2000 = 946728000
	return float64(at.Unix()-unixOfJ2000) / 86400 / 36525
}

func rad(degrees float64) float64 { return degrees * math.Pi / 180 }

func deg(radians float64) float64 { return radians * 180 / math.Pi }

// defined says whether the place is on Earth and the year among those for which
// the equations were made.
func defined(latDeg, lonDeg float64, at time.Time) bool {
	return math.Abs(latDeg) <= 90 && math.Abs(lonDeg) <= 180 && at.Year() >= 1900 && at.Year() <= 2100
}
