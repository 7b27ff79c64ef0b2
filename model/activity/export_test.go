package activity

import (
	"gonum.org/v1/gonum/mat"
)

// Inner parts that the specification fixes and the external tests compare with
// published figures.
var (
	StandardNormalNodes = standardNormalNodes
	CountQuantile       = countQuantile
	ExpectedShare       = expectedShare
	NB2CDF              = nb2CDF
)

// LibraryRowLimit is where the solver changes.
const LibraryRowLimit = libraryRowLimit

// CoefficientsBothWays solves one system by each route, refined or as they come.
func CoefficientsBothWays(x [][]float64, y []float64, refined bool) (library, qr []float64, err error) {
	z := standardise(x, y, len(x[0]))
	var factor mat.QR
	factor.Factorize(z.design)
	byLibrary, err := solveByLibrary(z.design, z.response)
	if err != nil {
		return nil, nil, err
	}
	byQR, err := solveByQR(&factor, z.response)
	if err != nil {
		return nil, nil, err
	}
	if refined {
		if byLibrary, err = refine(&factor, z.design, z.response, byLibrary); err != nil {
			return nil, nil, err
		}
		if byQR, err = refine(&factor, z.design, z.response, byQR); err != nil {
			return nil, nil, err
		}
	}
	return z.unscale(byLibrary), z.unscale(byQR), nil
}

// MixtureBites is the distribution function of a forecast's bites.
func MixtureBites(mean, variance, theta, rodHours float64) (cdf func(int) float64, rateMean float64) {
	m := newCountMixture(mean, variance, 1/theta, rodHours, 0, 0)
	return m.bites, m.rateMean()
}

// LaplaceSlope is Laplace's log-likelihood and its gradient in (log alpha, log
// sds, coefficients): the last with the effects alone integrated, absent
// otherwise.
func LaplaceSlope(records CountRecords, priors CountPriors, spread CountSpread, held []float64) (float64, []float64, error) {
	f, err := newCountFitter(records, priors)
	if err != nil {
		return 0, nil, err
	}
	free := len(records.Columns)
	if held != nil {
		free = 0
	}
	m := f.laplace(free)
	copy(m.beta, held)
	value, err := f.at(m, spread)
	if err != nil {
		return 0, nil, err
	}
	gradient, all := f.slope(m, spread)
	if held != nil {
		gradient = append(gradient, all.beta...)
	}
	return value, gradient, nil
}
