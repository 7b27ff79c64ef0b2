package water

import (
	"math"
	"time"
)

// ClimateHalfWidthC is the half width of the 80 % interval about the climate
// curve: assumed (reference pack 2.1).
const ClimateHalfWidthC = 4.0

const daysPerYear = 365.25

// ClimateC gives the temperature in C that a water has by its climate alone on
// a day of the year (1 to 366): a sine about the yearly mean (0 to 35 C) with
// the amplitude (0 to 20 C), warmest on day 206 and never below 0. Outside the
// ranges, an error. South of the equator the curve is shifted by half a year
// (our choice; the reference pack, 2.1, speaks of the north only). The form is
// assumed there.
func ClimateC(meanC, amplitudeC, latDeg float64, dayOfYear int) (float64, error) {
	site := NewSite(latDeg, 0, 1)
	site.ClimateMeanC, site.ClimateAmplitudeC = meanC, amplitudeC
	if err := site.Validate(); err != nil {
		return 0, err
	}
	if err := between("day of the year", float64(dayOfYear), 1, 366, "days"); err != nil {
		return 0, err
	}
	return climateC(&site, dayOfYear), nil
}

func climateC(site *Site, dayOfYear int) float64 {
	day := float64(dayOfYear) - 115
	if site.LatDeg < 0 {
		day += daysPerYear / 2
	}
	return math.Max(0, site.ClimateMeanC+site.ClimateAmplitudeC*math.Sin(2*math.Pi*day/daysPerYear))
}

// ClimateEstimate is the answer where no weather is known at all: the climate
// curve at the instant's day (UTC), give or take ClimateHalfWidthC. Ice is
// never claimed from it.
func ClimateEstimate(site Site, at time.Time) (Estimate, error) {
	state, err := StartFromClimate(site, at)
	if err != nil {
		return Estimate{}, err
	}
	return state.estimate(&site, FromClimate), nil
}
