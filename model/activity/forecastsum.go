package activity

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// FishedForecast is a forecast and the rod-hours that it is held for.
type FishedForecast struct {
	Basis    ForecastBasis
	RodHours float64
}

// SumForecast is the true bites that many forecasts expect together; the ends
// are those of the central 90 % interval.
type SumForecast struct {
	Mean   float64 `json:"mean"`
	Low90  int     `json:"low90"`
	High90 int     `json:"high90"`
}

// sumNodes is how many equally likely values of what the forecasts share are
// summed over: the ends lie within 2 % of those of ten times as many. Our
// choice.
const sumNodes = 64

// SumForecasts adds up the forecasts of one session or more, each of rod-hours
// above 0. What a forecast does not know of its rate, it shares with the others
// (the fit, the waters, the anglers) to an extent that no forecast keeps. Taken
// here is that all are wrong alike, which makes the interval as wide as the
// forecasts allow: of all ways to hang together, sums of comonotone amounts are
// the largest in convex order (Kaas, Dhaene & Goovaerts 2000, from memory).
//
// Given what is shared, counts are independent; their sum is taken as NB2 of its
// mean and variance, exact for forecasts that are alike.
func SumForecasts(forecasts []FishedForecast) (SumForecast, error) {
	if len(forecasts) == 0 {
		return SumForecast{}, errors.New("add up forecasts: give one at least")
	}
	var out SumForecast
	for i, f := range forecasts {
		p, err := f.Basis.Bites(f.RodHours)
		if err != nil {
			return SumForecast{}, fmt.Errorf("add up forecast %d of %d: %w", i+1, len(forecasts), err)
		}
		out.Mean += p.Mean()
	}
	var means, thetas [sumNodes]float64
	for i := range sumNodes {
		z := distuv.UnitNormal.Quantile((float64(i) + 0.5) / sumNodes)
		means[i], thetas[i] = sumGiven(forecasts, z)
	}
	atMost := func(k int) float64 {
		below := 0.0
		for i, mean := range means {
			below += countAtMost(k, mean, thetas[i]) / sumNodes
		}
		return below
	}
	out.Low90, out.High90 = countQuantile(atMost, 0.05), countQuantile(atMost, 0.95)
	return out, nil
}

// sumGiven is mean and theta of the sum where every log rate lies z of its
// standard deviations from its mean.
func sumGiven(forecasts []FishedForecast, z float64) (mean, theta float64) {
	var beyondPoisson float64
	for _, f := range forecasts {
		one := f.RodHours * boundedExp(f.Basis.LogRateMean+z*math.Sqrt(f.Basis.LogRateVariance))
		mean += one
		beyondPoisson += f.Basis.Alpha * one * one
	}
	return mean, mean * mean / beyondPoisson
}
