package air

import "math"

// The Magnus form over water and the range it was made for (WMO-No. 8, Annex
// 4.B).
const (
	magnusHPa    = 6.112
	magnusSlope  = 17.62
	magnusShiftC = 243.12
	magnusMinC   = -45.0
	magnusMaxC   = 60.0
)

// dewSlackC is how far a dew point may stand above the air temperature and
// still mean saturated air: two sensors in fog disagree by tenths (our choice).
const dewSlackC = 0.5

// SaturationVapourPressure is the vapour pressure in hPa at which air of airC
// is saturated over a plane of water, also below freezing, without the small
// enhancement for moist air, which cancels in the relative humidity. At the dew
// point it is the vapour pressure of the air. Valid from -45 to 60 C; outside
// there is no value. Source: WMO-No. 8, Annex 4.B.
func SaturationVapourPressure(airC float64) (float64, bool) {
	if !within(airC, magnusMinC, magnusMaxC) {
		return 0, false
	}
	return magnusHPa * math.Exp(magnusExponent(airC)), true
}

func magnusExponent(airC float64) float64 { return magnusSlope * airC / (magnusShiftC + airC) }

// RelativeHumidity is the relative humidity over water in percent, 0 to 100,
// from air and dew point in degrees C, both from -45 to 60 C. A dew point up to
// 0.5 C above the air gives 100; further above, or outside the range, there is
// no value. Source: WMO-No. 8, Annex 4.B.
func RelativeHumidity(airC, dewC float64) (float64, bool) {
	return humidityFrom(airC, dewC, magnusExponent)
}

// RelativeHumidityNWS is RelativeHumidity with the constants 17.625 and 243.04
// of Alduchov and Eskridge (1996), which the NWS service uses: its answers can
// be reproduced, and checked, only with them.
func RelativeHumidityNWS(airC, dewC float64) (float64, bool) {
	return humidityFrom(airC, dewC, func(tempC float64) float64 { return 17.625 * tempC / (243.04 + tempC) })
}

func humidityFrom(airC, dewC float64, exponent func(tempC float64) float64) (float64, bool) {
	if !within(airC, magnusMinC, magnusMaxC) || !within(dewC, magnusMinC, airC+dewSlackC) {
		return 0, false
	}
	return min(100, 100*math.Exp(exponent(dewC)-exponent(airC))), true
}

// DewPoint is the temperature in degrees C to which air of airC and the given
// relative humidity over water in percent must cool to be saturated. Valid for
// air from -45 to 60 C and more than 0 up to 100 %; outside there is no value.
// Source: WMO-No. 8, Annex 4.B, solved for the dew point.
func DewPoint(airC, rhPct float64) (float64, bool) {
	if !within(airC, magnusMinC, magnusMaxC) || !within(rhPct, math.SmallestNonzeroFloat64, 100) {
		return 0, false
	}
	l := math.Log(rhPct/100) + magnusExponent(airC)
	return magnusShiftC * l / (magnusSlope - l), true
}
