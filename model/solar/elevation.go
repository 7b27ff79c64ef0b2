package solar

import (
	"math"
	"time"
)

// Elevation is the height of the sun's centre above the horizon in degrees, -90
// to 90, at a place (degrees, north and east positive) and an instant. It is
// geometric, without the bending of light, so that it compares directly with
// RiseSetDeg and CivilTwilightDeg. It is false for a place that is not on Earth
// and for years outside 1900 to 2100. Source: NOAA solar calculation details.
func Elevation(latDeg, lonDeg float64, at time.Time) (float64, bool) {
	if !defined(latDeg, lonDeg, at) {
		return 0, false
	}
	s := sunAt(at)
	utc := at.UTC()
	minutes := utc.Sub(time.Date(utc.Year(), utc.Month(), utc.Day(), 0, 0, 0, 0, time.UTC)).Minutes()
	hourAngle := rad((minutes+s.equationMin+4*lonDeg)/4 - 180)
	lat := rad(latDeg)
	sine := math.Sin(lat)*math.Sin(s.declinationRad) + math.Cos(lat)*math.Cos(s.declinationRad)*math.Cos(hourAngle)
	return deg(math.Asin(max(-1, min(1, sine)))), true
}
