package air

import "math"

// Constants of the atmosphere. The gas constant has more digits in the ICAO
// standard atmosphere than in the reduction to sea level as DWD prints it; each
// formula keeps its own.
const (
	gravityMps2        = 9.80665
	lapseCPerM         = 0.0065
	standardHPa        = 1013.25
	standardK          = 288.15
	gasConstant        = 287.05    // J/(kg K), DWD VuB 2 BUFR
	gasConstantICAO    = 287.05287 // J/(kg K), ICAO standard atmosphere
	humidityKPerHPa    = 0.12      // DWD VuB 2 BUFR, the WMO form
	zeroCInK           = 273.15
	lowestStationM     = -500.0 // our bound, just below the lowest shore on land
	highestStationM    = 5000.0 // our bound, above any station near fishing water
	lowestPressureHPa  = 300.0  // our bound: what a barometer at that height may show
	highestPressureHPa = 1100.0 // our bound
	highestVapourHPa   = 200.0  // our bound: saturation at 60 C
)

// SeaLevelPressure is the pressure in hPa reduced to sea level from the station
// pressure in hPa, the barometer's height in m, the air temperature in degrees C
// and the vapour pressure in hPa:
//
//	p exp( (9.80665/287.05) H / (273.15 + t + 0.0065 H/2 + 0.12 e) )
//
// Valid for 300 to 1100 hPa, heights from -500 to 5000 m, air from -90 to 60 C
// and 0 to 200 hPa of vapour; outside there is no value. Source: Deutscher
// Wetterdienst, VuB 2 BUFR, p. 28.
func SeaLevelPressure(stationHPa, heightM, airC, vapourHPa float64) (float64, bool) {
	if !pressureAndHeight(stationHPa, heightM) || !within(airC, -90, 60) || !within(vapourHPa, 0, highestVapourHPa) {
		return 0, false
	}
	columnK := zeroCInK + airC + lapseCPerM*heightM/2 + humidityKPerHPa*vapourHPa
	return stationHPa * math.Exp(gravityMps2/gasConstant*heightM/columnK), true
}

// StationPressureFromQNH is the pressure in hPa at a height in m from the
// altimeter setting QNH in hPa, which by definition was reduced with the
// standard atmosphere. Valid for 300 to 1100 hPa and heights from -500 to
// 5000 m; outside there is no value. Source: ICAO standard atmosphere (from
// memory).
func StationPressureFromQNH(qnhHPa, heightM float64) (float64, bool) {
	if !pressureAndHeight(qnhHPa, heightM) {
		return 0, false
	}
	k := gravityMps2 / (lapseCPerM * gasConstantICAO)
	return math.Pow(math.Pow(qnhHPa/standardHPa, 1/k)-lapseCPerM*heightM/standardK, k) * standardHPa, true
}

// StationPressureFromSeaLevel is the pressure in hPa at a height in m from the
// pressure at sea level in hPa, with the standard atmosphere in place of the
// real one:
//
//	p (1 - 2.25577e-5 z)^5.25588
//
// It is good enough for the oxygen that water can hold, the one use it has.
// Valid for 300 to 1100 hPa and heights from -500 to 5000 m; outside there is no
// value. Source: standard atmosphere in its common form (from memory).
func StationPressureFromSeaLevel(seaHPa, heightM float64) (float64, bool) {
	if !pressureAndHeight(seaHPa, heightM) {
		return 0, false
	}
	return seaHPa * math.Pow(1-2.25577e-5*heightM, 5.25588), true
}

func pressureAndHeight(hPa, heightM float64) bool {
	return within(hPa, lowestPressureHPa, highestPressureHPa) && within(heightM, lowestStationM, highestStationM)
}
