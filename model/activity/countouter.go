package activity

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// limitGain is how much better than the Poisson limit a positive alpha must be
// to be kept; our choice, the size of rounding.
const limitGain = 1e-7

// countFitter climbs over (log alpha, log sds[, coefficients]).
type countFitter struct {
	records CountRecords
	rows    *countRows
	priors  CountPriors
	poisson bool
}

// laplace starts the inner fit with the first free columns moving.
func (f *countFitter) laplace(free int) *laplace {
	m := newLaplace(f.rows, free, f.priors)
	if f.priors.Mean == nil && free > 0 {
		m.beta[0] = f.startIntercept()
	}
	return m
}

// startIntercept is the log of the observed rate where the first column is an
// intercept, as it nearly always is; the mode is the same from any start.
func (f *countFitter) startIntercept() float64 {
	bites, hours := 0.5, 0.0
	for i, y := range f.rows.bites {
		bites += float64(y)
		hours += math.Exp(f.rows.offset[i])
	}
	if hours == 0 {
		return 0
	}
	return math.Log(bites / hours)
}

// at finds the mode at a spread and returns Laplace's log-likelihood there,
// with the spread's prior.
func (f *countFitter) at(m *laplace, spread CountSpread) (float64, error) {
	m.hold(spread)
	value, err := m.findMode(modeTolerance)
	if err != nil {
		return 0, err
	}
	rising, _ := f.rows.rising(spread.Alpha)
	value += rising + f.rows.constant - m.logDet()/2
	for _, p := range m.priorPrec[:m.free] {
		if p == 0 {
			value += math.Log(2*math.Pi) / 2
		} else {
			value += math.Log(p) / 2
		}
	}
	for k, sd := range spread.SDs {
		value -= float64(len(f.records.Factors[k].Levels)) * math.Log(sd)
	}
	return value + f.logPrior(spread), nil
}

func (f *countFitter) logPrior(spread CountSpread) float64 {
	p := f.priors.Spread
	if p == nil {
		return 0
	}
	var sum float64
	if !f.poisson {
		z := (-math.Log(spread.Alpha) - p.LogThetaMean) / p.LogThetaSD
		sum -= z * z / 2
	}
	for _, sd := range spread.SDs {
		z := (math.Log(sd) - p.LogSDMean) / p.LogSDSD
		sum -= z * z / 2
	}
	return sum
}

// slope is the gradient of at in the climb's coordinates, and how the mode
// moves with the spread.
func (f *countFitter) slope(m *laplace, spread CountSpread) (gradient []float64, all *slopes) {
	all = m.slope()
	p := f.priors.Spread
	if !f.poisson {
		g := all.logAlpha
		if p != nil {
			g += (-math.Log(spread.Alpha) - p.LogThetaMean) / (p.LogThetaSD * p.LogThetaSD)
		}
		gradient = append(gradient, g)
	}
	for k, g := range all.logSDs {
		if p != nil {
			g -= (math.Log(spread.SDs[k]) - p.LogSDMean) / (p.LogSDSD * p.LogSDSD)
		}
		gradient = append(gradient, g)
	}
	return gradient, all
}

// pack and unpack turn a spread into the climb's coordinates and back.
func (f *countFitter) pack(spread CountSpread) []float64 {
	var x []float64
	if !f.poisson {
		x = append(x, math.Log(spread.Alpha))
	}
	for _, sd := range spread.SDs {
		x = append(x, math.Log(sd))
	}
	return x
}

func (f *countFitter) unpack(x []float64) CountSpread {
	var spread CountSpread
	if !f.poisson {
		spread.Alpha = math.Exp(x[0])
		x = x[1:]
	}
	for _, v := range x[:f.rows.factors()] {
		spread.SDs = append(spread.SDs, math.Exp(v))
	}
	return spread
}

// fit climbs, then holds the Poisson limit against what it found.
func (f *countFitter) fit(spread CountSpread, method CountMethod) (CountFit, error) {
	f.poisson = method.Poisson
	fit, err := f.integrated(spread)
	if err == nil && method.MaximumLikelihood {
		fit, err = f.maximumLikelihood(fit)
	}
	if err != nil || f.poisson || fit.Spread.Alpha > limitAlpha || f.priors.Spread != nil {
		return fit, err
	}
	method.Poisson = true
	limit, err := f.fit(CountSpread{SDs: fit.Spread.SDs}, method)
	if err != nil || limit.LogLikelihood < fit.LogLikelihood-limitGain {
		return fit, nil
	}
	return limit, nil
}

// limitAlpha is the alpha below which the Poisson limit is tried; our choice.
const limitAlpha = 1e-4

// integrated climbs with the coefficients integrated.
func (f *countFitter) integrated(spread CountSpread) (CountFit, error) {
	m := f.laplace(f.rows.columns)
	var last []float64
	var at *slopes
	hill := func(x []float64) (float64, []float64, error) {
		if at != nil {
			f.follow(m, at, last, x)
		}
		here := f.unpack(x)
		value, err := f.at(m, here)
		if err != nil {
			return 0, nil, err
		}
		gradient, all := f.slope(m, here)
		last, at = slices.Clone(x), all
		return value, gradient, nil
	}
	best, err := climb(hill, f.pack(spread), f.firstInverse())
	if err != nil {
		return CountFit{}, err
	}
	spread = f.unpack(best)
	value, err := f.at(m, spread)
	if err != nil {
		return CountFit{}, err
	}
	return f.result(m, spread, value), nil
}

// follow moves the mode along with the spread to first order, so that few
// Newton steps are left: the inverse curvature times the change of gradient.
func (f *countFitter) follow(m *laplace, at *slopes, from, to []float64) {
	core, leaf := m.stepCore, m.stepLeaf
	clear(core)
	clear(leaf)
	next := 0
	if !f.poisson {
		change := m.alpha * (to[0] - from[0])
		for j := range core {
			core[j] = change * at.alphaCore[j]
		}
		for a := range leaf {
			leaf[a] = change * at.alphaLeaf[a]
		}
		next = 1
	}
	for c, k := range f.rows.core {
		first, last := f.rows.levels(c)
		for g := first; g < last; g++ {
			core[m.free+g] += 2 * (to[next+k] - from[next+k]) * m.corePrec[g] * m.effects[g]
		}
	}
	if k := f.rows.leaf; k >= 0 {
		for a, u := range m.leaf {
			leaf[a] += 2 * (to[next+k] - from[next+k]) * m.leafPrec * u
		}
	}
	m.fold(core, leaf)
	m.solve(core, leaf)
	m.move(1, core, leaf)
}

// firstInverse guesses the inverse curvature of the climb: about 0.15 for each
// session in log alpha and 1.6 for each level in a log sd, seen on invented
// sessions. It steers the path and not the answer.
func (f *countFitter) firstInverse() *mat.SymDense {
	var diagonal []float64
	if !f.poisson {
		diagonal = append(diagonal, 1/(0.15*float64(f.rows.count())+1))
	}
	for _, factor := range f.records.Factors {
		diagonal = append(diagonal, 1/(1.6*float64(len(factor.Levels))))
	}
	n := len(diagonal)
	out := make([]float64, n*n)
	for j, v := range diagonal {
		out[j*n+j] = v
	}
	if n == 0 {
		return &mat.SymDense{}
	}
	return mat.NewSymDense(n, out)
}
