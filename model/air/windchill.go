package air

import "math"

// The wind chill index has no meaning in mild air or near-calm, where the
// trials behind it made no measurements (Joint Action Group on Temperature
// Indices, 2001).
const (
	windChillMaxC       = 10.0
	windChillMinKmh     = 4.8
	windChillMaxF       = 50.0
	windChillMinMph     = 3.0
	absoluteZeroC       = -273.15
	windChillMaxKmh     = 400.0 // our bound: no surface wind of 10 min is stronger
	windChillSpeedPower = 0.16
)

// WindChill is the wind chill index in degrees C for an air temperature in
// degrees C and the ten-minute mean wind at 10 m in km/h (never the gust):
//
//	13.12 + 0.6215 T - 11.37 V^0.16 + 0.3965 T V^0.16
//
// It is valid for air of 10 C or colder and a wind of 4.8 km/h or more. Outside
// there is no wind chill, which is not the same as the air temperature.
// Source: Joint Action Group on Temperature Indices (2001), metric form.
func WindChill(airC, windKmh float64) (float64, bool) {
	if !within(airC, absoluteZeroC, windChillMaxC) || !within(windKmh, windChillMinKmh, windChillMaxKmh) {
		return 0, false
	}
	v := math.Pow(windKmh, windChillSpeedPower)
	return 13.12 + 0.6215*airC - 11.37*v + 0.3965*airC*v, true
}

// WindChillF is the wind chill index in degrees F for an air temperature in
// degrees F and the mean wind at 10 m in miles an hour:
//
//	35.74 + 0.6215 T - 35.75 V^0.16 + 0.4275 T V^0.16
//
// It is valid for air of 50 F or colder and a wind of 3 mph or more; outside
// there is none. It is a fit of its own and differs from WindChill by up to
// 0.06 C. Source: Joint Action Group on Temperature Indices (2001), US form.
func WindChillF(airF, windMph float64) (float64, bool) {
	lowestF := FahrenheitFromCelsius(absoluteZeroC)
	strongestMph := windChillMaxKmh / KmhPerMps / MpsPerMph
	if !within(airF, lowestF, windChillMaxF) || !within(windMph, windChillMinMph, strongestMph) {
		return 0, false
	}
	v := math.Pow(windMph, windChillSpeedPower)
	return 35.74 + 0.6215*airF - 35.75*v + 0.4275*airF*v, true
}
