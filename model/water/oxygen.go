package water

import "math"

// standardAtmosphereHPa is one atmosphere, by definition.
const standardAtmosphereHPa = 1013.25

// The span that OxygenSaturation answers for. The temperatures are those of the
// equations; the others are ours: from the highest fishing lakes to the highest
// barometer, and up to the sea's salt.
const (
	oxygenLowestC       = 0.0
	oxygenHighestC      = 40.0
	oxygenLowestHPa     = 400.0
	oxygenHighestHPa    = 1100.0
	oxygenHighestSalPSU = 40.0
)

// OxygenSaturation is the dissolved oxygen in mg/L of water in balance with damp
// air, from the water temperature in C (0 to 40), the pressure at the station's
// own height in hPa (400 to 1100; a pressure reduced to sea level is too high,
// see air.StationPressureFromSeaLevel) and the salinity in PSU (0 to 40, 0 for
// fresh water). Outside those ranges there is no value.
//
// It is what the water would settle at, not what is in it: weed and algae take
// a pond above it by day and far below it by dawn.
//
// Source: Benson and Krause 1980 and 1984, as adopted by the US Geological
// Survey, Office of Water Quality Technical Memorandum 2011.03.
func OxygenSaturation(waterC, stationHPa, salinityPSU float64) (mgL float64, ok bool) {
	inRange := waterC >= oxygenLowestC && waterC <= oxygenHighestC &&
		stationHPa >= oxygenLowestHPa && stationHPa <= oxygenHighestHPa &&
		salinityPSU >= 0 && salinityPSU <= oxygenHighestSalPSU
	if !inRange { // NaN is in no range
		return 0, false
	}
	atm := stationHPa / standardAtmosphereHPa
	return oxygenAtOneAtmosphere(waterC, salinityPSU) * oxygenPressureFactor(waterC, atm), true
}

// oxygenAtOneAtmosphere is the saturation in mg/L at one atmosphere.
func oxygenAtOneAtmosphere(waterC, salinityPSU float64) float64 {
	k := waterC + zeroCelsiusK
	fresh := -139.34411 + (1.575701e5+(-6.642308e7+(1.243800e10-8.621949e11/k)/k)/k)/k
	salt := salinityPSU * (0.017674 + (-10.754+2140.7/k)/k)
	return math.Exp(fresh - salt)
}

// oxygenPressureFactor is the saturation at a pressure in atmospheres as a share
// of that at one: the dry part of the air counts, and oxygen is not quite an
// ideal gas.
func oxygenPressureFactor(waterC, atm float64) float64 {
	k := waterC + zeroCelsiusK
	vapourAtm := math.Exp(11.8571 + (-3840.70-216961/k)/k)
	theta := 0.000975 + (-1.426e-5+6.436e-8*waterC)*waterC
	return (atm - vapourAtm) * (1 - theta*atm) / ((1 - vapourAtm) * (1 - theta))
}
