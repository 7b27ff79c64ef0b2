package feeder

import "math"

// startingTempsC are the water temperatures of the starting-rate table; the
// rate is flat below the first and above the last.
var startingTempsC = [...]float64{2, 8, 12.5, 17.5, 22}

// startingRatesGH is the trade's starting rate by group, damp g/h at the
// temperatures above. Common practice, no source; the rise from 12 to 18 C, 1.8
// to 2.2 times, matches the 1.9 of the maintenance ration of juvenile carp in
// Aquaculture 36:27-35 (1984).
var startingRatesGH = map[Group][len(startingTempsC)]float64{
	Silver: {45, 70, 130, 220, 220},
	Bream:  {60, 90, 190, 380, 380},
	Carp:   {20, 65, 150, 290, 290},
}

// StartingRateGH returns the trade's starting rate G* in damp g/h for a group at
// a water temperature in C, before any cap. It runs linearly in temperature on
// the log of the rate between the table's points and is flat outside 2-22 C. An
// unknown group or a temperature that is not finite gives ok false.
func StartingRateGH(group Group, waterC float64) (rateGH float64, ok bool) {
	rates, known := startingRatesGH[group]
	if !known || math.IsNaN(waterC) || math.IsInf(waterC, 0) {
		return 0, false
	}
	if waterC <= startingTempsC[0] {
		return rates[0], true
	}
	for i := 1; i < len(startingTempsC); i++ {
		if waterC >= startingTempsC[i] {
			continue
		}
		share := (waterC - startingTempsC[i-1]) / (startingTempsC[i] - startingTempsC[i-1])
		return rates[i-1] * math.Pow(rates[i]/rates[i-1], share), true
	}
	return rates[len(rates)-1], true
}

// Water temperatures at which feed is capped. Common practice, no source; 24 C
// is our own step, agencies only ask for less groundbait in heat.
const (
	heatCapC = 24.0 // From here at most Even.
	coldCapC = 3.0  // Below here at most Lean.
)
