package water

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// RunInDays is how much weather before the hour asked for removes the guess at
// the start, in the depths the model is meant for (reference pack 2.1).
const RunInDays = 20

const (
	startAirH = 24.0 // hours of known air that the start averages

	// airStartSdC is how far a water lies from the day's mean air: 3.2 to 4.5 C
	// root mean square over four measured lakes; measured for this project.
	airStartSdC = 4.0
)

// StartFromAir makes the state at the instant from, when the first of the hours
// begins: the water is taken to be as warm as the mean of the first 24 h of
// known air, but not below 0 (reference pack 2.1). With less than 24 h of known
// air there is an error; use StartFromClimate then. Site and hours are checked
// as Run checks them.
func StartFromAir(site Site, from time.Time, hours []Hour) (State, error) {
	if err := site.Validate(); err != nil {
		return State{}, fmt.Errorf("start of water temperature: site: %w", err)
	}
	if err := checkOrder(from, hours); err != nil {
		return State{}, fmt.Errorf("start of water temperature: %w", err)
	}
	began, sumCH, sumH := from, 0.0, 0.0
	for i := range hours {
		spanH := hours[i].At.Sub(began).Hours()
		began = hours[i].At
		if !hours[i].AirC.Known {
			continue
		}
		spanH = math.Min(spanH, startAirH-sumH)
		sumCH += hours[i].AirC.Value * spanH
		if sumH += spanH; sumH >= startAirH {
			meanC := sumCH / sumH
			waterC := math.Max(0, meanC)
			return State{At: from, WaterC: waterC, LowerC: waterC, LagSunC: waterC, MemorySdC: airStartSdC, AirMeanC: meanC}, nil
		}
	}
	return State{}, fmt.Errorf("start of water temperature: %.1f h of air temperature are known and %.0f are needed; start from the climate instead", sumH, startAirH)
}

// StartFromClimate makes the state at an instant from the site's climate curve,
// for a water without any past weather. Its first estimate is
// ClimateHalfWidthC wide on either side.
func StartFromClimate(site Site, at time.Time) (State, error) {
	if err := site.Validate(); err != nil {
		return State{}, fmt.Errorf("climate of the water: site: %w", err)
	}
	if at.IsZero() {
		return State{}, errors.New("climate of the water: no instant is given; give the time asked about")
	}
	waterC := climateC(&site, at.UTC().YearDay())
	return State{
		At: at, WaterC: waterC, LowerC: waterC, LagSunC: waterC,
		MemorySdC: climateMemorySdC, AirMissingH: carryH,
	}, nil
}
