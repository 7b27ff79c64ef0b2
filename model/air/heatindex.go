package air

import "math"

// Limits of the heat index. Below 80 F the simple form stands in for the
// regression (Rothfusz 1990). The outer limits are our choice: below 40 F the
// index means nothing, and above 130 F no air over land has been measured.
const (
	heatIndexRegressionFromF = 80.0
	heatIndexMinF            = 40.0
	heatIndexMaxF            = 130.0
)

// HeatIndexF is the heat index in degrees F for air in degrees F and relative
// humidity in percent, as the US National Weather Service computes it: the
// simple form while that stays under 80 F, else the regression of Rothfusz
// (1990, SR 90-23) with the two adjustments for very dry and very damp air.
// Valid from 40 to 130 F and 0 to 100 %; outside there is no value.
func HeatIndexF(airF, rhPct float64) (float64, bool) {
	if !heatIndexDefined(airF, rhPct) {
		return 0, false
	}
	// The leading half is the average with the air temperature that the
	// equation's text asks for; averaging again contradicts the live service.
	simpleF := 0.5 * (airF + 61 + (airF-68)*1.2 + rhPct*0.094)
	if simpleF < heatIndexRegressionFromF {
		return simpleF, true
	}
	return heatIndexRegressionF(airF, rhPct) + heatIndexAdjustmentF(airF, rhPct), true
}

// HeatIndex is HeatIndexF with both temperatures in degrees C; valid from 4.4
// to 54.4 C.
func HeatIndex(airC, rhPct float64) (float64, bool) {
	f, ok := HeatIndexF(FahrenheitFromCelsius(airC), rhPct)
	if !ok {
		return 0, false
	}
	return CelsiusFromFahrenheit(f), true
}

// HeatIndexChartF is the regression alone, without the simple form and without
// the adjustments: what the printed NWS chart (80 to 110 F, 40 to 100 %) holds.
// Valid from 80 to 130 F and 0 to 100 %; outside there is no value.
func HeatIndexChartF(airF, rhPct float64) (float64, bool) {
	if !heatIndexDefined(airF, rhPct) || airF < heatIndexRegressionFromF {
		return 0, false
	}
	return heatIndexRegressionF(airF, rhPct), true
}

func heatIndexDefined(airF, rhPct float64) bool {
	return within(airF, heatIndexMinF, heatIndexMaxF) && within(rhPct, 0, 100)
}

// heatIndexRegressionF is the nine-term regression of Rothfusz (1990).
func heatIndexRegressionF(t, r float64) float64 {
	return -42.379 + 2.04901523*t + 10.14333127*r - 0.22475541*t*r -
		6.83783e-3*t*t - 5.481717e-2*r*r + 1.22874e-3*t*t*r +
		8.5282e-4*t*r*r - 1.99e-6*t*t*r*r
}

// heatIndexAdjustmentF is what the NWS adds to the regression in very dry or
// very damp air (Weather Prediction Center, the heat index equation).
func heatIndexAdjustmentF(airF, rhPct float64) float64 {
	switch {
	case rhPct < 13 && within(airF, 80, 112):
		return -(13 - rhPct) / 4 * math.Sqrt((17-math.Abs(airF-95))/17)
	case rhPct > 85 && within(airF, 80, 87):
		return (rhPct - 85) / 10 * (87 - airF) / 5
	default:
		return 0
	}
}
