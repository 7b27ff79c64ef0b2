package water

import (
	"math"
	"time"
)

// SinElevation gives the sine of the sun's height above the horizon, -1 to 1,
// for a latitude in degrees (-90 to 90), a day of the year (1 to 366) and the
// local solar hour (0 to 24, 12 when the sun is highest); outside, an error.
// Source: FAO-56 (Allen et al. 1998), equation 24 for the declination, from
// memory. It serves the heat budget and leaves out refraction and the equation
// of time, which move sunlight by minutes; a water remembers days.
func SinElevation(latDeg float64, dayOfYear int, solarHour float64) (float64, error) {
	if err := between("latitude", latDeg, -90, 90, "degrees"); err != nil {
		return 0, err
	}
	if err := between("day of the year", float64(dayOfYear), 1, 366, "days"); err != nil {
		return 0, err
	}
	if err := between("solar hour", solarHour, 0, 24, "h"); err != nil {
		return 0, err
	}
	return sinElevation(latDeg, dayOfYear, solarHour), nil
}

func sinElevation(latDeg float64, dayOfYear int, solarHour float64) float64 {
	declination := 0.409 * math.Sin(2*math.Pi*float64(dayOfYear)/365-1.39)
	sinLat, cosLat := math.Sincos(latDeg * math.Pi / 180)
	sinDec, cosDec := math.Sincos(declination)
	return sinLat*sinDec + cosLat*cosDec*math.Cos((solarHour-12)*math.Pi/12)
}

// ShortwaveWm2 gives the sunlight on level ground in W/m2 for the sine of the
// sun's height (-1 to 1) and the share of sky covered by cloud (0 to 1);
// outside, an error. Source: Kasten and Czeplak 1980, from memory.
func ShortwaveWm2(sinElevation, cloudFraction float64) (float64, error) {
	if err := between("sine of the sun's height", sinElevation, -1, 1, ""); err != nil {
		return 0, err
	}
	if err := between("cloud fraction", cloudFraction, 0, 1, ""); err != nil {
		return 0, err
	}
	return shortwaveWm2(sinElevation, cloudFraction), nil
}

func shortwaveWm2(sinElevation, cloudFraction float64) float64 {
	clearSky := 910*sinElevation - 30
	if clearSky <= 0 {
		return 0
	}
	return clearSky * (1 - 0.75*math.Exp(3.4*math.Log(cloudFraction)))
}

// sunlightAt is the sunlight at a site at an instant, by its own solar time.
func sunlightAt(site *Site, at time.Time, cloudFraction float64) float64 {
	const secondsPerDegree = 240
	solar := at.UTC().Add(time.Duration(site.LonDeg * secondsPerDegree * float64(time.Second)))
	second := solar.Unix() % secondsPerDay
	if second < 0 {
		second += secondsPerDay // before 1970
	}
	solarHour := float64(second) / 3600
	return shortwaveWm2(sinElevation(site.LatDeg, solar.YearDay(), solarHour), cloudFraction)
}

// CloudFromSunlight gives the cloud (0 to 1) that lets the measured daily mean
// of sunlight through out of that of a clear sky, both in W/m2; false without
// a clear-sky figure above 0 or for a measured one that is no number. Source:
// Kasten and Czeplak 1980 turned round, with the share that gets through kept to
// 0.02 to 1 (reference pack 2.1).
func CloudFromSunlight(measuredWm2, clearSkyWm2 float64) (fraction float64, ok bool) {
	through := measuredWm2 / clearSkyWm2
	if !(clearSkyWm2 > 0) || math.IsNaN(through) {
		return 0, false
	}
	through = math.Min(1, math.Max(0.02, through))
	return math.Min(1, math.Pow((1-through)/0.75, 1/3.4)), true
}
