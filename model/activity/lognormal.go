package activity

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// logNormal is the predictive of the blended baseline: the log rate is normal,
// and the count is what whole bites fit into rodHours times the rate, so
// P(Y = k) = Phi((ln((k+1)/h) - m)/s) - Phi((ln(k/h) - m)/s).
type logNormal struct {
	mean, sd float64
	rodHours float64
	landed   float64
}

// newLogNormal takes mean and sd of the log rate. The mean is held within -30
// to 30; an sd of 0 is raised to a hair so that nothing divides by it.
func newLogNormal(mean, sd, rodHours float64) logNormal {
	return logNormal{min(max(mean, -30), 30), max(sd, 1e-9), rodHours, landingShare()}
}

// rateMean is exp(m + s^2/2); exp(m) alone would be the median.
func (l logNormal) rateMean() float64 { return boundedExp(l.mean + l.sd*l.sd/2) }

func (l logNormal) rateQuantile(p float64) float64 {
	return boundedExp(l.mean + l.sd*distuv.UnitNormal.Quantile(p))
}

func (l logNormal) bites(k int) float64 {
	if k < 0 {
		return 0
	}
	return distuv.UnitNormal.CDF((math.Log((float64(k)+1)/l.rodHours) - l.mean) / l.sd)
}

func (l logNormal) fish(k int) float64 { return thinnedCDF(l.bites, l.landed, k) }

// exactThinning is the largest fish count that is summed bite by bite; our
// choice. Beyond it chance in the landing is a small part of the spread.
const exactThinning = 400

// thinnedCDF is P(fish <= k) when each of Y bites becomes a fish with
// probability q: the sum over y of P(Y = y) times the binomial distribution
// function, which follows from y to y+1 as
// P(B <= k | y+1) = P(B <= k | y) - q P(B = k | y).
// For k above exactThinning the share landed is taken as q itself.
func thinnedCDF(bites func(int) float64, q float64, k int) float64 {
	if k < 0 {
		return 0
	}
	if k > exactThinning {
		return bites(int(float64(k) / q))
	}
	below := bites(k)
	atMost, exactly := 1.0, math.Pow(q, float64(k))
	for y := k; ; {
		atMost -= q * exactly
		y++
		exactly *= (1 - q) * float64(y) / float64(y-k)
		if atMost < 1e-12 {
			return below
		}
		below += atMost * (bites(y) - bites(y-1))
	}
}
