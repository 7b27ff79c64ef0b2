package air

import "math"

// The kinds of feels-like temperature.
const (
	KindWindChill      = "wind_chill"
	KindHeatIndex      = "heat_index"
	KindAirTemperature = "air_temperature"
	KindUnknown        = "unknown"
)

// heatIndexFromC is the air temperature from which FeelsLike uses the heat
// index. The NWS service publishes none at 17.8 C and does at 22.8 C; we take
// the upper end, where a published answer was seen (our choice).
const heatIndexFromC = 22.8

// FeelsLike is what the air feels like in degrees C, and which index says so:
// the wind chill where it is defined, the heat index in air of 22.8 C or more
// when the humidity is known, else the air temperature itself. The wind is the
// ten-minute mean at 10 m in m/s; this is the one place where it becomes km/h.
//
// The kind is "unknown", and the value 0, when the air temperature is not
// physical, or when it is cold enough for wind chill and the wind is negative
// or not a number: a wind that nobody measured is not a calm. A humidity
// outside 0 to 100 % counts as not known.
func FeelsLike(airC, windMps, rhPct float64, rhKnown bool) (valueC float64, kind string) {
	if !within(airC, absoluteZeroC, 100) {
		return 0, KindUnknown
	}
	if airC <= windChillMaxC {
		return feelsLikeInCold(airC, windMps)
	}
	if rhKnown && airC >= heatIndexFromC {
		if index, ok := HeatIndex(airC, rhPct); ok {
			return index, KindHeatIndex
		}
	}
	return airC, KindAirTemperature
}

func feelsLikeInCold(airC, windMps float64) (float64, string) {
	windKmh := windMps * KmhPerMps
	if !within(windKmh, 0, windChillMaxKmh) {
		return 0, KindUnknown
	}
	if chill, ok := WindChill(airC, windKmh); ok {
		return chill, KindWindChill
	}
	return airC, KindAirTemperature
}

// ApparentTemperature is the Australian apparent temperature in the shade in
// degrees C, which works in all seasons: air in degrees C, relative humidity in
// percent, mean wind at 10 m in m/s.
//
//	Ta + 0.33 e - 0.70 ws - 4.00,  e = R/100 6.105 exp(17.27 Ta/(237.7 + Ta))
//
// Valid for air from -45 to 60 C, 0 to 100 % and a wind of 0 to 111 m/s (our
// bounds); outside there is no value. Source: Steadman (1994), approximation of
// the Australian Bureau of Meteorology.
func ApparentTemperature(airC, rhPct, windMps float64) (float64, bool) {
	if !within(airC, magnusMinC, magnusMaxC) || !within(rhPct, 0, 100) ||
		!within(windMps*KmhPerMps, 0, windChillMaxKmh) {
		return 0, false
	}
	// The constants belong to this approximation and differ from WMO-No. 8's.
	vapourHPa := rhPct / 100 * 6.105 * math.Exp(17.27*airC/(237.7+airC))
	return airC + 0.33*vapourHPa - 0.70*windMps - 4.00, true
}
