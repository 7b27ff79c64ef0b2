package activity

import "math"

const (
	landedRounds = 100
	// landedModeTolerance is the squared length, in the curvature's own measure,
	// of the Newton step at which the mode is taken as reached; our choice. It is
	// small because the height of Laplace's approximation feels the curvature,
	// which errs as the step does and not as its square.
	landedModeTolerance = 1e-18
)

// landedMode is the joint mode of the shared logit and the anglers' effects at
// one sd of the effects, with the curvature there.
type landedMode struct {
	groups []landedGroup
	logSD  float64
	// value is Laplace's approximation of the log posterior of log s.
	value   float64
	shared  float64
	effects []float64
	// information is W = B q (1 - q) of each angler; precision what the records
	// and the prior say of the shared part once the effects are eliminated.
	information []float64
	precision   float64
}

// landedModeAt takes Newton steps from the prior mean, halved while the
// objective falls. The objective is strictly concave, so there is one mode.
//
// An effect's curvature is d = W + 1/s^2. Eliminating the effects leaves
// 1/0.4^2 + sum of W/(1 + s^2 W) for the shared part, and the log determinant is
// the log of that plus the sum of ln d; with the prior's own ln s for each
// effect, sum of ln(1 + s^2 W).
func landedModeAt(groups []landedGroup, logSD float64) (landedMode, error) {
	m := landedMode{
		groups: groups, logSD: logSD, shared: landingLogitMean,
		effects: make([]float64, len(groups)), information: make([]float64, len(groups)),
	}
	objective := m.objective()
	for range landedRounds {
		step, length := m.step()
		if length < landedModeTolerance {
			m.value = objective - m.halfLogDet() - m.priorCost()
			return m, nil
		}
		next, ok := m.walk(objective, step)
		if !ok {
			return landedMode{}, errNoMode
		}
		objective = next
	}
	return landedMode{}, errNoMode
}

// objective is the log-likelihood less the priors' pull at the sd held.
func (m *landedMode) objective() float64 {
	away := (m.shared - landingLogitMean) / landingLogitSD
	total, prec := -away*away/2, m.leafPrecision()
	for j, g := range m.groups {
		u := m.effects[j]
		total -= g.fish*log1pExp(-m.shared-u) + g.lost*log1pExp(m.shared+u) + prec*u*u/2
	}
	return total
}

func (m *landedMode) leafPrecision() float64 { return math.Exp(-2 * m.logSD) }

// landedStep is a Newton step.
type landedStep struct {
	shared  float64
	effects []float64
}

// step is the Newton step and its squared length; it leaves the curvature
// behind.
func (m *landedMode) step() (step landedStep, length float64) {
	prec := m.leafPrecision()
	step.effects = make([]float64, len(m.groups))
	m.precision = 1 / (landingLogitSD * landingLogitSD)
	slope := -m.precision * (m.shared - landingLogitMean)
	for j, g := range m.groups {
		// Of F (1-q) - (B-F) q no digit is lost where all or none are landed, as
		// many would be of F - B q.
		q, rest := logistic(m.shared+m.effects[j]), logistic(-m.shared-m.effects[j])
		w, r := (g.fish+g.lost)*q*rest, g.fish*rest-g.lost*q
		d, pull := w+prec, r-prec*m.effects[j]
		m.information[j] = w
		m.precision += w * prec / d
		slope += r - w/d*pull
		step.effects[j] = pull / d
		length += pull * pull / d
	}
	step.shared = slope / m.precision
	for j, w := range m.information {
		step.effects[j] -= w / (w + prec) * step.shared
	}
	return step, length + slope*step.shared
}

// walk moves along the step, halving it until the objective does not fall by
// more than rounding does.
func (m *landedMode) walk(value float64, step landedStep) (float64, bool) {
	slack := 1e-10 * math.Abs(value)
	m.move(1, step)
	for share := 1.0; share > 1e-12; share /= 2 {
		if next := m.objective(); next >= value-slack {
			return next, true
		}
		m.move(-share/2, step)
	}
	return 0, false
}

func (m *landedMode) move(share float64, step landedStep) {
	m.shared += share * step.shared
	for j, u := range step.effects {
		m.effects[j] += share * u
	}
}

func (m *landedMode) halfLogDet() float64 {
	sum, prec := math.Log(m.precision), m.leafPrecision()
	for _, w := range m.information {
		sum += math.Log1p(w / prec)
	}
	return sum / 2
}

func (m *landedMode) priorCost() float64 {
	z := (m.logSD - math.Log(landedSDMedian)) / landedLogSD
	return z * z / 2
}

// fit writes the mode into a fit.
func (m *landedMode) fit(fit LandedFit) LandedFit {
	prec := m.leafPrecision()
	fit.LogitMean, fit.LogitVariance, fit.AnglerSD = m.shared, 1/m.precision, math.Exp(m.logSD)
	for j, g := range m.groups {
		d := m.information[j] + prec
		fit.Anglers = append(fit.Anglers, LandedAngler{
			Name: g.angler, Effect: m.effects[j], Tie: m.information[j] / d, Variance: 1 / d,
		})
	}
	return fit
}

// logistic is 1/(1 + exp(-x)), x held within -30 to 30 so that no share is
// exactly 0 or 1.
func logistic(x float64) float64 { return 1 / (1 + boundedExp(-x)) }

// log1pExp is ln(1 + exp(x)) without overflow.
func log1pExp(x float64) float64 {
	return max(x, 0) + math.Log1p(math.Exp(-math.Abs(x)))
}
